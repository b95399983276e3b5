"""The shell cut into plates, and where these touch.

Each welded zone is cut into some plates of either side of the keel. All lengths are
measured along the shell, as a current in the plating runs: a border across the ship is
the girth of the section between two depths, one fore and aft the length of the water
line at its depth. Where a plate narrows towards stem or stern, the way from its middle
to its border counts for as much as a strip as wide as the border.
"""

from dataclasses import dataclass, fields

import numpy as np

from corrosion.foundation.cache import remembered
from corrosion.foundation.types import Array, BoolArray, IntArray
from corrosion.hull.geometry.hull_lines import (
    Lines,
    fit_hull_lines,
    half_breadth,
    section_points,
)
from corrosion.records.ship import Ship

_ALONG, _DOWN = 3, 2  # plates of a zone
_TOUCH = 0.05  # borders closer than this touch [m]
_KEEL = 0.98  # of the draught: plates that reach as deep meet at the keel
_PARTS = 8  # chords and stations by which a plate is measured
_LEAST = 0.05  # from the middle of a plate to its border, at least [m]
_SIDES = {"port": (-1.0,), "starboard": (1.0,), "centre": (-1.0, 1.0)}


@dataclass(frozen=True, slots=True, kw_only=True)
class ShellMesh:
    """Plates of the welded zones of a ship.

    Arrays are of shape (plates,) where no other is said.
    """

    zone: IntArray  # position of each plate's zone
    share: Array  # its share of the area of its zone [-]
    centre: Array  # shape (plates, 3): x aft, y to starboard, z up [m]
    # shape (plates, plates): of the border that two plates share, symmetric; 0 where
    # they do not touch [m]
    length: Array
    # shape (plates, plates): from the middle of the plate of the row to its border with
    # that of the column, along the shell [m]
    reach: Array


@dataclass(frozen=True, slots=True, kw_only=True)
class _Plates:
    """Plates of one side each: ends and depths [m], and half extents, (plates,) each.

    ``ahead`` and ``astern`` lead from a plate's middle to its ends, as long as a strip
    of the width of that end would be that resists as much; ``across`` is half its
    girth. [m]
    """

    zone: IntArray
    side: Array
    fore: Array
    aft: Array
    top: Array
    bottom: Array
    keel: BoolArray
    ahead: Array
    astern: Array
    across: Array
    area: Array

    def at(self, places: IntArray) -> "_Plates":
        """Return the plates of these places."""
        return _Plates(
            **{one.name: getattr(self, one.name)[places] for one in fields(self)}
        )


def shell_mesh(ship: Ship) -> ShellMesh:
    """Return the plates of a ship's welded zones.

    They touch fore and aft, one above the other, and across the keel. What decks and
    bulkheads add is no border of the shell: it is in the assumption
    ``steel_structure_factor``.

    ``ship``: her form and zones; a part with a joint is no part of the shell.
    """
    kept = dict(remembered(("shell", ship.form, ship.zones), lambda: _touching(ship)))
    return ShellMesh(zone=kept.pop("zone").astype(np.int64), **kept)


def _touching(ship: Ship) -> dict[str, Array]:
    """Return the plates and their borders by name: every two are held together."""
    lines = fit_hull_lines(ship.form)
    plates = _plates(lines, ship)
    count = len(plates.zone)
    length, reach = np.zeros((count, count)), np.full((count, count), _LEAST)
    i, j = np.nonzero(np.triu(_close(plates), 1))
    touch, *border = _borders(lines, plates.at(i), plates.at(j))
    i, j = i[touch], j[touch]
    shared, reach[i, j], reach[j, i] = (each[touch] for each in border)
    length[i, j] = length[j, i] = shared
    whole = np.bincount(plates.zone, plates.area, len(ship.zones))
    x = 0.5 * (plates.fore + plates.aft)
    depth = 0.5 * (plates.top + plates.bottom)
    y = half_breadth(lines, x, depth) * plates.side
    return {
        "zone": plates.zone.astype(np.float64),
        "share": plates.area / whole[plates.zone],
        "centre": np.stack([x, y, -depth], axis=1),
        "length": length,
        "reach": np.maximum(reach, _LEAST),
    }


