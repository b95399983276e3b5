"""Checks of faults.csv against the systems on which they were read."""

from collections.abc import Iterator

from corrosion.foundation.errors import Problem
from corrosion.records.folder.columns import FaultRow
from corrosion.records.folder.errors_readings import conductors, lamps, negative
from corrosion.records.folder.folder_tables import Tables, duplicates, unknown_reference
from corrosion.records.ship import CONDUCTORS


def faults(tables: Tables) -> Iterator[Problem]:
    """Yield every problem of faults.csv with names and readings."""
    systems, names = tables.systems, tables.system_names
    yield from duplicates("fault", ((row, row.fault) for row in tables.faults))
    for row in tables.faults:
        yield from unknown_reference(row, "system", row.system, names)
        yield from unknown_reference(row, "zone", row.zone, tables.zone_names)
        yield from unknown_reference(
            row, "return_zone", row.return_zone, tables.zone_names
        )
        yield from _standing(row)
        yield from _source(row)
        if row.system is None:
            yield from _without_system(row)
        elif (system := systems.get(row.system)) and system.kind in CONDUCTORS:
            yield from conductors(row, system)
            yield from lamps(row, system)


def _standing(row: FaultRow) -> Iterator[Problem]:
    if row.standing == "yes" and row.cleared is not None:
        found = f"yes, though cleared {row.cleared.text}"
        yield row.problem("standing", found, "no, or cleared blank")


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
        yield negative(row)
