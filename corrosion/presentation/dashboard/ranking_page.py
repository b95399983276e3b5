"""Where do I look first? The answer, the hull unfolded, the ranking, the plan."""

from typing import get_args

import streamlit as st

from corrosion.estimate import Estimate
from corrosion.foundation.errors import InputError
from corrosion.inspection.cautions import ESTIMATE
from corrosion.presentation.answers.dangers import gauging_cautions, grouped
from corrosion.presentation.answers.plan import gauging_plan
from corrosion.presentation.dashboard import cached, page_parts
from corrosion.presentation.dashboard.chosen_ship import Chosen
from corrosion.presentation.dashboard.markdown import escape_markdown
from corrosion.presentation.figures.quantities import QUANTITIES
from corrosion.presentation.figures.ranking import ranking_bars
from corrosion.presentation.figures.shell import shell_expansion
from corrosion.presentation.sentences import (
    ORDER,
    further_sentence,
    headline,
    plan_sentence,
    totals_sentence,
)
from corrosion.presentation.tables import planning, zones
from corrosion.records.ship import Access, ShipLies

__all__ = ["render"]

_SHOWN = 12


@page_parts.screen
def render(chosen: Chosen) -> None:
    """Show which zones to gauge first, and why."""
    result = page_parts.estimate(chosen)
    page_parts.say(headline(result))
    page_parts.caution(ESTIMATE)
    st.markdown(escape_markdown(totals_sentence(result, page_parts.units())))
    _shell(result)
    _zone(result)
    _ranking(result)
    _plan(result)
    _report(chosen, result)
    page_parts.doubts(result.warnings)


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
    )
    page_parts.chart(figure, result.zones, "shell expansion", on_select=_clicked)


def _zone(result: Estimate) -> None:
    zone = st.session_state.get("zone") or result.zones["zone"].iloc[0]
    row = result.zones.set_index("zone", drop=False).loc[zone].to_dict()
    with st.container(border=True):
        where = f"frames {row['frame_from']:g} to {row['frame_to']:g}, {row['side']}"
        name = escape_markdown(row["name"])
        st.markdown(
            f"**{escape_markdown(str(zone))}** {name}, {where}: "
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


def _plan(result: Estimate) -> None:
    st.header("The best use of the hours at hand", anchor=False)
    left, right = st.columns(2)
    hours = left.number_input(
        "Hours at hand", min_value=1.0, value=16.0, step=4.0, format="%g", key="hours"
    )
    access = right.multiselect(
        "Ways in that can be had",
        get_args(Access),
        default=get_args(Access),
        key="access",
    )
    own = {
        kind: most
        for kind, column in zip(access, st.columns(len(get_args(Access))), strict=False)
        if (
            most := column.number_input(
                f"{kind.capitalize()}: hours at most",
                min_value=0.0,
                value=None,
                step=4.0,
                format="%g",
                placeholder="all",
                key=f"hours {kind}",
            )
        )
        is not None
    }
    try:
        plan = gauging_plan(
            result, hours=float(hours or 1.0), access=access, access_hours=own
        )
    except InputError as error:
        st.warning(escape_markdown(str(error)))
        return
    for text, where in grouped({row["zone"]: row["cautions"] for row in plan["rows"]}):
        page_parts.caution(f"{', '.join(where)}: {text}")
    page_parts.table(planning.plan(plan))
    page_parts.table(planning.days(plan))
    st.caption(escape_markdown(plan_sentence(plan)))
    st.caption(escape_markdown(further_sentence(plan)))


def _report(chosen: Chosen, result: Estimate) -> None:
    """Offer the report, its plan as the page plans."""
    state = st.session_state
    access = tuple(state.get("access", get_args(Access)))
    own = {kind: state.get(f"hours {kind}") for kind in access}
    asked = tuple((kind, most) for kind, most in own.items() if most is not None)
    hours = float(state.get("hours") or 1.0)
    lies: ShipLies | None = st.selectbox(
        "How she lies, for the report's hunt sheets",
        get_args(ShipLies),
        index=None,
        placeholder="not told: no hunt sheets",
        key="report lies",
        width=320,
    )
    units = page_parts.units()
    st.download_button(
        "Report for a meeting (to print)",
        data=lambda: cached.report(
            chosen.key, result, hours, access, asked, units, lies
        ),
        file_name=f"report-{chosen.folder.name}-{chosen.as_of}.html",
        mime="text/html",
        on_click="ignore",
        help="One file that prints on A4: the answer, ranking, plan, what-ifs, "
        "gaugings, assumptions, sources and cautions. It takes some seconds.",
    )
