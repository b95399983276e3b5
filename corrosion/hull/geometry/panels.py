"""The wetted hull cut into panels, each of which belongs to one zone.

The shell is cut at every frame and depth at which a zone begins or ends; each patch
between cuts goes to the first zone in the file that claims it by frame, side and depth.
A part with a joint (rudder, shaft, bilge keel, sea chest) is no part of the shell.
"""

from collections.abc import Iterator, Sequence
from dataclasses import dataclass

import numpy as np

from corrosion.foundation.types import Array, IntArray
from corrosion.hull.geometry.hull_lines import (
    Lines,
    fit_hull_lines,
    half_breadth,
    section_points,
)
from corrosion.records.ship import WETTED, Form, Ship, Zone

_SIDES = {"port": -1.0, "centre": 0.0, "starboard": 1.0}
_SLACK = 0.02  # of the draught: how near a border counts as waterline or keel
_NOTED = 0.005  # share of the wetted surface from which a gap or overlap is noted
_FINE = 25  # stations and points of a patch that is measured


@dataclass(frozen=True, slots=True, kw_only=True)
class Panels:
    """Panels of a hull; the port half mirrors the starboard half exactly."""

    # shape (n, 4, 3): x from the forward perpendicular aft, y to starboard, z up from
    # the waterline; normals point into the water [m]
    corners: Array
    # shape (n,): position of each panel's zone, -1 where no zone claims it
    zone: IntArray

    @property
    def area(self) -> Array:
        """Area of each panel [m²]."""
        diagonals = self.corners[:, 2:] - self.corners[:, :2]
        normal = np.cross(diagonals[:, 0], diagonals[:, 1])
        return np.asarray(0.5 * np.linalg.norm(normal, axis=1))

    @property
    def volume(self) -> float:
        """Volume that the panels enclose with the water surface [m³]."""
        diagonals = self.corners[:, 2:] - self.corners[:, :2]
        normal = 0.5 * np.cross(diagonals[:, 0], diagonals[:, 1])
        return float((normal[:, 1] * self.corners[:, :, 1].mean(axis=1)).sum())


@dataclass(frozen=True, slots=True)
class _Strip:
    """A patch of the starboard side between cuts, and the zones that claim it."""

    frames: tuple[float, float]
    depths: tuple[float, float]
    starboard: list[int]
    port: list[int]


def hull_panels(form: Form, zones: Sequence[Zone], *, target: int = 1200) -> Panels:
    """Return the wetted hull as panels cut at the borders of its zones.

    Parameters
    ----------
    form : Form
        Dimensions and coefficients.
    zones : sequence of Zone
        Zones; those that are immersed or tidal and have no joint claim panels.
    target : int, optional
        Number of panels to aim at, on both sides together; more where zones are many.

    Returns
    -------
    Panels
        They enclose the displacement exactly: half breadths are stretched by the few
        thousandths that flat panels lose on a round hull.

    Raises
    ------
    InputError
        If the hull is too full or too fine for its family of lines.
    """
    lines = fit_hull_lines(form)
    strips = list(_strips(form, zones))
    girth = lines.draught + 0.5 * lines.beam * lines.midship
    size = np.sqrt(2.0 * lines.length * girth / target)
    corners: list[Array] = []
    claims: list[tuple[int, int]] = []
    for strip in strips:
        along = max(1, round((strip.frames[1] - strip.frames[0]) / (1.5 * size)))
        x = np.linspace(*strip.frames, along + 1)
        middle = np.array([np.clip(0.5 * lines.length, *strip.frames)])
        widest = section_points(lines, middle, strip.depths, 16)[0]
        span = np.linalg.norm(np.diff(widest, axis=0), axis=1).sum()
        down = max(1, round(1.5 * float(span) / size))
        points = section_points(lines, x, strip.depths, down)
        quads = [points[:-1, :-1], points[1:, :-1], points[1:, 1:], points[:-1, 1:]]
        cut = np.stack(quads, axis=2).reshape(-1, 4, 3)
        corners.append(cut)
        claims += [(_first(strip.starboard), _first(strip.port))] * len(cut)
    one = np.concatenate(corners)
    two = (one * [1.0, -1.0, 1.0])[:, [0, 3, 2, 1]]
    both = Panels(
        corners=np.concatenate([one, two]), zone=np.array(claims).T.reshape(-1)
    )
    both.corners[..., 1] *= lines.displacement / both.volume
    return both


def _first(claims: list[int]) -> int:
    return claims[0] if claims else -1


def _strips(form: Form, zones: Sequence[Zone]) -> Iterator[_Strip]:
    """Every patch between the cuts, stem to stern and waterline to keel."""
    spans = [_span(row, form) for row in zones]
    shell = [
        k for k, row in enumerate(zones) if row.exposure in WETTED and row.bond is None
    ]
    frames = np.unique([0.0, form.length, *(v for k in shell for v in spans[k][0])])
    depths = np.unique([0.0, form.draught, *(v for k in shell for v in spans[k][1])])
    frames = frames[(frames >= 0.0) & (frames <= form.length)]
    depths = depths[(depths >= 0.0) & (depths <= form.draught)]
    for x in zip(frames.tolist(), frames[1:].tolist(), strict=False):
        for d in zip(depths.tolist(), depths[1:].tolist(), strict=False):
            inside = [
                k
                for k in shell
                if spans[k][0][0] <= 0.5 * (x[0] + x[1]) <= spans[k][0][1]
                and spans[k][1][0] <= 0.5 * (d[0] + d[1]) <= spans[k][1][1]
            ]
            yield _Strip(
                x,
                d,
                [k for k in inside if zones[k].side != "port"],
                [k for k in inside if zones[k].side != "starboard"],
            )


