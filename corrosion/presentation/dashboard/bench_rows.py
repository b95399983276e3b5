"""The readings on the bench: rows that come and go, each with its own meter."""

from collections.abc import Mapping
from dataclasses import dataclass, replace
from typing import Final, Literal

import streamlit as st

from corrosion.presentation.dashboard import components
from corrosion.presentation.format import ohms
from corrosion.records.dates import When
from corrosion.records.ship import Reading, System

METERS: Final[Mapping[float, str]] = {
    10e6: "10 MΩ, digital",
    1e6: "1 MΩ",
    300e3: "300 kΩ, needle",
    3e3: "3 kΩ, low impedance",
}
"""Voltmeters by their input resistance [Ω], the usual one first."""

HULL: Final = "hull"
_LEAST_OHM: Final = 1e-3  # a tester that shows 0 has no smaller figure
_WORDS: Final = {
    HULL: "volts to hull",
    "clamp": "clamp (A)",
    "insulation": "insulation (Ω)",
    "monitor": "monitor (Ω)",
}
_UNITS: Final = {"clamp": "A", "insulation": "Ω", "monitor": "Ω"}


class BadReading(ValueError):
    """What was typed is no number."""


@dataclass(frozen=True, slots=True)
class Typed:
    """One row as it stands on the bench; the text may be anything."""

    number: int  # its place on the bench, from 1
    what: str  # hull or a conductor (volts to it), clamp, insulation or monitor
    conductor: str  # on which it was read
    text: str  # what was typed
    meter: float  # input resistance of the voltmeter [Ω]

    @property
    def unit(self) -> str:
        """Unit of the value."""
        return _UNITS.get(self.what, "V")


def _key(system: System, name: str) -> str:
    return f"bench {system.name} {name}"


def rows(system: System) -> list[int]:
    """Return the rows on the bench by number; two at first, to the hull."""
    state = st.session_state
    where = _key(system, "rows")
    if where not in state:
        state[where] = []
        for name in system.conductors[:2]:
            add(system, name)
    found: list[int] = state[where]
    return found


def add(
    system: System,
    conductor: str | None = None,
    to: str | None = None,
    meter: float | None = None,
) -> None:
    """Add a row, for the conductor and meter that are asked for."""
    state = st.session_state
    number = state.get(_key(system, "next"), 0)
    names = system.conductors
    state[_key(system, "next")] = number + 1
    state[_key(system, f"on {number}")] = conductor or names[number % len(names)]
    state[_key(system, f"what {number}")] = to or HULL
    state[_key(system, f"meter {number}")] = meter or next(iter(METERS))
    state[_key(system, "rows")] = [*state.get(_key(system, "rows"), []), number]


def _drop(system: System, number: int) -> None:
    where = _key(system, "rows")
    st.session_state[where] = [n for n in st.session_state[where] if n != number]


def clear(system: System) -> None:
    """Empty the bench: its fault is in the log."""
    for key in [str(k) for k in st.session_state]:
        if key.startswith(_key(system, "")) and not key.endswith(" next"):
            del st.session_state[key]


def draw(system: System) -> list[Typed]:
    """Draw every row and return what stands in them."""
    numbers = rows(system)
    with st.container(key="readings"):
        found = [_row(system, n, first=n == numbers[0]) for n in numbers]
        st.button(
            "Add a reading",
            on_click=add,
            args=(system,),
            icon=":material/add:",
            key=_key(system, "add"),
        )
    return found


def _what(what: str) -> str:
    return _WORDS.get(what, f"volts to {what}")


def _row(system: System, number: int, *, first: bool) -> Typed:
    state = st.session_state
    seen: Literal["visible", "collapsed"] = "visible" if first else "collapsed"
    place = rows(system).index(number) + 1
    with st.container(
        horizontal=True,
        vertical_alignment="bottom",
        key=f"reading-{number}",
        gap="small",
    ):
        what = st.selectbox(
            "What was read",
            [HULL, *system.conductors, *_UNITS],
            format_func=_what,
            key=_key(system, f"what {number}"),
            label_visibility=seen,
            width=146,
        )
        conductor = state[_key(system, f"on {number}")]
        if what != "monitor":
            conductor = st.segmented_control(
                "Conductor",
                system.conductors,
                required=True,
                key=_key(system, f"on {number}"),
                label_visibility=seen,
            )
        unit = _UNITS.get(str(what), "V")
        with st.container(width=92):
            text = components.typed_number(
                unit if first else "",
                key=_key(system, f"value {number}"),
                said=f"Reading {place}: {_what(str(what))}",
            )
        meter = next(iter(METERS))
        if unit == "V":
            meter = st.selectbox(
                "Meter",
                list(METERS),
                format_func=lambda has: METERS.get(has) or ohms(has, 2),
                key=_key(system, f"meter {number}"),
                label_visibility=seen,
                width=150,
            )
        st.button(
            f"Remove reading {place}",
            key=f"drop-{number}",
            on_click=_drop,
            args=(system, number),
            icon=":material/close:",
            type="tertiary",
        )
    return Typed(place, str(what), str(conductor), text.strip(), float(meter))


def reading_of(typed: Typed, system: System, when: When) -> Reading | None:
    """Return one row as a row of readings.csv; None: nothing was typed.

    Raises BadReading if what was typed is no number, one that cannot be, or volts of a
    conductor against itself.
    """
    if not typed.text:
        return None
    try:
        value = float(typed.text.replace(",", ".").replace("\N{MINUS SIGN}", "-"))
    except ValueError:
        value = float("nan")
    volts = typed.unit == "V"
    most = 1.25 * system.volts if volts else 1e9
    least = -most if volts and system.current == "dc" else 0.0
    if not least <= value <= most:
        msg = (
            f"Reading {typed.number}: {typed.text!r} is not a number of {typed.unit} "
            f"between {least:g} and {most:g}; it is left out."
        )
        raise BadReading(msg)
    if typed.what == typed.conductor:
        msg = (
            f"Reading {typed.number}: {typed.what} against itself; choose another "
            "conductor. It is left out."
        )
        raise BadReading(msg)
    made = Reading(time=when, system=system.name, conductor=typed.conductor)
    if typed.what == "clamp":
        return replace(made, amps=value)
    if typed.what == "insulation":
        return replace(made, insulation=max(value, _LEAST_OHM))
    if typed.what == "monitor":
        return replace(made, conductor=None, monitor=max(value, _LEAST_OHM))
    to = None if typed.what == HULL else typed.what
    return replace(made, to=to, volts=value, meter=typed.meter)
