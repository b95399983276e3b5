"""Numbers of her plating that disagree with one another: a question each."""

from collections.abc import Iterator
from typing import Final

from corrosion.foundation.errors import Problem
from corrosion.records.folder.columns import AnodeRow, GaugingRow, ZoneRow
from corrosion.records.folder.folder_tables import Tables
from corrosion.records.folder.slips_campaigns import (
    ABOVE_BUILT,
    beside_renewals,
    odd_campaigns,
)

_INCHES: Final = (0.02, 0.045)  # of as built: one inch is 25.4 mm
_SLIPS: Final = (
    (0.0, 0.02, "was it metres?"),
    (*_INCHES, "was it inches?"),
    (0.045, 0.13, "was it centimetres?"),
    (0.13, 0.35, "is it the loss, or a hole nearly?"),
)
_SHELL: Final = frozenset({"immersed", "tidal", "splash"})
_ON_STEEL: Final = "check the zone: paint stands on steel as a rule"
_PAINTED: Final = frozenset({"steel", "cast iron", "aluminium 5083", "aluminium 6061"})
_STEEL: Final = (1200.0, 12_000.0)  # kg/m³: magnesium with its core, to zinc
_ELECTRODES: Final = {
    "Ag/AgCl": (-1300.0, -200.0),
    "SCE": (-1300.0, -200.0),
    "CSE": (-1400.0, -250.0),
    "Zn": (-300.0, 800.0),
}
"""What a hull of steel reads against each, protected to freely corroding. [mV]"""

_PROTECTING: Final = {
    "Ag/AgCl": (-1050.0, -700.0),
    "SCE": (-1060.0, -700.0),
    "CSE": (-1120.0, -770.0),
    "Zn": (-20.0, 350.0),
}
"""Set points, from where steel is overprotected to where it hardly is. [mV]"""

_FAR: Final = 250.0  # beyond it, a sign or an electrode is wrong [mV]
_HEAVIEST: Final = {"zinc": 8500.0, "aluminium": 4200.0, "magnesium": 2600.0}
"""Anode alloys with a steel core and rounding of sizes. [kg/m³]"""


def odd_hull(tables: Tables) -> Iterator[Problem]:
    """Yield every doubt about dimensions, zones, gaugings, works and anodes."""
    yield from _dimensions(tables)
    for row in tables.zones or ():
        yield from _area(row, tables)
        yield from _limits(row)
    yield from _gaugings(tables)
    yield from odd_campaigns(tables)
    yield from beside_renewals(tables)
    yield from _works(tables)
    for anode in tables.anodes:
        yield from _anode(anode)
    for read in tables.potentials:
        low, high = _ELECTRODES.get(read.electrode, (-5000.0, 5000.0))
        if not low <= read.mv <= high:
            found = f"{read.mv:g} mV is not usual against {read.electrode}"
            expected = (
                f"it is {low:g} to {high:g} as a rule; check sign, electrode and unit"
            )
            yield read.problem("mv", found, expected, weight=2)


def _anode(anode: AnodeRow) -> Iterator[Problem]:
    """Yield a mass that its form cannot hold, and a set point that is none."""
    size = anode.length_m, anode.width_m, anode.thickness_m
    if anode.net_kg and all(size):
        cubic = float(size[0] or 0) * float(size[1] or 0) * float(size[2] or 0)
        heaviest = _HEAVIEST.get(anode.metal or "", _STEEL[1])
        if not _STEEL[0] <= anode.net_kg / cubic <= heaviest:
            found = f"{anode.net_kg:g} kg does not fit into {cubic * 1000:.3g} litres"
            expected = "write kilograms and metres of one anode"
            yield anode.problem("net_kg", found, expected, weight=2)
    if anode.set_mv is None or anode.electrode not in _ELECTRODES:
        return
    least, high = _PROTECTING[anode.electrode]
    if not least - _FAR <= anode.set_mv <= high:
        found = f"{anode.set_mv:g} mV holds no hull against {anode.electrode}"
        expected = f"it is {least:g} to {high:g} as a rule; check sign and electrode"
        yield anode.problem("set_mv", found, expected, weight=2)
    elif anode.set_mv < least:
        found = f"{anode.set_mv:g} mV against {anode.electrode} overprotects steel"
        expected = (
            f"below {least:g} coatings lift and high-strength steel takes up hydrogen; "
            "check the set point"
        )
        yield anode.problem("set_mv", found, expected, weight=2)


def _dimensions(tables: Tables) -> Iterator[Problem]:
    ship = tables.file.ship
    ratios = (
        ("beam_m", ship.length_m / ship.beam_m, 2.0, 14.0, "lengths to the beam"),
        ("draught_m", ship.beam_m / ship.draught_m, 1.2, 8.0, "beams to the draught"),
    )
    for column, ratio, low, high, words in ratios:
        if not low <= ratio <= high:
            found = f"there are {ratio:.3g} {words}"
            expected = (
                f"it is {low:g} to {high:g} as a rule; were feet and metres mixed?"
            )
            yield ship.problem(column, found, expected, weight=3)
    shell = [row for row in tables.zones or () if row.exposure in _SHELL]
    if not shell:
        return
    reach = max(row.frame_to for row in shell) * ship.frame_spacing_m
    if reach < 0.75 * ship.length_m:
        found = f"the zones end at {reach:.1f} m of {ship.length_m:g}"
        expected = (
            "frames reach her after end; is a length in feet, or the spacing wrong?"
        )
        yield ship.problem("frame_spacing_m", found, expected, weight=3)
    deep = max(row.bottom_m for row in shell)
    if deep < 0.75 * ship.draught_m:
        found = f"it is {ship.draught_m:g} m, and the zones end at {deep:g} m"
        expected = "let the zones reach the keel; is one of them in feet?"
        yield ship.problem("draught_m", found, expected, weight=3)


