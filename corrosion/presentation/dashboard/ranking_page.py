"""All zones: the hull unfolded, one zone's facts, the ranking, the ship as a whole."""

import streamlit as st

from corrosion.inspection.cautions import ESTIMATE
from corrosion.presentation.answers.dangers import gauging_cautions
from corrosion.presentation.dashboard import page_parts
from corrosion.presentation.dashboard.chosen_ship import Chosen
from corrosion.presentation.dashboard.markup import escape, escape_markdown
from corrosion.presentation.figures.quantities import QUANTITIES
from corrosion.presentation.figures.ranking import ranking_bars
from corrosion.presentation.figures.shell import shell_expansion
from corrosion.presentation.sentences import (
    ORDER,
    couple_sentence,
    first_sentence,
    totals_sentence,
)
from corrosion.presentation.tables import zones
from corrosion.results import Estimate

_SHOWN = 12


@page_parts.screen
def render(chosen: Chosen) -> None:
    """Show which zones to gauge first, and why."""
    result = page_parts.estimate(chosen)
    page_parts.say(first_sentence(result))
    said = f"{couple_sentence(result)} {totals_sentence(result, page_parts.units())}"
    page_parts.ahead(said)
    st.html(f'<p class="cap"><b>Caution.</b> {escape(ESTIMATE)}</p>')
    _shell(result)
    _zone(result)
    _ranking(result)


def _clicked() -> None:
    """Take the zone that was clicked on the shell into the menu beneath it."""
    points = st.session_state["shell expansion"].selection.points
    if points:
        st.session_state["zone"] = points[0]["customdata"][0]


def _shell(result: Estimate) -> None:
    units = page_parts.units()
    left, right = st.columns(2)
    colour = left.selectbox(
        "Colour the hull by",
        list(QUANTITIES),
        format_func=lambda name: (
            f"{QUANTITIES[name].label} ({units.of(QUANTITIES[name].unit)[1]})"
        ),
        key="colour",
        bind="query-params",
    )
    zone = right.selectbox(
        "Zone (or click one on the hull)",
        result.zones["zone"].tolist(),
        key="zone",
        bind="query-params",
    )
    figure = shell_expansion(
        result.zones,
        result.ship.form,
        colour=str(colour),
        selected=zone,
        units=units,
        width=page_parts.width(),
    )
    page_parts.chart(figure, result.zones, "shell expansion", on_select=_clicked)


def _zone(result: Estimate) -> None:
    zone = st.session_state.get("zone") or result.zones["zone"].iloc[0]
    row = result.zones.set_index("zone", drop=False).loc[zone].to_dict()
    with st.container(border=True):
        name = escape_markdown(row["name"])
        st.markdown(
            f"**{escape_markdown(str(zone))}** {name}, {zones.place(row)}: "
            f"number {row['rank']} in the order to gauge"
        )
        for text in gauging_cautions(result)[str(zone)]:
            page_parts.caution(text)
        facts = zones.zone_facts(row, page_parts.units())
        columns = st.columns(3)
        each = -(-len(facts) // len(columns))
        for place, column in enumerate(columns):
            some = facts[place * each : (place + 1) * each]
            column.markdown(
                "  \n".join(
                    f"{what}: **{escape_markdown(value)}**" for what, value in some
                )
            )


def _ranking(result: Estimate) -> None:
    st.header("All zones, the most urgent first", anchor=False)
    st.caption(ORDER)
    rows, drawn = st.tabs(["As a table", "As a drawing"])
    with rows:
        page_parts.table(zones.ranking(result))
    with drawn:
        some = result.zones.head(_SHOWN)
        page_parts.chart(ranking_bars(some, page_parts.units()), some, "thickness left")
    st.header("The ship as a whole", anchor=False)
    page_parts.table(zones.totals(result, page_parts.units()))
