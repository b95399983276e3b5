"""Where the current goes: what leaves the hull into the water, at a berth."""

from typing import Final

import streamlit as st

from corrosion.inspection.cautions import SHORE
from corrosion.leakage.dated_states import berth_at
from corrosion.presentation.answers.currents import (
    Leaving,
    causes_of,
    leaving,
    leaving_words,
    panels,
)
from corrosion.presentation.answers.shore_clamp import clamp_sentences
from corrosion.presentation.dashboard import cached, page_parts
from corrosion.presentation.dashboard.chosen_ship import Chosen
from corrosion.presentation.dashboard.markup import WORDS, escape_markdown
from corrosion.presentation.figures.hull import hull_3d
from corrosion.presentation.figures.quantities import LEAVING
from corrosion.presentation.figures.shell import shell_expansion
from corrosion.presentation.format import number
from corrosion.presentation.tables import currents
from corrosion.records.ship import Berth
from corrosion.results import Estimate

_HULLS: Final = ("Hull unfolded", "Hull in three dimensions")


@page_parts.screen
def render(chosen: Chosen) -> None:
    """Show where an ampere injected in one zone leaves the hull into the water."""
    first_line = st.container()
    result = page_parts.estimate(chosen)
    berths = result.ship.berths
    now = berth_at(result.ship, result.inputs.time_grid.as_of)
    asked = st.query_params.get("berth", "")
    lies = berths.index(now) if now in berths else len(berths) - 1
    left, right = st.columns(2)
    berth = left.selectbox(
        "Berth",
        range(len(berths)),
        index=int(asked) if asked in map(str, range(len(berths))) else lies,
        format_func=lambda k: _named(berths[k]),
        key="berth",
    )
    zone = right.selectbox(
        "One ampere of direct current enters the steel at",
        [*result.zones["zone"], *causes_of(result)],
        key="entry",
        bind="query-params",
    )
    if not 0 <= berth < len(berths):
        return
    st.query_params["berth"] = str(berth)  # bind= would write the words
    gone = leaving(result, berth, zone)
    page_parts.say(leaving_words(gone, berths[berth], zone), first_line)
    _drawn(result, gone)
    _shares(chosen)
    if result.anodes:
        st.header("Anodes", anchor=False)
        page_parts.table(currents.anodes(result.anodes))


def _named(berth: Berth) -> str:
    start = "the beginning" if berth.start is None else berth.start.text
    return f"from {start}: {berth.berth} ({berth.supply})"


def _drawn(result: Estimate, gone: Leaving) -> None:
    if page_parts.section(_HULLS, "hull") == _HULLS[0]:
        density = gone.table[["zone", LEAVING.column]]
        zones = result.zones.merge(density, on="zone")
        figure = shell_expansion(
            zones, result.ship.form, colour=LEAVING, width=page_parts.width()
        )
        page_parts.chart(figure, gone.table, "current on the unfolded hull")
    else:
        corners, values = panels(result, gone.table)
        figure = hull_3d(corners, values, label=LEAVING.label, unit=LEAVING.unit)
        page_parts.chart(figure, gone.table, "hull in three dimensions")
        st.caption("Drag to turn the hull.")
    st.caption(WORDS["currents colours"])
    page_parts.table(currents.leaving(gone))


def _shares(chosen: Chosen) -> None:
    st.header("Every berth", anchor=False)
    page_parts.caution(SHORE)
    answer = cached.hull(chosen.key, chosen.ship)
    st.markdown(WORDS["currents share"])
    page_parts.table(currents.berths(answer))
    for said in clamp_sentences(answer["berths"][-1]) if answer["berths"] else []:
        st.markdown(escape_markdown(said))
    st.caption(
        f"The hull as the model sees it: {number(answer['displacement_m3'], 4)} m³ "
        f"displaced, {number(answer['wetted_m2'], 4)} m² wetted, "
        f"{number(answer['resistance_to_remote_ohm'])} Ω from it to remote earth."
    )
