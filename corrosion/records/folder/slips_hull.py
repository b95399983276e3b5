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
            yield read.finding("potential unusual", low=low, high=high)


def _anode(anode: AnodeRow) -> Iterator[Problem]:
    """Yield a mass that its form cannot hold, and a set point that is none."""
    size = anode.length_m, anode.width_m, anode.thickness_m
    if anode.net_kg and all(size):
        cubic = float(size[0] or 0) * float(size[1] or 0) * float(size[2] or 0)
        heaviest = _HEAVIEST.get(anode.metal or "", _STEEL[1])
        if not _STEEL[0] <= anode.net_kg / cubic <= heaviest:
            yield anode.finding("anode of other mass", litres=cubic * 1000)
    if anode.set_mv is None or anode.electrode not in _ELECTRODES:
        return
    low, high = _PROTECTING[anode.electrode]
    usual = low - _FAR <= anode.set_mv <= high
    wrong = {
        "set point holds nothing": not usual,
        "set point too low": usual and anode.set_mv < low,
    }
    yield from anode.findings(wrong, low=low, high=high)


def _dimensions(tables: Tables) -> Iterator[Problem]:
    ship = tables.file.ship
    ratios = (
        ("beam_m", ship.length_m / ship.beam_m, 2.0, 14.0, "lengths to the beam"),
        ("draught_m", ship.beam_m / ship.draught_m, 1.2, 8.0, "beams to the draught"),
    )
    for column, ratio, low, high, words in ratios:
        if not low <= ratio <= high:
            cells = {"key": column, "ratio": ratio, "words": words}
            yield ship.finding("odd proportions", **cells, low=low, high=high)
    shell = [row for row in tables.zones or () if row.exposure in _SHELL]
    if not shell:
        return
    reach = max(row.frame_to for row in shell) * ship.frame_spacing_m
    deep = max(row.bottom_m for row in shell)
    wrong = {
        "zones end early": reach < 0.75 * ship.length_m,
        "zones end high": deep < 0.75 * ship.draught_m,
    }
    yield from ship.findings(wrong, reach=reach, deep=deep)


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
        cells = {"length": length, "depth": depth, "most": most}
        yield row.finding("area unlike the plate", **cells)


def _limits(row: ZoneRow) -> Iterator[Problem]:
    yield from row.findings(
        {
            "limit low": row.limit_mm < 0.5 * row.built_mm,
            "limit high": row.limit_mm > 0.97 * row.built_mm,
            "pit limit above limit": (row.pit_limit_mm or 0.0) > row.limit_mm,
        }
    )


def _gaugings(tables: Tables) -> Iterator[Problem]:
    zones = {row.zone: row for row in tables.zones or ()}
    seen: set[tuple[object, ...]] = set()
    for row in tables.gaugings:
        zone = zones[row.zone]
        built = row.built_mm or zone.built_mm
        if row.thickness_mm >= ABOVE_BUILT * built:
            yield row.finding("thicker than built", built=built)
        yield from _thin(row, row.thickness_mm / built, built)
        span = (zone.frame_from - 1.0, zone.frame_to + 1.0)
        if row.frame is not None and not span[0] <= row.frame <= span[1]:
            yield row.finding("frame of another zone", of=zone)
        place = (row.zone, row.date.text, row.frame, row.plate, row.kind)
        same = (*place, row.thickness_mm, row.readings)
        if same in seen:
            yield row.finding("gauging again")
        seen.add(same)
    gauged = {row.zone for row in tables.gaugings}
    for zone in zones.values():
        if zone.zone not in gauged:
            yield zone.finding("never gauged")


def _thin(row: GaugingRow, share: float, built: float) -> Iterator[Problem]:
    """Yield a gauging so far below as built that another unit is likelier."""
    words = "left" if row.kind == "mean" else "the least"
    for low, high, question in _SLIPS:
        if low < share <= high and (row.kind == "mean" or high < _SLIPS[-1][1]):
            cells = {"words": words, "built": built, "question": question}
            yield row.finding("thinner than likely", **cells)


def _works(tables: Tables) -> Iterator[Problem]:
    zones = {row.zone: row for row in tables.zones or ()}
    for place in zones.values():
        if place.painted is not None and place.metal not in _PAINTED:
            yield place.finding("paint on no steel", key="painted")
    for row in tables.works:
        zone, thick = zones.get(row.zone), row.thickness_mm
        if zone and row.work == "painted" and zone.metal not in _PAINTED:
            yield row.finding("paint on no steel", key="work", metal=zone.metal)
        if zone and thick and row.work == "renewed":
            wrong = {
                "new plate under limit": thick < zone.limit_mm,
                "new plate of other size": not 0.5 <= thick / zone.built_mm <= 2.0,
            }
            yield from row.findings(wrong, of=zone)
