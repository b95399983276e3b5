"""Names that refer to other rows, in whatever case and spacing they are written."""

from collections.abc import Iterable, Iterator
from typing import Final

from corrosion.records.folder.folder_tables import Tables
from corrosion.records.folder.row import UNREAD, Row
from corrosion.records.upkeep import EVERYWHERE

_ZONE_COLUMNS: Final = ("zone", "bonded_to", "return_zone", "switchboard_zone")


def fold_names(tables: Tables) -> None:
    """Give each reference the spelling of the row that it means, where one is meant.

    Rows are changed in place. A reference that means no row, or more than one, stays as
    it is written and is a problem of its own.
    """
    for rows, columns, names in _references(tables):
        meant: dict[str, str | None] = {}
        for name in dict.fromkeys(names):
            key = _folded(name)
            meant[key] = None if key in meant else name
        known = set(names)
        for row in rows:
            for column in columns:
                written = getattr(row, column, None)
                if written is None or written in known or written == UNREAD:
                    continue
                if right := meant.get(_folded(written)):
                    setattr(row, column, right)


def _folded(name: str) -> str:
    return " ".join(name.casefold().split())


def _references(
    tables: Tables,
) -> Iterator[tuple[Iterable[Row], tuple[str, ...], list[str]]]:
    """Yield rows, the columns in which they refer, and the names they may mean."""
    systems = tables.file.systems or ()
    zones = [row.zone for row in tables.zones or ()]
    faults = [row.fault for row in tables.faults]
    by_system = (tables.faults, tables.circuits, tables.readings)
    for of_system in by_system:
        yield of_system, ("system",), [row.name for row in systems]
    hulls: tuple[Iterable[Row], ...] = (
        *(tables.faults, tables.gaugings, tables.circuits, tables.anodes),
        *(tables.potentials, systems, tables.zones or ()),
    )
    for rows in hulls:
        yield rows, _ZONE_COLUMNS, zones
    yield tables.works, ("zone",), [*zones, *EVERYWHERE]
    yield tables.readings, ("fault",), faults
    yield tables.works, ("anode",), [row.anode for row in tables.anodes]
    for system in systems:
        circuits = [row for row in tables.circuits if row.system == system.name]
        names = [row.circuit for row in circuits]
        others = [row for row in tables.faults if row.system == system.name]
        yield circuits, ("fed_from", "spare_of"), names
        yield others, ("circuit",), names
        read = [row for row in tables.readings if tables.system_of(row) == system.name]
        yield read, ("circuit",), names
