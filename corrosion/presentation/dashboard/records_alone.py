"""What her records say by themselves, shown until her first estimate is there."""

from typing import Final

import streamlit as st

from corrosion.presentation.answers.bridge import gauged_below
from corrosion.presentation.dashboard import links
from corrosion.presentation.dashboard.chosen_ship import Chosen
from corrosion.presentation.dashboard.markup import escape
from corrosion.presentation.format import counted
from corrosion.records.as_of import records_as_of

_SHOWN: Final = 5  # of zones and of faults; the rest are counted


def draw(chosen: Chosen) -> None:
    """Draw zones gauged below their limit and faults that go on: nothing reckoned."""
    ship, _ = records_as_of(chosen.ship, chosen.as_of)
    below, faults = gauged_below(ship), [one for one in ship.faults if one.stands]
    st.html(
        f'<p class="say">By her records alone: {counted(len(below), "zone", "no")} '
        f"last gauged below a limit, {counted(len(faults), 'fault', 'no')} with no end "
        "written.</p>"
    )
    left, right = st.columns([2.55, 1], gap="medium")
    with left:
        _pane([f"<b>{escape(name)}</b> {words}" for name, words in below])
    with right:
        for place, fault in enumerate(faults[:_SHOWN]):
            with st.container(border=True, key=f"fault-by-records-{place}"):
                st.html(
                    f"<b>{escape(fault.circuit or fault.source)}</b>"
                    f'<p class="cap">found {escape(fault.found.text)}</p>'
                )
                links.link("hunt", "Hunt", fault=fault.fault)


def _pane(rows: list[str]) -> None:
    more = [f"and {len(rows) - _SHOWN} more"] * (len(rows) > _SHOWN)
    lines = "".join(f"<p>{row}</p>" for row in (*rows[:_SHOWN], *more))
    if lines:
        st.html(f'<div class="pane">{lines}</div>')