def _area(row: ZoneRow, tables: Tables) -> Iterator[Problem]:
    """Yield an area that a plate of that length and depth cannot have."""
    if row.area_m2 is None or row.exposure not in _SHELL:
        return
    ship = tables.file.ship
    length = (row.frame_to - row.frame_from) * ship.frame_spacing_m
    depth = row.bottom_m - row.top_m
    bilge = row.bottom_m > 0.6 * ship.draught_m and row.bonded_to is None
    half = 0.5 * ship.beam_m if bilge else 0.5 * depth
    sides = 2.0 if row.side == "centre" or row.bonded_to is not None else 1.0
    most, least = sides * length * (depth + half), 0.1 * length * depth
    if not least <= row.area_m2 <= 2.0 * most and most > 0.0:
        found = f"{row.area_m2:g} m² does not fit {length:.3g} m by {depth:.3g} m"
        expected = (
            f"it is at most about {most:.3g} m²; was it square feet, or both sides?"
        )
        yield row.problem("area_m2", found, expected, weight=3)


def _limits(row: ZoneRow) -> Iterator[Problem]:
    if row.limit_mm < 0.5 * row.built_mm:
        found = f"{row.limit_mm:g} mm is little of {row.built_mm:g} mm as built"
        expected = "write what must be left; was it the loss allowed?"
        yield row.problem("limit_mm", found, expected, weight=3)
    if row.limit_mm > 0.97 * row.built_mm:
        found = f"{row.limit_mm:g} mm is hardly less than {row.built_mm:g} mm as built"
        expected = "write less, or every gauging is below it"
        yield row.problem("limit_mm", found, expected, weight=2)
    if (row.pit_limit_mm or 0.0) > row.limit_mm:
        found = f"{row.pit_limit_mm:g} mm is more than limit_mm, {row.limit_mm:g} mm"
        expected = "less is allowed under a pit than in the mean; exchange them?"
        yield row.problem("pit_limit_mm", found, expected, weight=2)


def _gaugings(tables: Tables) -> Iterator[Problem]:
    zones = {row.zone: row for row in tables.zones or ()}
    seen: set[tuple[object, ...]] = set()
    for row in tables.gaugings:
        zone = zones[row.zone]
        built = row.built_mm or zone.built_mm
        if row.thickness_mm >= ABOVE_BUILT * built:
            found = f"{row.thickness_mm:g} mm is more than the {built:g} mm as built"
            expected = "check zone, unit and built_mm"
            yield row.problem("thickness_mm", found, expected, weight=3)
        yield from _thin(row, row.thickness_mm / built, built)
        span = (zone.frame_from - 1.0, zone.frame_to + 1.0)
        if row.frame is not None and not span[0] <= row.frame <= span[1]:
            found = (
                f"{row.frame:g} lies outside {zone.frame_from:g} to {zone.frame_to:g}"
            )
            expected = f"write a frame of {row.zone!r}; is it another zone's gauging?"
            yield row.problem("frame", found, expected, weight=2)
        place = (row.zone, row.date.text, row.frame, row.plate, row.kind)
        same = (*place, row.thickness_mm, row.readings)
        if same in seen:
            found = f"{row.zone!r} {row.thickness_mm:g} mm stands already on that date"
            yield row.problem("zone", found, "write each gauging once", weight=2)
        seen.add(same)
    gauged = {row.zone for row in tables.gaugings}
    for zone in zones.values():
        if zone.zone not in gauged:
            found = f"{zone.zone!r} was never gauged"
            yield zone.problem("zone", found, "gauge it: that outweighs any estimate")


def _thin(row: GaugingRow, share: float, built: float) -> Iterator[Problem]:
    """Yield a gauging so far below as built that another unit is likelier."""
    for low, high, question in _SLIPS:
        if low < share <= high and (row.kind == "mean" or high < _SLIPS[-1][1]):
            words = "left" if row.kind == "mean" else "the least"
            found = f"{row.thickness_mm:g} mm is {words} of {built:g} mm as built"
            yield row.problem("thickness_mm", found, question, weight=3)


def _works(tables: Tables) -> Iterator[Problem]:
    zones = {row.zone: row for row in tables.zones or ()}
    for place in zones.values():
        if place.painted is not None and place.metal not in _PAINTED:
            found = f"{place.zone} was painted, and it is of {place.metal}"
            yield place.problem("painted", found, _ON_STEEL, weight=2)
    for row in tables.works:
        zone, thick = zones.get(row.zone), row.thickness_mm
        if zone and row.work == "painted" and zone.metal not in _PAINTED:
            found = f"{row.zone} was painted, and it is of {zone.metal}"
            yield row.problem("work", found, _ON_STEEL, weight=2)
        if not zone or not thick or row.work != "renewed":
            continue
        if thick < zone.limit_mm:
            found = f"{thick:g} mm is under the limit of {zone.limit_mm:g} mm"
            expected = "check the plate and the limit"
            yield row.problem("thickness_mm", found, expected, weight=2)
        if not 0.5 <= thick / zone.built_mm <= 2.0:
            found = f"{thick:g} mm replaced {zone.built_mm:g} mm as built"
            expected = "check the unit and the zone"
            yield row.problem("thickness_mm", found, expected, weight=3)