def _span(zone: Zone, form: Form) -> tuple[tuple[float, float], tuple[float, float]]:
    """Where a zone lies, fore and aft and in depth, in order and without slivers.

    A border less than a frame from a perpendicular, or a fiftieth of the draught from
    waterline or keel, is taken to lie there; of a short zone, a quarter of its length
    or height, so that none is left without any.
    """
    x = np.sort([zone.frame_from, zone.frame_to]) * form.frame_spacing
    d = np.sort([zone.top, zone.bottom]).astype(np.float64)
    for values, marks, slack in (
        (x, (0.0, form.length), form.frame_spacing),
        (d, (0.0, form.draught), _SLACK * form.draught),
    ):
        near = min(slack, 0.25 * float(values[1] - values[0]))
        for mark in marks:
            values[np.abs(values - mark) < near] = mark
    return (float(x[0]), float(x[1])), (float(d[0]), float(d[1]))


def zone_area_and_centre(lines: Lines, form: Form, zone: Zone) -> tuple[float, Array]:
    """Return the area of a zone by the lines, and its centre.

    Parameters
    ----------
    lines, form : Lines, Form
    zone : Zone
        A zone of the shell, or a part with a joint: then both faces of the rectangle
        between its frames and depths, in the centre plane or at the shell.

    Returns
    -------
    area : float
        Of the flat rectangle where the zone lies beyond the hull. [m²]
    centre : ndarray, shape (3,)
        As :class:`Panels`; in the centre plane for a zone on both sides. [m]
    """
    (fore, aft), (top, bottom) = _span(zone, form)
    x, d = 0.5 * (fore + aft), 0.5 * (top + bottom)
    sign = _SIDES[zone.side]
    middle = np.array([x, sign * float(half_breadth(lines, x, d)), -d])
    if zone.bond is not None:
        return 2.0 * (aft - fore) * (bottom - top), middle
    stem, stern = max(fore, 0.0), min(aft, form.length)
    keel = min(bottom, form.draught)
    total, moment = 0.0, np.zeros(3)
    for high, low in ((top, min(keel, 0.0)), (max(top, 0.0), keel)):
        if high >= low or stem >= stern:
            continue
        stations = np.linspace(stem, stern, _FINE)
        p = section_points(lines, stations, (high, low), _FINE - 1)
        normal = np.cross(p[1:, 1:] - p[:-1, :-1], p[1:, :-1] - p[:-1, 1:])
        area = 0.5 * np.linalg.norm(normal, axis=-1)
        centre = 0.25 * (p[1:, 1:] + p[:-1, :-1] + p[1:, :-1] + p[:-1, 1:])
        total += float(area.sum())
        moment += np.einsum("ij,ijx->x", area, centre)
    if total == 0.0:
        return (aft - fore) * (bottom - top), middle
    centre = moment / total * [1.0, sign, 1.0]
    return total * (2.0 if sign == 0.0 else 1.0), centre


def coverage_warnings(ship: Ship) -> tuple[str, ...]:
    """Return what is doubtful about how the zones cover the wetted hull, in words.

    Overlaps (the first zone in the file was taken), the share of the wetted surface
    that no zone claims (it was taken as insulated), and zones that lie outside the
    hull; empty where the zones fit.
    """
    form, zones = ship.form, ship.zones
    lines = fit_hull_lines(form)
    doubled: dict[tuple[int, int], float] = {}
    bare: list[tuple[float, str]] = []
    total, claimed = 0.0, set[int]()
    for strip in _strips(form, zones):
        p = section_points(lines, np.linspace(*strip.frames, 9), strip.depths, 8)
        normal = np.cross(p[1:, 1:] - p[:-1, :-1], p[1:, :-1] - p[:-1, 1:])
        area = 0.5 * float(np.linalg.norm(normal, axis=-1).sum())
        for side, claims in (("starboard", strip.starboard), ("port", strip.port)):
            total += area
            claimed.update(claims[:1])
            for other in claims[1:]:
                pair = claims[0], other
                doubled[pair] = doubled.get(pair, 0.0) + area
            if not claims:
                f = [v / form.frame_spacing for v in strip.frames]
                d = strip.depths
                where = (
                    f"{side}, frames {f[0]:.0f} to {f[1]:.0f}, {d[0]:g} to {d[1]:g} m"
                )
                bare.append((area, where))
    notes = [
        f"zones {zones[one].zone} and {zones[two].zone} overlap over {area:.1f} m² of "
        f"the shell; {zones[one].zone}, the first in the file, was taken there"
        for (one, two), area in doubled.items()
        if area > _NOTED * total
    ]
    gap = sum(area for area, _ in bare)
    if gap > _NOTED * total:
        notes.append(
            f"{gap / total:.1%} of the wetted surface ({gap:.1f} m²) belongs to no "
            f"zone, most of it {max(bare)[1]}; it was taken as insulated"
        )
    notes += [
        f"zone {row.zone} lies outside the wetted hull (frames 0 to "
        f"{form.length / form.frame_spacing:.0f}, 0 to {form.draught:g} m) or under "
        "other zones; it was taken as an electrode of its own beside the hull"
        for k, row in enumerate(zones)
        if row.exposure in WETTED and row.bond is None and k not in claimed
    ]
    return tuple(notes)
