"""Entries of the short forms; their names are columns of faults.csv.

What was entered is taken at the press of the button, before the page is drawn anew:
where somebody else has saved meanwhile, a menu may then hold other choices than the
one that was chosen from. Once a form is saved, it is empty again.
"""

from typing import Any, get_args

import streamlit as st

from corrosion.inspection.fault_finding.sheet import circuits_of
from corrosion.presentation.dashboard import forms
from corrosion.presentation.dashboard.chosen_ship import Chosen
from corrosion.records.ship import LampSeen, System

__all__ = [
    "DATES",
    "button",
    "done",
    "key",
    "place_entries",
    "reading_entries",
    "sent",
]

DATES = "As exact as you know: 2026, 2026-11, 2026-11-25 or 2026-11-25 14:20"
"""How a date is written."""


def key(form: str, column: str = "") -> str:
    """Return the key of an entry of a form; another one once the form was saved."""
    return f"{form} {st.session_state.get(f'{form} saved', 0)} {column}"


def button(form: str, label: str, *, primary: bool = False) -> None:
    """Draw the button that sends a form."""
    st.form_submit_button(
        label,
        type="primary" if primary else "secondary",
        on_click=_send,
        args=(form,),
    )


def _send(form: str) -> None:
    head = key(form)
    entered = {str(k): v for k, v in st.session_state.items()}
    st.session_state[f"{form} sent"] = {
        k.removeprefix(head): v for k, v in entered.items() if k.startswith(head)
    }


def sent(form: str) -> dict[str, Any] | None:
    """Return what a form was sent with in this run, by column; None: it was not."""
    entered: dict[str, Any] | None = st.session_state.pop(f"{form} sent", None)
    return entered


def done(form: str) -> None:
    """Empty a form, since it is saved."""
    count = f"{form} saved"
    st.session_state[count] = st.session_state.get(count, 0) + 1


def place_entries(chosen: Chosen, system: str | None, form: str) -> None:
    """Draw the entries that say which fault, where and when, within a form."""
    ship = chosen.ship
    first, second, third = st.columns(3)
    first.text_input(
        "Fault id",
        value=forms.next_id(f.fault for f in ship.faults),
        key=key(form, "fault"),
    )
    second.selectbox(
        "Circuit",
        list(circuits_of(ship, system)),
        index=None,
        placeholder="not known",
        accept_new_options=True,
        key=key(form, "circuit"),
    )
    third.selectbox(
        "Zone where it enters the steel",
        [zone.zone for zone in ship.zones],
        index=None,
        placeholder="not found yet",
        key=key(form, "zone"),
    )
    first, second = st.columns(2)
    first.text_input(
        "Found", value=str(chosen.as_of), help=DATES, key=key(form, "found")
    )
    second.text_input(
        "Last good check, if known",
        placeholder="2026-11-24 08:00",
        help=DATES,
        key=key(form, "last_good"),
    )
    st.text_input("Remark", key=key(form, "remark"))


def reading_entries(system: System, form: str) -> None:
    """Draw the entries of a fault's readings, within a form."""
    names = system.conductors
    first, second, third = st.columns(3)
    first.selectbox(
        "Conductor, if known",
        names,
        index=None,
        placeholder="not known",
        key=key(form, "conductor"),
    )
    second.number_input(
        "Clamp current into the hull (A)",
        value=None,
        format="%g",
        key=key(form, "amps"),
    )
    third.number_input(
        "Insulation test of the branch (Ω)",
        value=None,
        min_value=0.0,
        format="%g",
        key=key(form, "insulation_ohm"),
    )
    for name, column in zip(names, st.columns(len(names)), strict=True):
        column.number_input(
            f"Volts to hull, {name} (V)",
            value=None,
            format="%g",
            key=key(form, forms.VOLT_COLUMNS[name]),
        )
    st.number_input(
        "Input resistance of that voltmeter (Ω); most digital meters: 10000000",
        value=None,
        min_value=100.0,
        format="%g",
        key=key(form, "meter_ohm"),
    )
    if system.lamps is not None:
        columns = st.columns(len(names))
        for letter, name, column in zip("abc", names, columns, strict=False):
            column.selectbox(
                f"Lamp {name}",
                get_args(LampSeen),
                index=None,
                placeholder="not looked at",
                key=key(form, f"lamp_{letter}"),
            )
