"""The shell cut into plates, and where these touch.

Each welded zone is cut into some plates of either side of the keel. All lengths are
measured along the shell, as a current in the plating runs: a border across the ship is
the girth of the section between two depths, one fore and aft the length of the water
line at its depth. Where a plate narrows towards stem or stern, the way from its middle
to its border counts for as much as a strip as wide as the border.
"""

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from itertools import pairwise

import numpy as np

from corrosion.foundation.cache import remembered
from corrosion.foundation.types import Array, BoolArray, IntArray
from corrosion.hull.geometry.hull_lines import (
    Lines,
    fit_hull_lines,
    half_breadth,
    section_points,
)
from corrosion.records.ship import Ship, Zone

_ALONG, _DOWN = 3, 2  # plates of a zone
_TOUCH = 0.05  # borders closer than this touch [m]
_KEEL = 0.98  # of the draught: plates that reach as deep meet at the keel
_PARTS = 8  # chords and stations by which a plate is measured
_LEAST = 0.05  # from the middle of a plate to its border, at least [m]


@dataclass(frozen=True, slots=True, kw_only=True)
class ShellMesh:
    """Plates of the welded zones of a ship.

    Attributes
    ----------
    zone : ndarray of int, shape (plates,)
        Position of each plate's zone.
    share : ndarray, shape (plates,)
        Its share of the area of its zone. [-]
    centre : ndarray, shape (plates, 3)
        x aft, y to starboard, z up. [m]
    length : ndarray, shape (plates, plates)
        Of the border that two plates share, symmetric; 0 where they do not touch. [m]
    reach : ndarray, shape (plates, plates)
        From the middle of the plate of the row to its border with that of the column,
        along the shell. [m]
    """

    zone: IntArray
    share: Array
    centre: Array
    length: Array
    reach: Array


@dataclass(frozen=True, slots=True)
class _Plate:
    """A plate of one side: fore and aft [m], depths [m], and its half extents.

    ``ahead`` and ``astern`` lead from its middle to its ends, as long as a strip of the
    width of that end would be that resists as much; ``across`` is half its girth. [m]
    """

    zone: int
    side: float
    fore: float
    aft: float
    top: float
    bottom: float
    keel: bool
    ahead: float
    astern: float
    across: float
    area: float


def shell_mesh(ship: Ship) -> ShellMesh:
    """Return the plates of a ship's welded zones.

    Parameters
    ----------
    ship : Ship
        Her form and zones; a part with a joint is no part of the shell.

    Returns
    -------
    ShellMesh
        They touch fore and aft, one above the other, and across the keel. What decks
        and bulkheads add is no border of the shell: it is in the assumption
        ``steel_structure_factor``.
    """
    kept = remembered(("shell", ship.form, ship.zones), lambda: _touching(ship))
    return ShellMesh(
        zone=kept["zone"].astype(np.int64),
        share=kept["share"],
        centre=kept["centre"],
        length=kept["length"],
        reach=kept["reach"],
    )


def _touching(ship: Ship) -> dict[str, Array]:
    """Return the plates and their borders by name: every two are held together."""
    lines, spacing = fit_hull_lines(ship.form), ship.form.frame_spacing
    plates = [
        plate
        for k, zone in enumerate(ship.zones)
        if zone.bond is None
        for plate in _plates(lines, k, zone, spacing)
    ]
    count = len(plates)
    length, reach = np.zeros((count, count)), np.full((count, count), _LEAST)
    for i, j in np.argwhere(np.triu(_close(plates), 1)).tolist():
        border = _border(lines, plates[i], plates[j])
        if border is not None:
            length[i, j] = length[j, i] = border[0]
            reach[i, j], reach[j, i] = border[1:]
    area = np.array([plate.area for plate in plates])
    of = np.array([plate.zone for plate in plates], dtype=np.int64)
    whole = np.bincount(of, area, len(ship.zones))
    x = np.array([0.5 * (plate.fore + plate.aft) for plate in plates])
    depth = np.array([0.5 * (plate.top + plate.bottom) for plate in plates])
    y = half_breadth(lines, x, depth) * np.array([plate.side for plate in plates])
    return {
        "zone": of.astype(np.float64),
        "share": area / whole[of],
        "centre": np.stack([x, y, -depth], axis=1),
        "length": length,
        "reach": np.maximum(reach, _LEAST),
    }


