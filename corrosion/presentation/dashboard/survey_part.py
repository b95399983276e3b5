"""Insulation surveys by circuit: typed in, at one temperature, with their trend."""

from typing import Final

import streamlit as st
from streamlit.delta_generator import DeltaGenerator

from corrosion.inspection.cautions import SURVEY
from corrosion.inspection.fault_finding.sheet import circuits_of
from corrosion.leakage.visibility import least_shown, monitor_alarm
from corrosion.presentation.answers.surveys import surveys_result
from corrosion.presentation.dashboard import page_parts
from corrosion.presentation.dashboard.chosen_ship import Chosen
from corrosion.presentation.dashboard.entries import Form, heads, preview
from corrosion.presentation.dashboard.markup import WORDS, escape_markdown
from corrosion.presentation.figures.insulation import insulation_trends
from corrosion.presentation.format import ohms
from corrosion.presentation.sentences import surveys_sentence
from corrosion.presentation.tables import upkeep
from corrosion.records.ship import Circuit, Ship

_FORM: Final = Form("insulation survey")
_MEGOHM: Final = 1e6


def survey(chosen: Chosen, first_line: DeltaGenerator) -> None:
    """Draw the surveys so far, the fields of another, and the trend."""
    found = surveys_result(chosen.ship)
    page_parts.say(surveys_sentence(found), first_line)
    for doubt in found["warnings"]:
        st.warning(escape_markdown(doubt))
    if chosen.may_write and chosen.ship.systems:
        _fields(chosen)
    else:
        page_parts.refused(chosen)
    rows = upkeep.surveys(found["surveys"])
    if found["trends"]:
        figure = insulation_trends(found["surveys"], found["reference_celsius"])
        page_parts.chart(figure, rows.spreadsheet(), "insulation over the years")
        page_parts.table(upkeep.survey_trends(found["trends"]))
    if found["surveys"]:
        page_parts.table(rows)
    st.caption(WORDS["survey corrected"])


def _fields(chosen: Chosen) -> None:
    ship = chosen.ship
    page_parts.caution(SURVEY)
    shared = heads(chosen, _FORM)
    first, second = st.columns(2)
    system = first.selectbox(
        "Electrical system", [one.name for one in ship.systems], key=_FORM.key("system")
    )
    circuits = circuits_of(ship, system)
    what, at = "Circuit, isolated and proved dead", f"circuit {system}"
    circuit = _FORM.menu(second, what, circuits, at, blank="choose")
    one, ten, volts, warm = st.columns(4)
    read = {
        "1": _FORM.number(one, "After 1 minute (MΩ)", "one"),
        "10": _FORM.number(ten, "After 10 minutes (MΩ)", "ten"),
    }
    applied = _FORM.number(volts, "Test volts", "volts")
    celsius = _FORM.number(warm, "Temperature of the branch (°C)", "warm")
    rows = [
        {
            **{name: cell for name, cell in shared.items() if cell.strip()},
            "system": str(system),
            "circuit": circuit,
            "insulation_ohm": f"{value * _MEGOHM:g}",
            "minutes": minutes,
            "test_volts": "" if applied is None else f"{applied:g}",
            "temperature_c": "" if celsius is None else f"{celsius:g}",
        }
        for minutes, value in read.items()
        if value is not None
    ]
    problems = [] if not rows else survey_problems(ship, circuits.get(circuit), rows)
    done = f"The test of {circuit} is saved in readings.csv."
    preview(chosen, _FORM, {"readings": rows}, problems, done=done)


def survey_problems(
    ship: Ship, circuit: Circuit | None, rows: list[dict[str, str]]
) -> list[str]:
    """Return why a test cannot be saved as one of a sound branch, a sentence each."""
    if circuit is None:
        return ["Choose the circuit that was tested."]
    found = []
    lowest = min(float(row["insulation_ohm"]) for row in rows)
    least = _least_visible(ship, circuit.system)
    if lowest < least:
        found.append(
            f"{ohms(lowest)} is a fault, not a sound branch (below {ohms(least)}): "
            "write it under Log, Found a fault. Was it GΩ, or MΩ typed as kΩ?"
        )
    applied = rows[0]["test_volts"]
    borne = str(circuit.test)
    most = float(borne) if borne.isdecimal() else 0.0
    if applied and float(applied) > most:
        found.append(
            f"{applied} V on {circuit.circuit}, of which circuits.csv says: {borne}. "
            "Was it disconnected from what those volts harm? Put the circuit right "
            "first, on the page Ship."
        )
    return found


def _least_visible(ship: Ship, name: str) -> float:
    """Return the fault that her lamps would show, or her monitor's alarm [Ω]."""
    system, table = ship.system(name), ship.assumptions
    return max(monitor_alarm(system, table), least_shown(system, table))
