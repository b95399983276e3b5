"""Checks of faults.csv against the systems on which they were read."""

from collections.abc import Iterator
from typing import Final

from corrosion.foundation.errors import Problem
from corrosion.records.folder.columns import FaultRow
from corrosion.records.folder.row import UNREAD
from corrosion.records.folder.ship_toml_keys import SystemKeys
from corrosion.records.folder.written import Tables, named, twice
from corrosion.records.ship import CONDUCTORS

__all__ = ["faults"]

_OVERVOLTAGE: Final = 1.1  # of the voltage between conductors


def faults(tables: Tables) -> Iterator[Problem]:
    """Yield every problem of faults.csv with names and readings."""
    systems, names = tables.systems, tables.system_names
    yield from twice("fault", ((row, row.fault) for row in tables.faults))
    for row in tables.faults:
        yield from named(row, "system", row.system, names)
        yield from named(row, "zone", row.zone, tables.zone_names)
        yield from _source(row)
        if row.system is None:
            yield from _without_system(row)
        elif (system := systems.get(row.system)) and system.kind in CONDUCTORS:
            yield from _conductors(row, system)
            yield from _lamps(row, system)


def _source(row: FaultRow) -> Iterator[Problem]:
    if row.source == "ground fault" and row.system is None:
        found = "blank for a ground fault"
        yield row.problem("system", found, "a system of ship.toml, or another source")
    if row.source in ("welding", "other"):
        if row.amps is None:
            found = f"blank for source {row.source!r}"
            yield row.problem("amps", found, "the current into the hull (A)")
        if row.source == "other" and row.current is None and row.system is None:
            yield row.problem("current", "blank, and no system", "dc or ac")


def _without_system(row: FaultRow) -> Iterator[Problem]:
    read = [name for name, volts in row.hull_volts().items() if volts is not None]
    if row.conductor is not None or read or any(row.lamps()):
        found = "blank, though a conductor, voltages or lamps were read"
        yield row.problem("system", found, "the system on which they were read")
    if row.current == "ac" and (row.amps or 0.0) < 0.0:
        yield _negative(row)


def _negative(row: FaultRow) -> Problem:
    found = f"{row.amps:g} A of alternating current"
    return row.problem("amps", found, "an rms current (A), never negative")


_HULL_V: Final = dict(zip("abc+-", ("a", "b", "c", "pos", "neg"), strict=True))


def _conductors(row: FaultRow, system: SystemKeys) -> Iterator[Problem]:
    known = CONDUCTORS[system.kind]
    if row.conductor not in (None, UNREAD, *known):
        found = f"no conductor {row.conductor!r} in {system.name!r} ({system.kind})"
        yield row.problem("conductor", found, f"one of {', '.join(known)}")
    for name, volts in row.hull_volts().items():
        if volts is None:
            continue
        column, limit = f"hull_v_{_HULL_V[name]}", _OVERVOLTAGE * system.volts
        if name not in known:
            found = f"{volts:g} V, but {system.name!r} has no conductor {name}"
            yield row.problem(
                column, found, f"the voltages of {', '.join(known)}; blank here"
            )
        elif abs(volts) > limit:
            found = f"{volts:g} V on a system of {system.volts:g} V"
            yield row.problem(column, found, f"at most {limit:.4g} V; not millivolts")
        elif volts < 0.0 and system.kind != "dc2":
            found = f"{volts:g} V of alternating current"
            yield row.problem(column, found, "an rms voltage (V), never negative")
    current = row.current or ("dc" if system.kind == "dc2" else "ac")
    if current == "ac" and (row.amps or 0.0) < 0.0:
        yield _negative(row)


def _lamps(row: FaultRow, system: SystemKeys) -> Iterator[Problem]:
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
