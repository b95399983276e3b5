"""All ships: the fleet side by side, the ship with the worst zone first."""

from contextlib import suppress
from typing import Final

import streamlit as st
from streamlit.delta_generator import DeltaGenerator

from corrosion.fleet.fleet import Fleet, estimate_fleet, ship_folders
from corrosion.foundation.errors import CorrosionError
from corrosion.foundation.json_values import rows_of
from corrosion.presentation.dashboard import cached, doubts_badge, page_parts
from corrosion.presentation.dashboard.chosen_ship import (
    Asked,
    Masthead,
    choose,
    found_ships,
    root,
)
from corrosion.presentation.dashboard.markup import escape_markdown
from corrosion.presentation.dashboard.masthead import CHOOSE_NEXT
from corrosion.presentation.format import chance, counted
from corrosion.presentation.tables.zones import ships

_ASKING: Final = "Which ship first? Estimate all of them to know."

_MOST: Final = 1024
_ASKED: Final = "fleet asked for"


def render(masthead: Masthead) -> None:
    """Show every ship of the folder, ranked by her worst zone."""
    with page_parts.in_words():
        first_line = st.empty()
        page_parts.say(_ASKING, first_line)
        asked = masthead()
        many = min(asked.samples, _MOST)
        folders = ship_folders(root())
        st.markdown(
            f"{len(folders)} ship folders, estimated one after the other on {many} "
            f"samples each (at most {_MOST}, to be quick). What is done is kept: a run "
            "that was broken off goes on where it stopped, and only what changed is "
            "estimated again."
        )
        wish = (asked.as_of, many, asked.seed)
        if st.button("Estimate all ships", type="primary"):
            st.session_state[_ASKED] = wish
        if st.session_state.get(_ASKED) == wish:
            _shown(_fleet(asked, many, len(folders)), first_line)
        else:
            with suppress(CorrosionError):  # one ship's bad files stop no other
                one = choose(masthead)
                doubts_badge.fill(one.ship, cached.known_estimate(one.key))


def _fleet(asked: Asked, samples: int, ships: int) -> Fleet:
    """Estimate what is not done yet; drawing the bar is where it can be stopped."""
    bar = st.progress(0.0, "Looking at every folder …")
    done: list[str] = []

    def on_progress(folder: str) -> None:
        done.append(folder)
        bar.progress(min(len(done) / ships, 1.0), f"{folder} is done …")

    sampling = asked.sampling | {"samples": samples}
    fleet = estimate_fleet(root(), **sampling, workers=1, on_progress=on_progress)
    bar.empty()
    return fleet


def _shown(fleet: Fleet, first_line: DeltaGenerator) -> None:
    for failure in fleet.failures:
        words = f"{failure.folder} is not estimated. {failure.reason}"
        st.error(escape_markdown(words))
    if fleet.ships.empty:
        return
    doubts_badge.fill_of_fleet(fleet.ships)
    said = fleet.to_json()["dangers"]
    page_parts.dangers([{"text": f"{row['ship']}: {row['text']}"} for row in said])
    worst, due = fleet.ships.iloc[0], int(fleet.ships["zones_due"].sum())
    page_parts.say(
        f"{worst['ship']} first: {worst['worst_zone']}, {worst['worst_name']}, has "
        f"a {chance(worst['chance_below_limit'])} chance to be below its limit. "
        f"{counted(due, 'zone')} of all ships {'is' if due == 1 else 'are'} "
        "due now.",
        first_line,
    )
    page_parts.table(ships(rows_of(fleet.ships)))
    with st.container(horizontal=True, vertical_alignment="bottom"):
        known = [name for name in fleet.ships["folder"] if name in found_ships()]
        name = st.selectbox("Ship to look at", known, width=280)
        if name is not None and st.button("Choose her for every page"):
            st.session_state[CHOOSE_NEXT] = name
            st.rerun()
