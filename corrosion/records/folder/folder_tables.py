"""All rows of a ship folder as written, and how names in them find one another."""

from collections.abc import Collection, Iterable, Iterator, Mapping
from dataclasses import dataclass
from functools import cached_property
from typing import Final

from corrosion.foundation.errors import Problem
from corrosion.records.folder import columns as of
from corrosion.records.folder.cell_messages import unknown
from corrosion.records.folder.row import UNREAD, Row
from corrosion.records.folder.ship_toml_keys import ShipFile, SystemKeys
from corrosion.records.upkeep import EVERYWHERE

_ZONES: Final = ("zone", "bonded_to", "return_zone", "switchboard_zone")


@dataclass(frozen=True, kw_only=True)
class Tables:
    """All rows of a ship folder as written."""

    file: ShipFile  # what ship.toml says
    # none where zones.csv could not be split into rows
    zones: tuple[of.ZoneRow, ...] | None
    # faults, berths, gaugings, circuits, readings, works, anodes, potentials: rows;
    # empty where the file is missing
    faults: tuple[of.FaultRow, ...]
    berths: tuple[of.BerthRow, ...]
    gaugings: tuple[of.GaugingRow, ...]
    circuits: tuple[of.CircuitRow, ...]
    readings: tuple[of.ReadingRow, ...]
    works: tuple[of.WorkRow, ...]
    anodes: tuple[of.AnodeRow, ...]
    potentials: tuple[of.PotentialRow, ...]
    # rows of each file of hunts/, by its name
    hunts: Mapping[str, tuple[of.HuntRow, ...]]

    @cached_property
    def systems(self) -> Mapping[str, SystemKeys]:
        """Systems by name."""
        return {row.name: row for row in self.file.systems or ()}

    @cached_property
    def system_names(self) -> Collection[str] | None:
        """Names of the systems; None where one could not be read."""
        systems = self.file.systems
        return None if systems is None else _all_read(row.name for row in systems)

    @cached_property
    def fault_rows(self) -> Mapping[str, of.FaultRow]:
        """Faults by id."""
        return {row.fault: row for row in self.faults}

    def system_of(self, row: of.ReadingRow) -> str | None:
        """Return the system of a reading: its own, or that of its fault."""
        fault = self.fault_rows.get(row.fault or "")
        return row.system or (fault.system if fault else None)

    @cached_property
    def zone_names(self) -> Collection[str] | None:
        """Names of the zones; None where one could not be read."""
        zones = self.zones
        return None if zones is None else _all_read(row.zone for row in zones)


def _all_read(names: Iterable[str]) -> Collection[str] | None:
    known = dict.fromkeys(names)
    return None if UNREAD in known else known


def unknown_reference(
    row: Row, known: Collection[str] | None, *columns: str
) -> Iterator[Problem]:
    """Yield a problem for each name that is not known; None: nothing to compare."""
    for column in columns:
        name = getattr(row, column)
        if known is not None and name not in (None, UNREAD, *known):
            what = "zone" if column in _ZONES else column
            yield row.problem(column, *unknown(what, name, known))


def duplicates(column: str, rows: Iterable[tuple[Row, str]]) -> Iterator[Problem]:
    """Yield a problem for each name that stands already on an earlier line."""
    seen: dict[str, int] = {}
    for row, name in rows:
        if name in seen and name != UNREAD:
            found = f"{name!r} stands already on line {seen[name]}"
            yield row.problem(column, found, "a name of its own for each: rename one")
        seen.setdefault(name, row.line)


def cycles(above: Mapping[str, str | None]) -> Iterator[list[str]]:
    """Yield each closed chain of names, once, its first name at both ends."""
    settled: set[str] = set()
    for start in above:
        path: dict[str, int] = {}
        name: str | None = start
        while name is not None and name in above and name not in settled:
            if name in path:
                yield [*list(path)[path[name] :], name]
                break
            path[name] = len(path)
            name = above[name]
        settled.update(path)


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
        yield rows, _ZONES, zones
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
