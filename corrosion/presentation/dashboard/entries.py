"""The fields of forms: typed as cells of a table, looked at, saved, then empty again.

What was entered is taken at the press of the button, before the page is drawn anew:
where somebody else has saved meanwhile, a menu may then hold other choices than the
one that was chosen from.
"""

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from typing import Any, Final, get_args

import pandas as pd
import streamlit as st
from streamlit.delta_generator import DeltaGenerator

from corrosion.foundation.units import MILLIAMPERE
from corrosion.inspection.fault_finding.sheet import circuits_of
from corrosion.presentation.dashboard import page_parts, presses
from corrosion.presentation.dashboard.chosen_ship import Chosen
from corrosion.presentation.dashboard.grids import grid
from corrosion.presentation.dashboard.markup import escape_markdown
from corrosion.records.folder.save_table import save_tables
from corrosion.records.ship import LampSeen, System

DATES: Final = "As exact as you know: 2026, 2026-11, 2026-11-25 or 2026-11-25 14:20"
"""How a date is written."""

DONE: Final[Mapping[str, str]] = {
    "isolated": "isolated: open, locked, tagged by name",
    "cleared": "cleared: repaired, tested, energised again, nothing left open",
}
"""What ends a fault, or makes it safe until it is ended."""

_ENDS: Final = zip("abc+-", ("a", "b", "c", "pos", "neg"), strict=True)
VOLT_COLUMNS: Final = {conductor: f"hull_v_{end}" for conductor, end in _ENDS}
"""Column of faults.csv for the volts to hull of each conductor."""


def cells_of(entries: Mapping[str, Any]) -> dict[str, str]:
    """Return form entries as cells; what was left empty is left out.

    Examples
    --------
    >>> cells_of({"amps": 0.25, "zone": None, "remark": " wet ", "meter_ohm": 1e7})
    {'amps': '0.25', 'remark': 'wet', 'meter_ohm': '10000000'}
    """
    written = {column: _cell(entry) for column, entry in entries.items()}
    return {column: cell for column, cell in written.items() if cell}


def _cell(entry: Any) -> str:
    if entry is None:
        return ""
    if isinstance(entry, float):
        return str(int(entry)) if entry.is_integer() else repr(entry)
    return str(entry).strip()


def next_id(known: Iterable[str]) -> str:
    """Return the id after the last one, in its manner.

    Examples
    --------
    >>> next_id(["GP-001", "GP-087"]), next_id([]), next_id(["galley"])
    ('GP-088', 'F1', 'galley-2')
    """
    names = list(known)
    if not names:
        return "F1"
    last = names[-1]
    stem = last.rstrip("0123456789")
    digits = last[len(stem) :]
    if not digits:
        return _free(f"{last}-", 2, 0, names)
    return _free(stem, int(digits) + 1, len(digits), names)


def _free(stem: str, number: int, width: int, taken: list[str]) -> str:
    while (name := f"{stem}{number:0{width}d}") in taken:
        number += 1
    return name


@dataclass(frozen=True, slots=True)
class Form:
    """Fields that are sent and emptied together, each called by a column."""

    name: str  # begins the key of each field

    def key(self, column: str = "") -> str:
        """Return the key of a field; another one once the form was saved."""
        return f"{self.name} {st.session_state.get(f'{self.name} saved', 0)} {column}"

    def text(self, place: DeltaGenerator, label: str, column: str, **more: Any) -> str:
        """Draw a field for words and return them; ``more``: as Streamlit takes it."""
        return str(place.text_input(label, key=self.key(column), **more))

    def date(
        self, place: DeltaGenerator, label: str, column: str, chosen: Chosen
    ) -> str:
        """Draw a field for a date, the day of the estimate at first."""
        return self.text(place, label, column, value=str(chosen.as_of), help=DATES)

    def menu(
        self,
        place: DeltaGenerator,
        label: str,
        choices: Iterable[str],
        column: str,
        *,
        blank: str = "not known",
        more: bool = False,
    ) -> str:
        """Draw a menu, blank at first; ``more``: what is not in it can be typed."""
        found = place.selectbox(
            label,
            list(choices),
            index=None,
            placeholder=blank,
            accept_new_options=more,
            key=self.key(column),
        )
        return str(found or "")

    def one_of(
        self, place: DeltaGenerator, label: str, choices: Sequence[str], column: str
    ) -> str:
        """Draw choices side by side, none taken at first."""
        taken = place.segmented_control(label, choices, key=self.key(column))
        return str(taken or "")

    def number(
        self, place: DeltaGenerator, label: str, column: str, least: float | None = None
    ) -> float | None:
        """Draw a field for a number, blank at first, that is ``least`` at least."""
        found: float | None = place.number_input(
            label, value=None, min_value=least, format="%g", key=self.key(column)
        )
        return found

    def button(self, label: str) -> None:
        """Draw the button that sends the form."""
        here = presses.noted()
        asked = here, self.key(), label, here.times(self.name)
        st.form_submit_button(label, type="primary", on_click=self._send, args=asked)

    def _send(self, here: presses.Presses, head: str, label: str, times: int) -> None:
        def entered() -> dict[str, Any]:
            every = {str(k): v for k, v in st.session_state.items()}
            return {
                k.removeprefix(head): v for k, v in every.items() if k.startswith(head)
            }

        presses.read_whole(entered, lambda it: here.note(self.name, label, times, it))

    def sent(self) -> tuple[presses.Press, dict[str, str]] | None:
        """Return the press that sent the form, and its cells; None: it was not sent."""
        press = presses.noted().waits(self.name)
        return None if press is None else (press, cells_of(press.entered))

    def done(self) -> None:
        """Empty the form, since it is saved."""
        count = f"{self.name} saved"
        st.session_state[count] = st.session_state.get(count, 0) + 1