def _plates(lines: Lines, number: int, zone: Zone, spacing: float) -> Iterator[_Plate]:
    """Return the plates of one zone, of both sides for one on the centre line."""
    sides = {"port": (-1.0,), "starboard": (1.0,), "centre": (-1.0, 1.0)}[zone.side]
    fore, aft = sorted((zone.frame_from * spacing, zone.frame_to * spacing))
    top, bottom = sorted((zone.top, zone.bottom))
    for high, low in pairwise(np.linspace(top, bottom, _DOWN + 1).tolist()):
        for ends in pairwise(np.linspace(fore, aft, _ALONG + 1).tolist()):
            x = np.linspace(*ends, _PARTS + 1)
            girth = _girth(lines, x, high, low)
            # in the middle of each part, where no section has shrunk to nothing
            wide = np.maximum(0.5 * (girth[1:] + girth[:-1]), 1e-3)
            step = (ends[1] - ends[0]) / _PARTS
            centroid = (wide * 0.5 * (x[1:] + x[:-1])).sum() / wide.sum()
            before = np.clip(centroid - x[:-1], 0.0, step)
            for side in sides:
                yield _Plate(
                    zone=number,
                    side=side,
                    fore=ends[0],
                    aft=ends[1],
                    top=high,
                    bottom=low,
                    keel=low >= _KEEL * lines.draught,
                    ahead=float(girth[0] * (before / wide).sum()),
                    astern=float(girth[-1] * ((step - before) / wide).sum()),
                    across=0.5 * float(wide.mean()),
                    area=max(step, 1e-3) * float(wide.sum()),
                )


def _close(plates: Sequence[_Plate]) -> BoolArray:
    """Return which plates overlap or touch fore and aft, and down or at the keel."""
    fore, aft, top, bottom, side = (
        np.array([(p.fore, p.aft, p.top, p.bottom, p.side) for p in plates])
        .reshape(-1, 5)
        .T
    )
    along, down = (
        np.minimum.outer(late, late) - np.maximum.outer(early, early)
        for early, late in ((fore, aft), (top, bottom))
    )
    across = np.not_equal.outer(side, side)
    return np.asarray((along >= -_TOUCH) & (across | (down >= -_TOUCH)))


def _border(
    lines: Lines, one: _Plate, two: _Plate
) -> tuple[float, float, float] | None:
    """Return the length of a border and how far either plate's middle lies from it [m].

    None where they do not touch.
    """
    along = min(one.aft, two.aft) - max(one.fore, two.fore)
    if one.side != two.side:  # they meet at the keel alone
        if along <= 0.0 or not (one.keel and two.keel):
            return None
        return along, one.across, two.across
    down = min(one.bottom, two.bottom) - max(one.top, two.top)
    if along < -_TOUCH or down < -_TOUCH or max(along, down) <= _TOUCH:
        return None
    fore, aft = max(one.fore, two.fore), min(one.aft, two.aft)
    high, low = max(one.top, two.top), min(one.bottom, two.bottom)
    level = _waterline(lines, high, fore, aft) if along > _TOUCH else 0.0
    at = np.array([0.5 * (fore + aft)])
    upright = float(_girth(lines, at, high, low)[0]) if down > _TOUCH else 0.0
    if level >= upright:  # one lies above the other, or over part of it
        return level, one.across, two.across
    if one.fore <= two.fore:
        return upright, one.astern, two.ahead
    return upright, one.ahead, two.astern


def _girth(lines: Lines, x: Array, top: float, bottom: float) -> Array:
    """Return the girth of one side of sections between two depths, (stations,) [m]."""
    above = max(0.0, min(bottom, 0.0) - top)  # the sides stand upright there
    high = float(np.clip(top, 0.0, lines.draught))
    low = float(np.clip(bottom, 0.0, lines.draught))
    if low <= high:
        return np.full(len(x), above)
    points = section_points(lines, np.clip(x, 0.0, lines.length), (high, low), _PARTS)
    chords = np.linalg.norm(np.diff(points, axis=1), axis=2)
    return np.asarray(above + chords.sum(axis=1))


def _waterline(lines: Lines, depth: float, fore: float, aft: float) -> float:
    """Return the length of one side of a water line at a depth between stations [m]."""
    x = np.linspace(fore, aft, _PARTS + 1)
    inside = np.clip(x, 0.0, lines.length)
    y = half_breadth(lines, inside, np.clip(depth, 0.0, lines.draught))
    return float(np.hypot(np.diff(x), np.diff(y)).sum())
