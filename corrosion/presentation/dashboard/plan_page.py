"""Gauging plan: hours and ways in, cards in and out, the sheet that is printed."""

from dataclasses import dataclass
from functools import partial
from typing import Any, Final, get_args

import streamlit as st
from markupsafe import Markup

from corrosion.foundation.beside import beside
from corrosion.foundation.errors import InputError
from corrosion.presentation.answers import plan_choice
from corrosion.presentation.answers.plan import Gaugeable, gauging_plan
from corrosion.presentation.dashboard import cached, components, page_parts
from corrosion.presentation.dashboard.chosen_ship import Chosen
from corrosion.presentation.dashboard.markup import WORDS, escape_markdown, markup
from corrosion.presentation.dashboard.plan_readings import type_in
from corrosion.presentation.dashboard.sheets import plan_sheet
from corrosion.presentation.format import chance
from corrosion.presentation.sentences import settled_sentence
from corrosion.records.ship import Access, ShipLies
from corrosion.results import Estimate

_PARTS: Final = ("Plan", "Type readings in")
_PLAN: Final = _PARTS[0]
_PICKED: Final = "zones in the plan"
_BASED: Final = "ship of the plan"
_ASKED: Final = "hours and ways in of the plan"
_HOURS: Final = "plan hours"
_WAYS: Final = "plan ways in"
_MOST: Final = "plan hours of "


@dataclass(frozen=True, slots=True)
class _Asked:
    """What is at hand; kept apart, since a widget's own is dropped with it."""

    hours: float = 16.0  # two days
    ways: tuple[Access, ...] = get_args(Access)
    most: tuple[tuple[str, float], ...] = ()


@page_parts.screen
def render(chosen: Chosen) -> None:
    """Draw the plan, or the fields for what was read on it."""
    result = page_parts.estimate(chosen)
    could, rows = cached.plan_rows(chosen.key, result)
    _parts(chosen, result, rows, could)


@st.fragment
def _parts(
    chosen: Chosen, result: Estimate, rows: list[plan_choice.PlanRow], could: Gaugeable
) -> None:
    """Draw everything that moves with a click, and nothing else."""
    state = st.session_state
    state.setdefault(_ASKED, _Asked())
    if _PICKED not in state or state.get(_BASED) != chosen.folder:
        state[_BASED] = chosen.folder  # another ship begins with another sheet
        _refill(result, could)
    first_line = st.container()
    inputs = st.container(key="inputs", horizontal=True, vertical_alignment="bottom")
    with inputs:
        part = page_parts.section(_PARTS, "sheet")
    choice = plan_choice.weigh(could.known, rows, state[_PICKED])
    if part == _PLAN:
        page_parts.say(_sentence(choice), first_line)
        with inputs:
            _inputs(chosen, result, could)
        _picking(result, rows, choice)
    else:
        type_in(chosen, result, choice.rows, first_line, on_saved=_forget)


def _forget() -> None:
    """Choose anew when the page is drawn again: what was read moves the ranking."""
    st.session_state.pop(_PICKED, None)


def _picking(
    result: Estimate, rows: list[plan_choice.PlanRow], choice: plan_choice.Choice
) -> None:
    asked: _Asked = st.session_state[_ASKED]
    st.html(_figures(choice, asked.hours))
    st.html(WORDS["plan cards"])
    others = [row for row in rows if row not in choice.rows]
    rest = [row for row in others if row.card.access in asked.ways]
    components.cards(
        [_card(row) for row in (*choice.rows, *rest)],
        [row.card.zone for row in choice.rows],
        key="picks",
        on_change=_take,
    )
    settled = settled_sentence([row.card.zone for row in others if row.settled])
    if settled:
        st.caption(escape_markdown(settled))
    st.html(plan_sheet(result, choice))


