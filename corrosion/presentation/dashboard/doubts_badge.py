"""The one list of doubts, behind a badge with their count beside the masthead."""

import streamlit as st

from corrosion.estimate import Estimate
from corrosion.presentation.dashboard.markdown import escape_markdown
from corrosion.records.folder.doubt_list import worst_first
from corrosion.records.ship import Ship

__all__ = ["fill", "reserve"]

_PLACE = "place of the doubts"


def reserve() -> None:
    """Keep the badge's place free, where the masthead stands."""
    st.session_state[_PLACE] = st.container(key="doubts", width="content")


def fill(ship: Ship, result: Estimate | None) -> None:
    """Draw the badge: every doubt of the estimate, or what her records alone raise.

    Parameters
    ----------
    ship : Ship
        As read.
    result : Estimate or None
        Hers, where one is at hand; a page that needs none waits for none.
    """
    if result is None:
        found = worst_first([(one.weight, [str(one)]) for one in ship.doubts])
        where = " in her records"
        about = "What her records alone raise; the estimate may add to it."
    else:
        found, where = result.warnings, ""
        about = "About the records and the model, the worst first."
    many = len(found)
    with (
        st.session_state[_PLACE],
        st.popover(f"{many or 'No'} doubt{'s' * (many != 1)}{where}"),
    ):
        st.caption(about)
        st.markdown("\n".join(f"- {escape_markdown(one)}" for one in found))
