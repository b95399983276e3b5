"""The dashboard's door: which pages there are, in which order, and their look."""

from functools import partial

import streamlit as st

from corrosion.presentation.dashboard import (
    currents_page,
    fleet_page,
    gauging_page,
    isolation_page,
    leakage_page,
    log_page,
    loss_page,
    ranking_page,
    sources_page,
)
from corrosion.presentation.dashboard.sidebar import draw_sidebar, found_ships

_PAGES = (
    (ranking_page.render, "Where do I look first?"),
    (leakage_page.render, "What is leaking?"),
    (loss_page.render, "What has it cost?"),
    (isolation_page.render, "What would quicker isolation save?"),
    (gauging_page.render, "Gaugings against the estimate"),
    (currents_page.render, "Where the current goes"),
    (log_page.render, "The log"),
    (sources_page.render, "Where the numbers come from"),
)
_FLEET = ((fleet_page.render, fleet_page.TITLE),) * (len(found_ships()) > 1)
_LOOK = """<style>
.stMainBlockContainer { padding: 2.5rem 2.5rem 4rem }
/* Who goes by keyboard sees where; chosen words are legible on light and dark. */
:is(a, button, [role=slider], [role=tab]):focus-visible {
  outline: 2px solid currentColor; outline-offset: 1px }
[data-tag] { background: transparent; color: inherit; border: 1px solid }
</style>"""
_DARK = "<style>[kind^=primary] { color: #0a0e12 }</style>"  # its button is pale there

st.set_page_config(page_title="Hull steel loss", layout="wide")
st.html(_LOOK + _DARK * (st.context.theme.type == "dark"))
sidebar = draw_sidebar()
st.navigation(
    [
        st.Page(
            partial(render, sidebar),
            title=title,
            url_path=render.__module__.rpartition(".")[2].removesuffix("_page"),
            default=render is ranking_page.render,
        )
        for render, title in (*_PAGES, *_FLEET)
    ],
    expanded=True,
).run()
