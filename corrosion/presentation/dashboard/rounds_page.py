"""Rounds and hook-up: what to read each month, at the shore cable, and in dock."""

from typing import Final, get_args

import streamlit as st
from markupsafe import Markup
from streamlit.delta_generator import DeltaGenerator

from corrosion.foundation.units import HOUR
from corrosion.inspection.cautions import CLAMP, LAMPS, PROVE
from corrosion.presentation.answers import rounds
from corrosion.presentation.dashboard import components, page_parts
from corrosion.presentation.dashboard.chosen_ship import Chosen
from corrosion.presentation.dashboard.docking_part import docking
from corrosion.presentation.dashboard.entries import Form, earth_lead, heads, preview
from corrosion.presentation.dashboard.hook_up_part import hook_up
from corrosion.presentation.dashboard.importing import take_back
from corrosion.presentation.dashboard.markup import WORDS, escape
from corrosion.presentation.dashboard.sheets import LINE, bold, box, paper
from corrosion.presentation.dashboard.survey_part import survey
from corrosion.presentation.format import duration
from corrosion.records.as_of import end_of_day
from corrosion.records.ship import LampSeen, Ship, System

_FORM: Final = Form("monthly round")
_SEEN: Final = get_args(LampSeen)
_KILOHM: Final = 1e3
_DAY_H: Final = 24.0


def monthly_round(chosen: Chosen, first_line: DeltaGenerator) -> None:
    """Draw the round of all systems and of the shore cable's earth lead."""
    ship = chosen.ship
    page_parts.say(_sentence(chosen), first_line)
    st.html(round_sheet(ship))
    page_parts.caution(LAMPS)
    if page_parts.refused(chosen):
        components.print_button("Print the sheet", 200)
        return
    shared = heads(chosen, _FORM)
    found = [_system(one) for one in ship.systems]
    with st.container(border=True):
        st.html(WORDS["round earth lead"])
        towards = "Direct (mA), positive towards the ship"
        amps = earth_lead(_FORM, towards, "Alternating (mA)")
    read = [one for one in found if one.read]
    rows = [rounds.round_row(one, {"remark": "round", **_said(shared)}) for one in read]
    rows += rounds.earth_lead_rows(amps, shared)
    problems = [
        text for one in read if (text := rounds.round_problem(one, ship.assumptions))
    ]
    done = "The round is saved in readings.csv."
    preview(chosen, _FORM, {"readings": rows}, problems, done=done)
    components.print_button("Print the sheet", 200)


def _said(shared: dict[str, str]) -> dict[str, str]:
    return {name: cell for name, cell in shared.items() if cell.strip()}


def _sentence(chosen: Chosen) -> str:
    ship = chosen.ship
    lamps = sum(one.lamps is not None for one in ship.systems)
    monitors = sum(one.monitor is not None for one in ship.systems)
    some = f"the lamps of {lamps} systems" if lamps > 1 else "the lamps"
    parts = [some] * bool(lamps)
    parts += ["the insulation monitor"] * bool(monitors)
    parts.append("the earth lead of the shore cable")
    told = f"{', '.join(parts[:-1])} and {parts[-1]}" if len(parts) > 1 else parts[0]
    last = max((t.middle for s in ship.systems for t in ship.rounds(s.name)), default=0)
    if not last:
        return f"Read {told}: no healthy round is written yet."
    hours = (end_of_day(chosen.as_of) - last) / HOUR
    ago = "less than a day" if hours < _DAY_H else duration(hours)
    return f"Read {told}: the last healthy round was {ago} ago."


def _system(system: System) -> rounds.RoundOfSystem:
    with st.container(border=True, key=f"round-{system.name}"):
        name, monitor = st.columns([2, 1], vertical_alignment="center")
        name.html(f"<b>{escape(system.name)}</b>")
        what = f"Insulation monitor of {system.name}, if fitted (kΩ)"
        shown = _FORM.number(monitor, what, f"{system.name} monitor", 0.0)
        lamps: list[str] = []
        if system.lamps is not None:
            columns = st.columns(3)
            lamps = [
                _FORM.one_of(
                    column,
                    f"Lamp {name} of {system.name}",
                    _SEEN,
                    f"{system.name} {name}",
                )
                for name, column in zip(system.conductors, columns, strict=False)
            ]
    return rounds.RoundOfSystem(
        system=system,
        lamps=tuple(lamps),
        monitor_ohm=None if shown is None else shown * _KILOHM,
    )


def round_sheet(ship: Ship) -> str:
    """Return the sheet of the round: a row a reading, three rounds to a page."""
    rows: list[tuple[str, ...]] = []
    for system in ship.systems:
        name = bold(system.name)
        if system.lamps is not None:
            seen = (f"{c}: {' / '.join(_SEEN)}" for c in system.conductors)
            what = Markup("<br>").join(("lamps, tried first", *seen))
            rows.append((name, what, *[box()] * 3))
        rows.append((name, "monitor, kΩ (if fitted)", *[box(2)] * 3))
    rows.append(("shore cable", "earth lead, mA direct (sign)", *[box(2)] * 3))
    rows.append(("shore cable", "earth lead, mA alternating", *[box(2)] * 3))
    heads = ("system", "what to read", "1st", "2nd", "3rd round")
    when = f"Round 1: {LINE} by {LINE}. 2: {LINE} by {LINE}. 3: {LINE}"
    return paper(
        f"{ship.name}: monthly round", when, [(heads, rows)], (LAMPS, CLAMP, PROVE)
    )


_PARTS: Final = {
    "Monthly round": monthly_round,
    "Shore hook-up": hook_up,
    "Insulation": survey,
    "Docking list": docking,
}


@page_parts.screen
def render(chosen: Chosen) -> None:
    """Draw one of the four: its answer, its fields, its sheet for paper."""
    first_line = st.container()
    part = page_parts.section(list(_PARTS), "round")
    _PARTS[part](chosen, first_line)
    take_back(chosen)
