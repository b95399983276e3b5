"""The hunt on the page: what stands open on top, each act under its caution."""

from typing import Final, get_args

import streamlit as st

from corrosion.foundation.errors import CorrosionError
from corrosion.inspection.fault_finding.probabilities import Seen
from corrosion.inspection.fault_finding.sheet import circuits_of
from corrosion.presentation import hunt_words as words
from corrosion.presentation.answers.hunt import hunt_result
from corrosion.presentation.dashboard import page_parts
from corrosion.presentation.dashboard.chosen_ship import Chosen
from corrosion.presentation.dashboard.huntsheet import hunt_html
from corrosion.presentation.dashboard.markdown import escape_markdown
from corrosion.presentation.tables.hunt import blocks
from corrosion.records.ship import Ship, ShipLies

__all__ = ["hunt"]

_LIES: Final = get_args(ShipLies)


def hunt(chosen: Chosen) -> None:
    """Ask how she lies and what was done, then show what may be done next."""
    ship = chosen.ship
    if not ship.systems:
        st.info("Her records name no electrical system.")
        return
    left, right = st.columns(2)
    name = str(left.selectbox("System", [s.name for s in ship.systems], key="hunted"))
    lies: ShipLies | None = right.selectbox(
        "How she lies",
        _LIES,
        index=None,
        placeholder="under way, alongside or dead ship?",
        key="lies",
        bind="query-params",
    )
    if lies is None:
        st.info(
            "Say first how she lies: only what may be opened so is offered. Nothing is "
            "opened before one person is in charge."
        )
        return
    seen = _seen(ship, name)
    try:
        answer = hunt_result(
            ship,
            name,
            lies=lies,
            seen=seen,
            as_of=chosen.as_of,
            samples=chosen.samples,
            seed=chosen.seed,
        )
    except CorrosionError as error:
        st.warning(escape_markdown(str(error)))
        return
    for line in words.open_now(answer):
        st.error(escape_markdown(line))
    for block in blocks(answer):
        st.subheader(block.head, anchor=False)
        page_parts.caution(block.caution)
        page_parts.table(block.table)
    withheld = words.withheld(answer)
    if withheld:
        st.subheader("Not proposed to be opened, and why", anchor=False)
        st.markdown("\n".join(f"- {escape_markdown(line)}" for line in withheld))
    st.markdown(escape_markdown(words.expectation(answer)))
    st.markdown("\n".join(f"- {escape_markdown(line)}" for line in answer["notes"]))
    st.download_button(
        "Hunt sheet to print",
        data=hunt_html(answer),
        file_name=f"hunt-{ship.name}-{name}.html".lower().replace(" ", "-"),
        mime="text/html",
        on_click="ignore",
    )
    page_parts.caution(answer["cautions"]["end"])
    for line in words.open_now(answer):
        st.error(escape_markdown(line))


def _seen(ship: Ship, name: str) -> Seen:
    """Draw what is known already: the lamps, clamps, and what was opened."""
    names = circuits_of(ship, name)
    known = sorted(names, key=lambda each: (names[each] not in ship.circuits, each))
    left, right = st.columns(2)
    conductor = left.selectbox(
        "Conductor that the lamps point to",
        ship.system(name).conductors,
        index=None,
        placeholder="not known",
    )
    worked = right.multiselect("Circuits worked on lately", known)
    silent = left.multiselect("Clamped, and nothing shown", known)
    shown = right.selectbox(
        "Clamped, and the clamp showed it", known, index=None, placeholder="none yet"
    )
    stayed = left.multiselect("Opened, and the indication stayed", known)
    gone = right.selectbox(
        "Opened, and the indication went", known, index=None, placeholder="none yet"
    )
    opened = [*stayed, *([gone] if gone is not None else [])]
    closed = left.multiselect("Of these, closed again", opened)
    agreed = right.multiselect(
        "Vital ones: agreed, and what takes over runs", known, key=f"agreed {name}"
    )
    return Seen(
        conductor=conductor,
        worked_on=frozenset(worked),
        stayed=tuple(stayed),
        gone=gone,
        closed=frozenset(closed),
        silent=tuple(silent),
        shown=shown,
        agreed=frozenset(agreed),
    )
