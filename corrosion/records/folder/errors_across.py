"""Checks across rows and files: names, and numbers that contradict each other.

Each check yields problems. A cell that could not be read stands for anything (NaN, any
time, ``?``), so comparisons are written to be true only where something is wrong.
"""

from collections.abc import Callable, Iterator, Mapping
from typing import Final

from corrosion.foundation.errors import Problem
from corrosion.records.folder.cell_messages import unknown
from corrosion.records.folder.columns import METAL_NAMES, CircuitRow, ZoneRow
from corrosion.records.folder.errors_faults import faults
from corrosion.records.folder.errors_readings import readings
from corrosion.records.folder.errors_upkeep import anodes, hunts, potentials, works
from corrosion.records.folder.folder_tables import (
    Tables,
    cycles,
    duplicates,
    unknown_reference,
)
from corrosion.records.folder.row import UNREAD
from corrosion.records.ship import CONDUCTORS

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
        zone = row.switchboard_zone
        yield from unknown_reference(row, "switchboard_zone", zone, tables.zone_names)
        if row.kind in CONDUCTORS and row.earthed_at not in _TIES[row.kind]:
            found = f"{row.earthed_at!r} for kind {row.kind}"
            yield row.problem(
                "earthed_at", found, f"one of {', '.join(_TIES[row.kind])}"
            )
        if row.kind == "dc2" and (row.hertz or 0.0) > 0.0:
            found = f"{row.hertz:g} Hz on direct current"
            yield row.problem("hertz", found, "0 or no such key for kind dc2")
        if row.kind in ("ac3", "ac1") and not row.hertz:
            found = f"no frequency for kind {row.kind}"
            yield row.problem("hertz", found, "hertz = 50 or 60 (Hz)")


def _water(tables: Tables) -> Iterator[Problem]:
    water = tables.file.water
    if water.resistivity_ohm_m is not None:
        return
    for key in ("salinity_g_per_kg", "temperature_c"):
        if getattr(water, key) is None and tables.file.systems is not None:
            yield water.problem(
                key,
                "blank",
                "salinity_g_per_kg and temperature_c, or resistivity_ohm_m",
            )


def _zones(tables: Tables) -> Iterator[Problem]:
    yield from duplicates("zone", ((row, row.zone) for row in tables.zones or ()))
    if tables.zones == ():
        yield Problem("zones.csv", None, "", "no zones", "one row for each hull zone")
    for row in tables.zones or ():
        yield from unknown_reference(row, "metal", row.metal, METAL_NAMES)
        yield from _plate(row)
        yield from _place(row, tables)


def _plate(row: ZoneRow) -> Iterator[Problem]:
    for column, least in (
        ("limit_mm", row.limit_mm),
        ("pit_limit_mm", row.pit_limit_mm),
    ):
        if least is not None and least > row.built_mm:
            found = f"{least:g} mm, above the {row.built_mm:g} mm as built"
            yield row.problem(column, found, "the least thickness allowed (mm)")


def _place(row: ZoneRow, tables: Tables) -> Iterator[Problem]:
    ship = tables.file.ship
    if row.frame_to < row.frame_from:
        found = f"{row.frame_to:g}, before frame_from {row.frame_from:g}"
        yield row.problem("frame_to", found, "frames count from forward: exchange them")
    if row.frame_to == row.frame_from and row.area_m2 is None:
        found = f"{row.frame_to:g}, the same as frame_from"
        yield row.problem("frame_to", found, "some length of hull, or its area_m2")
    if row.bottom_m < row.top_m:
        found = f"{row.bottom_m:g} m, above top_m {row.top_m:g} m"
        yield row.problem(
            "bottom_m", found, "metres below the waterline, down is more: exchange them"
        )
    if row.bottom_m > (1.0 + _BEYOND) * ship.draught_m:
        found = f"{row.bottom_m:g} m, below the keel at {ship.draught_m:g} m"
        yield row.problem("bottom_m", found, "metres below the waterline, not a height")
    length, spacing = ship.length_m, ship.frame_spacing_m
    for column, frame in (("frame_from", row.frame_from), ("frame_to", row.frame_to)):
        place = frame * spacing / length
        if place < -_BEYOND or place > 1.0 + _BEYOND:
            found = f"frame {frame:g} lies at {frame * spacing:.1f} m"
            expected = f"a frame within her {length:g} m, at {spacing:g} m each"
            yield row.problem(column, found, expected)


