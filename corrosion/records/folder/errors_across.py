"""Checks across rows and files: names, and numbers that contradict each other.

Each check yields problems. A cell that could not be read stands for anything (NaN, any
time, ``?``), so comparisons are written to be true only where something is wrong.
"""

from collections.abc import Callable, Iterator, Mapping
from typing import Final

from corrosion.foundation.errors import Problem
from corrosion.records.folder.cell_messages import unknown
from corrosion.records.folder.columns import METAL_NAMES, CircuitRow
from corrosion.records.folder.errors_tables import (
    anodes,
    faults,
    hunts,
    potentials,
    readings,
    works,
)
from corrosion.records.folder.folder_tables import (
    Tables,
    cycles,
    duplicates,
    unknown_reference,
)
from corrosion.records.folder.row import UNREAD

_BEYOND: Final = 0.1  # of length or draught: overhangs, a rudder below the keel
_HOLED_MM: Final = 0.1
_TIES: Final[Mapping[str, tuple[str, ...]]] = {
    "ac3": ("none", "star", "a", "b", "c"),
    "ac1": ("none", "middle", "a", "b"),
    "dc2": ("none", "middle", "+", "-"),
}
"""Where a system of each kind can be tied to the hull."""


def problems_across(tables: Tables) -> Iterator[Problem]:
    """Yield every problem of names and numbers between rows and files."""
    for check in _CHECKS:
        yield from check(tables)


def _systems(tables: Tables) -> Iterator[Problem]:
    systems = tables.file.systems or ()
    yield from duplicates("name", ((row, row.name) for row in systems))
    for row in systems:
        yield from unknown_reference(row, tables.zone_names, "switchboard_zone")
        ties = _TIES.get(row.kind, (row.earthed_at,))
        yield from row.findings(
            {
                "earthed where it cannot be": row.earthed_at not in ties,
                "direct current with hertz": row.kind == "dc2"
                and (row.hertz or 0.0) > 0.0,
                "alternating without hertz": row.kind in ("ac3", "ac1")
                and not row.hertz,
            },
            ties=", ".join(ties),
        )


def _water(tables: Tables) -> Iterator[Problem]:
    water = tables.file.water
    if water.resistivity_ohm_m is None and tables.file.systems is not None:
        for key in ("salinity_g_per_kg", "temperature_c"):
            if getattr(water, key) is None:
                yield water.finding("water not told", key=key)


def _zones(tables: Tables) -> Iterator[Problem]:
    yield from duplicates("zone", ((row, row.zone) for row in tables.zones or ()))
    if tables.zones == ():
        yield Problem("zones.csv", None, "", "no zones", "one row for each hull zone")
    ship, deepest = tables.file.ship, (1.0 + _BEYOND) * tables.file.ship.draught_m
    for row in tables.zones or ():
        yield from unknown_reference(row, METAL_NAMES, "metal")
        yield from row.findings(
            {
                "limit above built": row.limit_mm > row.built_mm,
                "pit limit above built": (row.pit_limit_mm or 0.0) > row.built_mm,
                "frames exchanged": row.frame_to < row.frame_from,
                "no length of hull": row.frame_to == row.frame_from
                and row.area_m2 is None,
                "edges exchanged": row.bottom_m < row.top_m,
                "below the keel": row.bottom_m > deepest,
            },
            draught=ship.draught_m,
        )
        length, spacing = ship.length_m, ship.frame_spacing_m
        for key in ("frame_from", "frame_to"):
            at = (frame := getattr(row, key)) * spacing
            if at / length < -_BEYOND or at / length > 1.0 + _BEYOND:
                cells = {"frame": frame, "at": at, "length": length, "key": key}
                yield row.finding("frame off the ship", **cells, spacing=spacing)
        yield from unknown_reference(row, tables.zone_names, "bonded_to")
        bond, part = row.bond_ohm is not None, row.bonded_to is not None
        yield from row.findings(
            {
                "joint to no zone": bond and not part,
                "joint without ohms": part and not bond,
                "joint only turning": row.turning_ohm is not None and not bond,
            }
        )
    lines = {row.zone: row for row in tables.zones or ()}
    for loop in cycles({row.zone: row.bonded_to for row in tables.zones or ()}):
        yield lines[loop[0]].finding("joints in a loop", loop=" - ".join(loop))


def _gaugings(tables: Tables) -> Iterator[Problem]:
    for row in tables.gaugings:
        yield from unknown_reference(row, tables.zone_names, "zone")
        if 0.0 < row.thickness_mm < _HOLED_MM:
            yield row.finding("gauged in metres")


def _circuits(tables: Tables) -> Iterator[Problem]:
    of_system: dict[str, list[CircuitRow]] = {}
    for row in tables.circuits:
        yield from unknown_reference(row, tables.system_names, "system")
        yield from unknown_reference(row, tables.zone_names, "zone")
        of_system.setdefault(row.system, []).append(row)
    for rows in of_system.values():
        yield from duplicates("circuit", ((row, row.circuit) for row in rows))
        first = {row.circuit: row for row in reversed(rows)}
        for loop in cycles({name: row.fed_from for name, row in first.items()}):
            yield first[loop[0]].finding("circuits in a loop", loop=" - ".join(loop))
        yield from _pairs(first)


def _pairs(rows: Mapping[str, CircuitRow]) -> Iterator[Problem]:
    """Yield spares that cannot take over, by circuit of one system."""
    for row in rows.values():
        spare = row.spare_of
        if spare in (None, UNREAD) or UNREAD in rows:
            continue
        if spare == row.circuit:
            yield row.finding("spare of itself")
        elif spare not in rows:
            yield row.problem("spare_of", *unknown("circuit", str(spare), rows))
        elif rows[spare].spare_of not in (None, UNREAD, row.circuit):
            yield row.finding("spare of another", other=rows[spare])
        elif spare in _above(row, rows) or row.circuit in _above(rows[spare], rows):
            yield row.finding("spare in one chain")


def _above(row: CircuitRow, rows: Mapping[str, CircuitRow]) -> list[str]:
    """Return the panels above a circuit; a ring ends where it closes."""
    names: list[str] = []
    panel = row.fed_from
    while panel is not None and panel not in names:
        names.append(panel)
        panel = rows[panel].fed_from if panel in rows else None
    return names


_CHECKS: Final[tuple[Callable[[Tables], Iterator[Problem]], ...]] = (
    _systems,
    _water,
    _zones,
    faults,
    _gaugings,
    _circuits,
    readings,
    works,
    anodes,
    potentials,
    hunts,
)