def _plates(lines: Lines, ship: Ship) -> _Plates:
    """Return the plates zone by zone, of both sides of one on the centre line."""
    places = np.array([k for k, zone in enumerate(ship.zones) if zone.bond is None])
    welded = [ship.zones[k] for k in places]
    frames = np.array([(zone.frame_from, zone.frame_to) for zone in welded])
    ends = _cuts(frames * ship.form.frame_spacing, _ALONG)
    levels = _cuts(np.array([(zone.top, zone.bottom) for zone in welded]), _DOWN)
    x = np.linspace(ends[:, :-1], ends[:, 1:], _PARTS + 1, axis=-1)[:, None]
    high, low = levels[:, :-1, None], levels[:, 1:, None]
    girth = _girth(lines, x, high[..., None], low[..., None])
    # in the middle of each part, where no section has shrunk to nothing
    wide = np.maximum(0.5 * (girth[..., 1:] + girth[..., :-1]), 1e-3)
    step = (np.diff(ends) / _PARTS)[:, None]
    heavy = (wide * 0.5 * (x[..., 1:] + x[..., :-1])).sum(axis=-1)
    centroid = heavy / wide.sum(axis=-1)
    before = np.clip(centroid[..., None] - x[..., :-1], 0.0, step[..., None])
    sides = [_SIDES[zone.side] for zone in welded]
    cells = _DOWN * _ALONG  # of a zone, each of one side or of both
    twice = np.repeat(
        np.arange(cells * len(welded)), np.repeat([*map(len, sides)], cells)
    )

    def of_each(values: Array) -> Array:
        whole = np.broadcast_to(values, (len(welded), _DOWN, _ALONG))
        return np.asarray(whole.reshape(-1)[twice])

    after = step[..., None] - before
    return _Plates(
        zone=places[twice // cells],
        side=np.concatenate([side * cells for side in sides]),
        fore=of_each(ends[:, None, :-1]),
        aft=of_each(ends[:, None, 1:]),
        top=of_each(high),
        bottom=of_each(low),
        keel=of_each(low) >= _KEEL * lines.draught,
        ahead=of_each(girth[..., 0] * (before / wide).sum(axis=-1)),
        astern=of_each(girth[..., -1] * (after / wide).sum(axis=-1)),
        across=of_each(0.5 * wide.mean(axis=-1)),
        area=of_each(np.maximum(step, 1e-3) * wide.sum(axis=-1)),
    )


def _cuts(borders: Array, parts: int) -> Array:
    """Return from where to where each part of each zone lies, (zones, parts + 1)."""
    early, late = np.sort(borders, axis=1).T
    return np.linspace(early, late, parts + 1, axis=1)


def _close(plates: _Plates) -> BoolArray:
    """Return which plates overlap or touch fore and aft, and down or at the keel."""
    along, down = (
        np.minimum.outer(late, late) - np.maximum.outer(early, early)
        for early, late in ((plates.fore, plates.aft), (plates.top, plates.bottom))
    )
    across = np.not_equal.outer(plates.side, plates.side)
    return np.asarray((along >= -_TOUCH) & (across | (down >= -_TOUCH)))


def _borders(
    lines: Lines, one: _Plates, two: _Plates
) -> tuple[BoolArray, Array, Array, Array]:
    """Return which of two plates touch, the border's length and the middles' ways [m].

    A pair each.
    """
    fore, aft = np.maximum(one.fore, two.fore), np.minimum(one.aft, two.aft)
    high, low = np.maximum(one.top, two.top), np.minimum(one.bottom, two.bottom)
    along, down = aft - fore, low - high
    apart = (along < -_TOUCH) | (down < -_TOUCH)
    beside = ~apart & (np.maximum(along, down) > _TOUCH)
    level, upright = np.zeros((2, len(along)))
    run = beside & (along > _TOUCH)
    level[run] = _waterline(lines, high[run], fore[run], aft[run])
    run = beside & (down > _TOUCH)
    upright[run] = _girth(lines, 0.5 * (fore[run] + aft[run]), high[run], low[run])
    # Those of two sides meet at the keel alone.
    keel = one.side != two.side
    touch = np.where(keel, (along > 0.0) & one.keel & two.keel, beside)
    over = keel | (level >= upright)  # one lies above the other, or over part of it
    ahead = one.fore <= two.fore
    return (
        touch,
        np.where(keel, along, np.maximum(level, upright)),
        np.where(over, one.across, np.where(ahead, one.astern, one.ahead)),
        np.where(over, two.across, np.where(ahead, two.ahead, two.astern)),
    )


def _girth(lines: Lines, x: Array, top: Array, bottom: Array) -> Array:
    """Return the girth of one side of sections between two depths, broadcast [m]."""
    x, top, bottom = np.broadcast_arrays(x, top, bottom)
    girth = np.maximum(0.0, np.minimum(bottom, 0.0) - top)  # upright above the water
    high, low = (np.clip(each, 0.0, lines.draught) for each in (top, bottom))
    wet = low > high
    inside = np.clip(x[wet], 0.0, lines.length)
    points = section_points(lines, inside, (high[wet], low[wet]), _PARTS)
    girth[wet] += np.linalg.norm(np.diff(points, axis=1), axis=2).sum(axis=1)
    return girth


def _waterline(lines: Lines, depth: Array, fore: Array, aft: Array) -> Array:
    """Return the length of one side of water lines at a depth between stations [m]."""
    x = np.linspace(fore, aft, _PARTS + 1, axis=-1)
    inside = np.clip(x, 0.0, lines.length)
    y = half_breadth(lines, inside, np.clip(depth, 0.0, lines.draught)[:, None])
    return np.asarray(np.hypot(np.diff(x), np.diff(y)).sum(axis=1))
