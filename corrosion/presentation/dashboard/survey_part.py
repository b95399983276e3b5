"""Insulation surveys by circuit: typed in, at one temperature, with their trend."""

from typing import Any, Final

import streamlit as st
from streamlit.delta_generator import DeltaGenerator

from corrosion.foundation.errors import InputError
from corrosion.inspection.cautions import SURVEY
from corrosion.inspection.fault_finding.sheet import circuits_of
from corrosion.leakage.lamp_pattern import least_visible_fault
from corrosion.presentation.answers.surveys import survey_rows, survey_trends
from corrosion.presentation.dashboard import entries, page_parts, typed
from corrosion.presentation.dashboard.chosen_ship import Chosen
from corrosion.presentation.format import duration, ohms
from corrosion.presentation.tables import upkeep
from corrosion.records.folder.save_table import save_tables
from corrosion.records.ship import Circuit, Ship

__all__ = ["survey", "survey_problems"]

_FORM: Final = "insulation survey"
_MEGOHM: Final = 1e6
_YEAR_H: Final = 8766.0


def survey(chosen: Chosen, first_line: DeltaGenerator) -> None:
    """Draw the surveys so far, the fields of another, and the trend."""
    trends = survey_trends(chosen.ship)
    first_line.html(page_parts.answer(_sentence(trends)))
    if chosen.may_write and chosen.ship.systems:
        _fields(chosen)
    elif not chosen.may_write:
        st.info(page_parts.READ_ONLY)
    if trends:
        page_parts.table(upkeep.survey_trends(trends))
    rows = survey_rows(chosen.ship)
    if rows:
        page_parts.table(upkeep.surveys(rows))
    st.caption(
        "Corrected to 40 °C: insulation halves each 10 K (common practice). A "
        "polarisation index is of machines; cables and branches rarely show one."
    )


def _sentence(trends: list[dict[str, Any]]) -> str:
    if not trends:
        return "No insulation test of a sound branch is written with its temperature."
    least = trends[0]
    years = least["halving_years"]
    falls = "" if years is None else f", halving in {duration(years * _YEAR_H)}"
    return (
        f"Lowest of {len(trends)} circuits at 40 °C: {least['circuit']}, "
        f"{ohms(least['corrected_ohm'])}{falls}."
    )


def _fields(chosen: Chosen) -> None:
    ship = chosen.ship
    page_parts.caution(SURVEY)
    shared = typed.heads(chosen, _FORM)
    first, second = st.columns(2)
    system = first.selectbox(
        "Electrical system",
        [one.name for one in ship.systems],
        key=entries.key(_FORM, "system"),
    )
    circuits = circuits_of(ship, system)
    circuit = second.selectbox(
        "Circuit, isolated and proved dead",
        list(circuits),
        index=None,
        placeholder="choose",
        key=entries.key(_FORM, f"circuit {system}"),
    )
    one, ten, volts, warm = st.columns(4)
    values = {
        "one": _number(one, "After 1 minute (MΩ)", "one"),
        "ten": _number(ten, "After 10 minutes (MΩ)", "ten"),
        "volts": _number(volts, "Test volts", "volts"),
        "warm": _number(warm, "Temperature of the branch (°C)", "warm"),
    }
    rows = [
        {
            **{name: cell for name, cell in shared.items() if cell.strip()},
            "system": str(system),
            "circuit": str(circuit or ""),
            "insulation_ohm": f"{value * _MEGOHM:g}",
            "minutes": minutes,
            "test_volts": "" if values["volts"] is None else f"{values['volts']:g}",
            "temperature_c": "" if values["warm"] is None else f"{values['warm']:g}",
        }
        for value, minutes in ((values["one"], "1"), (values["ten"], "10"))
        if value is not None
    ]
    problems = (
        [] if not rows else survey_problems(ship, circuits.get(str(circuit)), rows)
    )
    typed.preview(
        _FORM,
        {"readings": rows},
        problems,
        lambda: save_tables(chosen.folder, {"readings": rows}),
        done=f"The test of {circuit} is saved in readings.csv.",
    )


def _number(place: DeltaGenerator, label: str, name: str) -> float | None:
    found: float | None = place.number_input(
        label, value=None, format="%g", key=entries.key(_FORM, name)
    )
    return found


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
    alarm = ship.assumptions.value("monitor_alarm_ohm")
    try:
        system = ship.system(name)
        return max(alarm, least_visible_fault(system, assumptions=ship.assumptions))
    except InputError:  # no lamps
        return alarm
