"""The one list of doubts, behind a badge with their count beside the masthead."""

from collections.abc import Sequence

import pandas as pd
import streamlit as st

from corrosion.foundation.json_values import rows_of
from corrosion.presentation.dashboard.markup import escape_markdown
from corrosion.presentation.format import counted
from corrosion.records.folder.doubt_list import worst_first
from corrosion.records.ship import Ship
from corrosion.results import Estimate

_PLACE = "place of the doubts"


def reserve() -> None:
    """Keep the badge's place free, where the masthead stands."""
    with st.container(key="doubts", width="content"):
        st.session_state[_PLACE] = st.empty()


def fill(ship: Ship, result: Estimate | None) -> None:
    """Draw the badge: every doubt of the estimate, or what her records alone raise.

    ``ship``: as read. ``result``: hers, where one is at hand; a page that needs none
    waits for none.
    """
    if result is None:
        found = worst_first([(one.weight, [str(one)]) for one in ship.doubts])
        where = " in her records"
        about = "What her records alone raise; the estimate may add to it."
    else:
        found, where = result.warnings, ""
        about = "About the records and the model, the worst first."
    _draw(found, where, about)


def fill_of_fleet(ships: pd.DataFrame) -> None:
    """Draw the badge of all ships: each doubt behind its ship's name.

    ``ships``: of :class:`corrosion.fleet.fleet.Fleet`.
    """
    found = [
        f"{row['ship']}: {doubt}"
        for row in rows_of(ships)
        for doubt in row["doubts"].splitlines()
    ]
    _draw(found, " in all ships", "Ship by ship, of each the worst first.")


def _draw(found: Sequence[str], where: str, about: str) -> None:
    many = len(found)
    with (
        st.session_state[_PLACE].container(),
        st.popover(f"{counted(many, 'doubt', 'No')}{where}"),
    ):
        st.caption(about)
        st.markdown("\n".join(f"- {escape_markdown(one)}" for one in found))