def _bonds(tables: Tables) -> Iterator[Problem]:
    for row in tables.zones or ():
        yield from unknown_reference(row, "bonded_to", row.bonded_to, tables.zone_names)
        if row.bonded_to is None and row.bond_ohm is not None:
            found = "blank, though bond_ohm is given"
            yield row.problem(
                "bonded_to", found, "the zone on the other side of the joint"
            )
        if row.bonded_to is not None and row.bond_ohm is None:
            found = "blank, though bonded_to is given"
            yield row.problem("bond_ohm", found, "the joint's resistance (Ω)")
        if row.bond_ohm is None and row.turning_ohm is not None:
            found = "blank, though turning_ohm is given"
            yield row.problem("bond_ohm", found, "the joint's resistance at rest (Ω)")
    lines = {row.zone: row for row in tables.zones or ()}
    for loop in cycles({row.zone: row.bonded_to for row in tables.zones or ()}):
        found = f"a loop: {' - '.join([*loop, loop[0]])}"
        expected = "joints that lead to welded plating (a zone with no bonded_to)"
        yield lines[loop[0]].problem("bonded_to", found, expected)


def _gaugings(tables: Tables) -> Iterator[Problem]:
    for row in tables.gaugings:
        yield from unknown_reference(row, "zone", row.zone, tables.zone_names)
        if 0.0 < row.thickness_mm < _HOLED_MM:
            found = f"{row.thickness_mm:g} mm"
            expected = "millimetres, not metres; 0 where the plate is holed"
            yield row.problem("thickness_mm", found, expected)


def _circuits(tables: Tables) -> Iterator[Problem]:
    of_system: dict[str, list[CircuitRow]] = {}
    for row in tables.circuits:
        yield from unknown_reference(row, "system", row.system, tables.system_names)
        yield from unknown_reference(row, "zone", row.zone, tables.zone_names)
        of_system.setdefault(row.system, []).append(row)
    for rows in of_system.values():
        yield from duplicates("circuit", ((row, row.circuit) for row in rows))
        first = {row.circuit: row for row in reversed(rows)}
        for loop in cycles({name: row.fed_from for name, row in first.items()}):
            found = f"a loop: {' - '.join([*loop, loop[0]])}"
            expected = "a chain that ends at the switchboard (blank)"
            yield first[loop[0]].problem("fed_from", found, expected)
        yield from _pairs(first)


def _pairs(rows: Mapping[str, CircuitRow]) -> Iterator[Problem]:
    """Yield spares that cannot take over, by circuit of one system."""
    for row in rows.values():
        spare = row.spare_of
        if spare in (None, UNREAD) or UNREAD in rows:
            continue
        if spare == row.circuit:
            expected = "the other circuit, which takes over; blank where there is none"
            yield row.problem("spare_of", f"{spare!r}, a spare of itself", expected)
        elif spare not in rows:
            yield row.problem("spare_of", *unknown("circuit", str(spare), rows))
        elif rows[spare].spare_of not in (None, UNREAD, row.circuit):
            found = f"{spare!r}, whose own spare_of on line {rows[spare].line} is "
            expected = "the two of a pair, each naming the other, or one of them blank"
            yield row.problem("spare_of", f"{found}{rows[spare].spare_of!r}", expected)
        elif spare in _above(row, rows) or row.circuit in _above(rows[spare], rows):
            found = f"{spare!r}, though one of the two feeds the other"
            expected = "a circuit that still runs with this one open"
            yield row.problem("spare_of", found, expected)


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
    _bonds,
    faults,
    _gaugings,
    _circuits,
    readings,
    works,
    anodes,
    potentials,
    hunts,
)