def _inputs(chosen: Chosen, result: Estimate, could: Gaugeable) -> None:
    asked: _Asked = st.session_state[_ASKED]
    again: dict[str, Any] = {"on_change": _refill, "args": (result, could)}
    st.number_input(
        "Hours at hand",
        min_value=1.0,
        max_value=2000.0,
        value=asked.hours,
        step=4.0,
        format="%g",
        key=_HOURS,
        width=150,
        **again,
    )
    st.pills(
        "Ways in",
        get_args(Access),
        selection_mode="multi",
        default=asked.ways,
        key=_WAYS,
        **again,
    )
    with st.popover("Hours of each"):
        for way in asked.ways:
            st.number_input(
                f"{way.capitalize()}: hours at most",
                min_value=0.0,
                value=dict(asked.most).get(way),
                step=4.0,
                format="%g",
                placeholder="all",
                key=_MOST + way,
                **again,
            )
    st.button("Choose the best", on_click=_refill, args=(result, could))
    components.print_button("Print the sheets", 140)
    with st.popover("Report"):
        _report(chosen, result, asked)


def _report(chosen: Chosen, result: Estimate, asked: _Asked) -> None:
    """Offer the report, which plans for the hours and ways in of the page."""
    lies: ShipLies | None = st.selectbox(
        "How she lies, for the report's hunt sheets",
        get_args(ShipLies),
        index=None,
        placeholder="not told: no hunt sheets",
        key="report lies",
    )
    units = page_parts.units()
    page_parts.save_file(
        "Report for a meeting (to print)",
        lambda: cached.report(
            chosen.key, result, asked.hours, asked.ways, asked.most, units, lies
        ),
        f"report-{chosen.folder.name}-{chosen.as_of}.html",
    )
    st.caption(WORDS["plan report"])


def _refill(result: Estimate, could: Gaugeable) -> None:
    """Choose anew for what is at hand now."""
    state = st.session_state
    before: _Asked = state[_ASKED]
    most = {
        way: state.get(_MOST + way, dict(before.most).get(way)) for way in before.ways
    }
    asked = _Asked(
        float(state.get(_HOURS) or before.hours),
        tuple(state.get(_WAYS, before.ways)),
        tuple((way, hours) for way, hours in most.items() if hours is not None),
    )
    state[_ASKED] = asked
    try:
        best = beside(
            partial(
                gauging_plan,
                result,
                hours=asked.hours,
                access=asked.ways,
                access_hours={way: h for way, h in asked.most if way in asked.ways},
                could=could,
            )
        )
        state[_PICKED] = tuple(best["zones"])
    except InputError:
        state[_PICKED] = ()


def _take() -> None:
    """Take over what was clicked."""
    st.session_state[_PICKED] = tuple(st.session_state["picks"].chosen)


def _sentence(choice: plan_choice.Choice) -> str:
    if not choice.rows:
        return "Nothing is on the sheet: raise the hours, add a way in, or tick a zone."
    ways: dict[str, float] = {}
    for row in choice.rows:
        ways[row.card.access] = ways.get(row.card.access, 0.0) + row.card.hours
    told = ", ".join(f"{hours:g} h {way}" for way, hours in ways.items())
    count = len(choice.rows)
    zones = "one zone" if count == 1 else f"{count} zones"
    return f"Gauge {zones}: {told}. {choice.rows[0].card.name} comes first."


def _figures(choice: plan_choice.Choice, hours: float) -> str:
    """Return the figures that move with every click."""
    over = choice.hours - hours
    if over > 0.0:
        spare = f"{over:g} h too many"
    else:
        spare = f"{-over:g} h to spare" if over < 0.0 else "none to spare"
    used = markup("meter", min(100.0 * choice.hours / hours, 100.0))
    left = markup("meter", 100.0 * choice.risk_left)
    spare = Markup('<span class="{}">{}</span>').format("below" * (over > 0.0), spare)
    cells = (
        (f"{choice.hours:g} of {hours:g} h", spare, used),
        (f"{choice.deficits:.1f}", "deficits this is expected to find"),
        (f"{choice.decisions:.1f}", "decisions it is expected to change"),
        (chance(choice.risk_left), "of the ship's risk lies in other zones", left),
    )
    return str(markup("told", cells, "three four"))


def _card(row: plan_choice.PlanRow) -> dict[str, str]:
    return {
        "id": row.card.zone,
        "title": row.card.name,
        "words": row.card.against_limit,
        "chance": chance(row.chance_now),
        "takes": f"{row.card.hours:g} h {row.card.access}",
    }
