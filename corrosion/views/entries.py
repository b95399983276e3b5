"""Entries of the short forms, within a form; their keys are columns of faults.csv."""

from typing import Any

import streamlit as st

from corrosion.leakage.lamps import PICTURES
from corrosion.records.ship import System
from corrosion.views import forms
from corrosion.views.chooser import Chosen

__all__ = ["DATES", "place_entries", "reading_entries"]

DATES = "As exact as you know: 2026, 2026-11, 2026-11-25 or 2026-11-25 14:20"
"""How a date is written."""


def place_entries(chosen: Chosen, system: str | None) -> dict[str, Any]:
    """Draw the entries that say which fault, where and when, within a form.

    Keys are columns of faults.csv.
    """
    ship = chosen.ship
    circuits = [c.circuit for c in ship.circuits if c.system == system]
    circuits += [f.circuit for f in ship.faults if f.circuit and f.system == system]
    first, second, third = st.columns(3)
    entries: dict[str, Any] = {
        "fault": first.text_input(
            "Fault id", value=forms.next_id(f.fault for f in ship.faults)
        ),
        "circuit": second.selectbox(
            "Circuit",
            list(dict.fromkeys(circuits)),
            index=None,
            placeholder="not known",
            accept_new_options=True,
        ),
        "zone": third.selectbox(
            "Zone where it enters the steel",
            [zone.zone for zone in ship.zones],
            index=None,
            placeholder="not found yet",
        ),
    }
    first, second = st.columns(2)
    entries["found"] = first.text_input("Found", value=str(chosen.as_of), help=DATES)
    entries["last_good"] = second.text_input(
        "Last good check, if known", placeholder="2026-11-24 08:00", help=DATES
    )
    entries["remark"] = st.text_input("Remark")
    return entries


def reading_entries(system: System) -> dict[str, Any]:
    """Draw the entries of a fault's readings; keys are columns of faults.csv."""
    names = system.conductors
    first, second, third = st.columns(3)
    entries: dict[str, Any] = {
        "conductor": first.selectbox(
            "Conductor, if known", names, index=None, placeholder="not known"
        ),
        "amps": second.number_input(
            "Clamp current into the hull (A)", value=None, format="%g"
        ),
        "insulation_ohm": third.number_input(
            "Insulation test of the branch (Ω)", value=None, min_value=0.0, format="%g"
        ),
    }
    for name, column in zip(names, st.columns(len(names)), strict=True):
        entries[forms.VOLT_COLUMNS[name]] = column.number_input(
            f"Volts to hull, {name} (V)", value=None, format="%g"
        )
    entries["meter_ohm"] = st.number_input(
        "Input resistance of that voltmeter (Ω); most digital meters: 10000000",
        value=None,
        min_value=100.0,
        format="%g",
    )
    if system.lamps is not None:
        columns = st.columns(len(names))
        for letter, name, column in zip("abc", names, columns, strict=False):
            entries[f"lamp_{letter}"] = column.selectbox(
                f"Lamp {name}", PICTURES, index=None, placeholder="not looked at"
            )
    return entries
