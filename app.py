"""The dashboard's door: which pages there are, in which order, and their look."""

from functools import partial

import streamlit as st

from corrosion.presentation.dashboard import (
    cost,
    currents,
    first,
    gauged,
    leaking,
    log,
    ships,
    sooner,
    sources,
)
from corrosion.presentation.dashboard.chooser import drawn, found_ships

_PAGES = (
    (first.render, "Where do I look first?"),
    (leaking.render, "What is leaking?"),
    (cost.render, "What has it cost?"),
    (sooner.render, "What would quicker isolation save?"),
    (gauged.render, "Gaugings against the estimate"),
    (currents.render, "Where the current goes"),
    (log.render, "The log"),
    (sources.render, "Where the numbers come from"),
)
_FLEET = ((ships.render, ships.TITLE),) * (len(found_ships()) > 1)
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
sidebar = drawn()
st.navigation(
    [
        st.Page(
            partial(render, sidebar),
            title=title,
            url_path=render.__module__.rpartition(".")[2],
            default=render is first.render,
        )
        for render, title in (*_PAGES, *_FLEET)
    ],
    expanded=True,
).run()
