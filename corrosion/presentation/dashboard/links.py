"""From page to page: the pages that the door opened, by name."""

from collections.abc import Mapping

import streamlit as st
from streamlit.navigation.page import StreamlitPage

_PAGES = "pages by name"
_THUMB = {"bridge": "Bridge", "plan": "Plan", "leakage": "Bench", "hunt": "Hunt"}


def remember(pages: Mapping[str, StreamlitPage]) -> None:
    """Keep the pages of this run, so that a page can point to another."""
    st.session_state[_PAGES] = dict(pages)


def link(name: str, label: str, **address: str) -> None:
    """Draw a link to a page; what stands in its address comes with it.

    Nothing is drawn where a page is drawn alone, without the door.
    """
    pages: dict[str, StreamlitPage] = st.session_state.get(_PAGES, {})
    page = pages.get(name)
    if page is not None:
        kept = {k: v for k, v in st.query_params.items() if k in ("ship", "as_of")}
        st.page_link(page, label=label, query_params=kept | address, width="stretch")


def thumb_bar(titles: Mapping[str, str]) -> None:
    """Draw the way to every page for a telephone; wide screens have the menu above.

    ``titles``: title of each page by its name.
    """
    with st.container(key="tabs", horizontal=True):
        few = titles if len(titles) <= len(_THUMB) else _THUMB
        for name, label in few.items():
            link(name, label)
        more = {name: title for name, title in titles.items() if name not in few}
        if more:
            with st.popover("More", width="stretch"):
                for name, title in more.items():
                    link(name, title)