def place_entries(chosen: Chosen, system: str | None, form: Form) -> None:
    """Draw the entries that say which fault, where and when, within a form."""
    ship = chosen.ship
    first, second, third = st.columns(3)
    form.text(first, "Fault id", "fault", value=next_id(f.fault for f in ship.faults))
    form.menu(second, "Circuit", circuits_of(ship, system), "circuit", more=True)
    where = "Zone where it enters the steel"
    zones = (zone.zone for zone in ship.zones)
    form.menu(third, where, zones, "zone", blank="not found yet")
    first, second = st.columns(2)
    form.date(first, "Found", "found", chosen)
    last, example = "Last good check, if known", "2026-11-24 08:00"
    form.text(second, last, "last_good", placeholder=example, help=DATES)
    st.text_input("Remark", key=form.key("remark"))


def reading_entries(system: System, form: Form) -> None:
    """Draw the entries of a fault's readings, within a form."""
    names = system.conductors
    first, second, third = st.columns(3)
    form.menu(first, "Conductor, if known", names, "conductor")
    form.number(second, "Clamp current into the hull (A)", "amps")
    form.number(third, "Insulation test of the branch (Ω)", "insulation_ohm", 0.0)
    for name, column in zip(names, st.columns(len(names)), strict=True):
        form.number(column, f"Volts to hull, {name} (V)", VOLT_COLUMNS[name])
    meter = "Input resistance of that voltmeter (Ω); most digital meters: 10000000"
    form.number(st.container(), meter, "meter_ohm", 100.0)
    if system.lamps is not None:
        looks = get_args(LampSeen)
        columns = st.columns(len(names))
        for letter, name, column in zip("abc", names, columns, strict=False):
            at = f"lamp_{letter}"
            form.menu(column, f"Lamp {name}", looks, at, blank="not looked at")


def heads(chosen: Chosen, form: Form, *, when: str = "When") -> dict[str, str]:
    """Draw when it was read and by whom; return them as cells."""
    left, middle, right = st.columns([1, 1, 2])
    return {
        "time": form.date(left, when, "time", chosen),
        "by": form.text(middle, "By", "by"),
        "remark": form.text(right, "Remark", "remark"),
    }


def earth_lead(form: Form, direct: str, alternating: str) -> dict[str, float | None]:
    """Draw what a clamp round the earth lead shows; return amperes by kind."""
    left, right = st.columns(2)
    shown = {
        "dc": form.number(left, direct, "earth dc"),
        "ac": form.number(right, alternating, "earth ac", 0.0),
    }
    return {kind: mA and mA * MILLIAMPERE for kind, mA in shown.items()}


def preview(
    chosen: Chosen,
    form: Form,
    rows: Mapping[str, Sequence[Mapping[str, str]]],
    problems: Sequence[str],
    *,
    done: str,
    amended: Mapping[str, Any] | None = None,
) -> None:
    """Show what will be written, by table, and save all of it at one press.

    ``form``: which fields; they are empty again once they are saved. ``rows``: new rows
    by table. ``problems``: why nothing can be saved, in sentences. ``done``: what to
    say once they are saved. ``amended``: rows that change with them, as
    :func:`save_tables` takes them.
    """
    for text in problems:
        st.error(escape_markdown(text))
    some = {table: found for table, found in rows.items() if found}
    many = sum(len(found) for found in some.values())
    if many:
        files = " and ".join(f"{table}.csv" for table in some)
        with st.expander(f"What will be written: {many} rows of {files}"):
            for table, found in some.items():
                grid(pd.DataFrame(found), f"new rows of {table}")

    nothing = bool(problems) or not many
    press = presses.button(
        "Save", f"save {form.name}", type="primary", disabled=nothing
    )
    if press:
        page_parts.attempt(
            press, done, lambda: save_tables(chosen.folder, rows, amended), form.done
        )
