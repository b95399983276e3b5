"""Gauging plan: hours and ways in, cards in and out, the sheet that is printed."""

from typing import Final, get_args

import streamlit as st

from corrosion.estimate import Estimate
from corrosion.foundation.errors import InputError
from corrosion.presentation.answers.plan_choice import (
    Choice,
    PlanRow,
    best_zones,
    plan_rows,
    weigh,
)
from corrosion.presentation.dashboard import components, page_parts
from corrosion.presentation.dashboard.chosen_ship import Chosen
from corrosion.presentation.dashboard.plan_sheet import plan_sheet
from corrosion.presentation.format import chance
from corrosion.records.ship import Access

__all__ = ["render"]

_PICKED: Final = "zones in the plan"
_HOURS: Final = "plan hours"
_WAYS: Final = "plan ways in"


@page_parts.screen
def render(chosen: Chosen) -> None:
    """Draw the plan."""
    result = page_parts.estimate(chosen)
    _picking(result, plan_rows(result))


@st.fragment
def _picking(result: Estimate, rows: list[PlanRow]) -> None:
    """Draw everything that moves with a click, and nothing else."""
    first_line = st.empty()
    hours, ways = _inputs(result)
    state = st.session_state
    if _PICKED not in state:
        _refill(result)
    choice = weigh(rows, state[_PICKED])
    first_line.html(f'<h1 class="say">{_sentence(choice)}</h1>')
    st.html(_figures(choice, hours))
    st.html(
        '<p class="head">Ticked zones are on the sheet; the rest follow by what an '
        "hour there is worth. Chance: below a limit today.</p>"
    )
    rest = [row for row in rows if row.card.access in ways and row not in choice.rows]
    components.cards(
        [_card(row) for row in (*choice.rows, *rest)],
        [row.card.zone for row in choice.rows],
        key="picks",
        on_change=_take,
    )
    st.html(plan_sheet(result, choice))


def _inputs(result: Estimate) -> tuple[float, list[str]]:
    ways = list(get_args(Access))
    with st.container(key="inputs", horizontal=True, vertical_alignment="bottom"):
        hours = st.number_input(
            "Hours at hand",
            min_value=1.0,
            max_value=2000.0,
            value=16.0,
            step=4.0,
            format="%g",
            key=_HOURS,
            on_change=_refill,
            args=(result,),
            width=150,
        )
        chosen = st.pills(
            "Ways in",
            ways,
            selection_mode="multi",
            default=ways,
            key=_WAYS,
            on_change=_refill,
            args=(result,),
        )
        st.button("Choose the best", on_click=_refill, args=(result,))
        with st.container(width=150):
            components.print_button("Print the sheets")
    return float(hours or 1.0), list(chosen)


def _refill(result: Estimate) -> None:
    """Choose anew for the hours and ways in that are set now."""
    state = st.session_state
    try:
        state[_PICKED] = best_zones(
            result, hours=float(state[_HOURS] or 1.0), access=state[_WAYS]
        )
    except InputError:
        state[_PICKED] = ()


def _take() -> None:
    """Take over what was clicked."""
    st.session_state[_PICKED] = tuple(st.session_state["picks"].chosen)


def _sentence(choice: Choice) -> str:
    if not choice.rows:
        return "Nothing is on the sheet: raise the hours, add a way in, or tick a zone."
    ways: dict[str, float] = {}
    for row in choice.rows:
        ways[row.card.access] = ways.get(row.card.access, 0.0) + row.card.hours
    told = ", ".join(f"{hours:g} h {way}" for way, hours in ways.items())
    count = len(choice.rows)
    zones = "one zone" if count == 1 else f"{count} zones"
    return f"Gauge {zones}: {told}. {choice.rows[0].card.name} comes first."


def _figures(choice: Choice, hours: float) -> str:
    """Return the figures that move with every click."""
    over = choice.hours - hours
    if over > 0.0:
        spare = f"{over:g} h too many"
    else:
        spare = f"{-over:g} h to spare" if over < 0.0 else "none to spare"
    used = min(100.0 * choice.hours / hours, 100.0)
    cells = (
        (
            f"{choice.hours:g} of {hours:g} h",
            f'<span class="{"below" * (over > 0.0)}">{spare}</span>',
            used,
        ),
        (f"{choice.deficits:.1f}", "deficits this is expected to find", None),
        (
            chance(choice.risk_left),
            "of the ship's risk lies in other zones",
            100.0 * choice.risk_left,
        ),
    )
    return (
        '<div class="told three" role="status">'
        + "".join(
            f'<div><span class="num">{head}</span><p class="cap">{words}</p>'
            + (
                ""
                if width is None
                else f'<div class="meter"><i style="width:{width:.0f}%"></i></div>'
            )
            + "</div>"
            for head, words, width in cells
        )
        + "</div>"
    )


def _card(row: PlanRow) -> dict[str, str]:
    return {
        "id": row.card.zone,
        "title": row.card.name,
        "words": row.card.against_limit,
        "chance": chance(row.chance_now),
        "takes": f"{row.card.hours:g} h {row.card.access}",
    }
