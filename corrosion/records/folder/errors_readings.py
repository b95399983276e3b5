"""Checks of readings against the system on which they were taken."""

from collections.abc import Iterator, Mapping
from typing import Final

from corrosion.foundation.errors import Problem
from corrosion.records.folder.columns import FaultRow, ReadingRow
from corrosion.records.folder.folder_tables import Tables, unknown_reference
from corrosion.records.folder.row import UNREAD
from corrosion.records.folder.ship_toml_keys import SystemKeys
from corrosion.records.measured import SHORE_CABLE
from corrosion.records.ship import CONDUCTORS, Kind

_OVERVOLTAGE: Final[Mapping[Kind, float]] = {"ac3": 1.1, "ac1": 1.1, "dc2": 1.25}
"""Of the voltage between conductors: a battery on charge stands above its name."""

_HULL_V: Final = dict(zip("abc+-", ("a", "b", "c", "pos", "neg"), strict=True))
_SHORE_EARTH: Final = "shore earth"


def readings(tables: Tables) -> Iterator[Problem]:
    """Yield every problem of readings.csv with names and numbers."""
    faults = tables.fault_rows
    known = None if UNREAD in faults else faults
    for row in tables.readings:
        yield from unknown_reference(row, "system", row.system, tables.system_names)
        yield from unknown_reference(row, "fault", row.fault, known)
        of_none = row.system is None and row.fault is None
        if of_none and row.circuit != SHORE_CABLE:
            found = "blank, and no fault"
            yield row.problem("system", found, "the system that was read")
        elif of_none and row.current is None and row.amps is not None:
            yield row.problem("current", "blank, and no system", "dc or ac")
        fault = faults.get(row.fault or "")
        if fault and UNREAD != row.system not in (None, fault.system):
            found = f"{row.system!r}, but fault {fault.fault!r} is of {fault.system!r}"
            yield row.problem("system", found, "the fault's system, or blank")
        system = tables.systems.get(tables.system_of(row) or "")
        if system and system.kind in CONDUCTORS:
            yield from conductors(row, system)
            yield from lamps(row, system)
            yield from _between(row, system)


def _between(row: ReadingRow, system: SystemKeys) -> Iterator[Problem]:
    """Yield what cannot be of the volts of a reading, and of what they lie between."""
    ends = CONDUCTORS[system.kind]
    if row.to not in (None, UNREAD, *ends, _SHORE_EARTH):
        expected = f"one of {', '.join(ends)}, {_SHORE_EARTH}; blank: the hull"
        yield row.problem("to", f"no conductor {row.to!r}", expected)
    elif row.to is not None and row.to == row.conductor != UNREAD:
        found = f"{row.to!r}, the conductor itself"
        yield row.problem("to", found, "another conductor; blank: the hull")
    if row.volts is not None:
        yield from _volts(row, "volts", row.volts, system)


def conductors(row: FaultRow | ReadingRow, system: SystemKeys) -> Iterator[Problem]:
    """Yield conductors, volts and amperes that the system cannot have."""
    known = CONDUCTORS[system.kind]
    if row.conductor not in (None, UNREAD, *known):
        found = f"no conductor {row.conductor!r} in {system.name!r} ({system.kind})"
        yield row.problem("conductor", found, f"one of {', '.join(known)}")
    if isinstance(row, FaultRow):
        for name, volts in row.hull_volts().items():
            if volts is not None and name not in known:
                found = f"{volts:g} V, but {system.name!r} has no conductor {name}"
                expected = f"the voltages of {', '.join(known)}; blank here"
                yield row.problem(f"hull_v_{_HULL_V[name]}", found, expected)
            elif volts is not None:
                yield from _volts(row, f"hull_v_{_HULL_V[name]}", volts, system)
    current = row.current or ("dc" if system.kind == "dc2" else "ac")
    if current == "ac" and (row.amps or 0.0) < 0.0:
        yield negative(row)


def _volts(
    row: FaultRow | ReadingRow, column: str, volts: float, system: SystemKeys
) -> Iterator[Problem]:
    limit = _OVERVOLTAGE[system.kind] * system.volts
    if abs(volts) > limit:
        found = f"{volts:g} V on a system of {system.volts:g} V"
        yield row.problem(column, found, f"at most {limit:.4g} V; not millivolts")
    elif volts < 0.0 and system.kind != "dc2" and row.current != "dc":
        found = f"{volts:g} V of alternating current"
        yield row.problem(column, found, "an rms voltage (V), never negative")


def negative(row: FaultRow | ReadingRow) -> Problem:
    """Return the problem of an alternating current below zero."""
    found = f"{row.amps:g} A of alternating current"
    return row.problem("amps", found, "an rms current (A), never negative")


def lamps(row: FaultRow | ReadingRow, system: SystemKeys) -> Iterator[Problem]:
    """Yield lamps that the system does not have."""
    for place, (name, picture) in enumerate(zip("abc", row.lamps(), strict=True)):
        if picture is None:
            continue
        if system.lamps is None:
            found = f"{picture!r}, but {system.name!r} has no lamps"
            expected = "blank, or `lamps = {...}` for that system in ship.toml"
            yield row.problem(f"lamp_{name}", found, expected)
        elif place >= len(CONDUCTORS[system.kind]):
            found = f"{picture!r}, but {system.name!r} has two conductors"
            yield row.problem(f"lamp_{name}", found, "lamp_a and lamp_b only")
