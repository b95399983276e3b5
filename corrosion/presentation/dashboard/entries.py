"""Entries of the short forms; their names are columns of faults.csv.

What was entered is taken at the press of the button, before the page is drawn anew:
where somebody else has saved meanwhile, a menu may then hold other choices than the
one that was chosen from. Once a form is saved, it is empty again.
"""

from collections.abc import Iterable
from typing import Any, get_args

import streamlit as st
from streamlit.delta_generator import DeltaGenerator

from corrosion.inspection.fault_finding.sheet import circuits_of
from corrosion.presentation.dashboard import forms
from corrosion.presentation.dashboard.chosen_ship import Chosen
from corrosion.records.ship import LampSeen, System

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


def menu(
    place: DeltaGenerator,
    label: str,
    choices: Iterable[str],
    at: str,
    *,
    blank: str = "not known",
    more: bool = False,
) -> str | None:
    """Draw a menu, blank at first; ``more``: what is not in it can be typed."""
    found: str | None = place.selectbox(
        label,
        list(choices),
        index=None,
        placeholder=blank,
        accept_new_options=more,
        key=at,
    )
    return found


def number(
    place: DeltaGenerator, label: str, at: str, least: float | None = None
) -> float | None:
    """Draw a field for a number, blank at first, that is ``least`` at least."""
    found: float | None = place.number_input(
        label, value=None, min_value=least, format="%g", key=at
    )
    return found


def place_entries(chosen: Chosen, system: str | None, form: str) -> None:
    """Draw the entries that say which fault, where and when, within a form."""
    ship = chosen.ship
    first, second, third = st.columns(3)
    first.text_input(
        "Fault id",
        value=forms.next_id(f.fault for f in ship.faults),
        key=key(form, "fault"),
    )
    menu(second, "Circuit", circuits_of(ship, system), key(form, "circuit"), more=True)
    menu(
        third,
        "Zone where it enters the steel",
        (zone.zone for zone in ship.zones),
        key(form, "zone"),
        blank="not found yet",
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
    menu(first, "Conductor, if known", names, key(form, "conductor"))
    number(second, "Clamp current into the hull (A)", key(form, "amps"))
    ohms = key(form, "insulation_ohm")
    number(third, "Insulation test of the branch (Ω)", ohms, 0.0)
    for name, column in zip(names, st.columns(len(names)), strict=True):
        number(
            column, f"Volts to hull, {name} (V)", key(form, forms.VOLT_COLUMNS[name])
        )
    meter = "Input resistance of that voltmeter (Ω); most digital meters: 10000000"
    number(st.container(), meter, key(form, "meter_ohm"), 100.0)
    if system.lamps is not None:
        looks = get_args(LampSeen)
        columns = st.columns(len(names))
        for letter, name, column in zip("abc", names, columns, strict=False):
            at = key(form, f"lamp_{letter}")
            menu(column, f"Lamp {name}", looks, at, blank="not looked at")
