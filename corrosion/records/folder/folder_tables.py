"""All rows of a ship folder as written, and the three ways in which names go wrong."""

from collections.abc import Collection, Iterable, Iterator, Mapping
from dataclasses import dataclass
from functools import cached_property
from typing import Final

from corrosion.foundation.errors import Problem
from corrosion.records.folder import columns as of
from corrosion.records.folder.cell_messages import unknown
from corrosion.records.folder.row import UNREAD, Row
from corrosion.records.folder.ship_toml_keys import ShipFile, SystemKeys

_ZONES: Final = ("switchboard_zone", "bonded_to", "return_zone")


@dataclass(frozen=True, kw_only=True)
class Tables:
    """All rows of a ship folder as written.

    ``zones``: None where zones.csv could not be split into rows. ``faults``,
    ``berths``, ``gaugings``, ``circuits``, ``readings``, ``works``, ``anodes``,
    ``potentials``: rows; empty where the file is missing. ``hunts``: rows of each file
    of hunts/, by its name.
    """

    file: ShipFile  # what ship.toml says
    zones: tuple[of.ZoneRow, ...] | None
    faults: tuple[of.FaultRow, ...]
    berths: tuple[of.BerthRow, ...]
    gaugings: tuple[of.GaugingRow, ...]
    circuits: tuple[of.CircuitRow, ...]
    readings: tuple[of.ReadingRow, ...]
    works: tuple[of.WorkRow, ...]
    anodes: tuple[of.AnodeRow, ...]
    potentials: tuple[of.PotentialRow, ...]
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
