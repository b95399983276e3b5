"""A smooth hull from four numbers: waterline and sections are superellipses.

The waterline is ``1 − |ξ|^p`` with ξ from -1 at the stem to 1 at the stern; every
section is a superellipse that is as full as the midship section amidships and a plain V
at the ends. Three exponents in closed form meet block, midship and waterplane
coefficient exactly. Entrance and run are alike; the sides stand upright above water.
"""

from dataclasses import dataclass
from functools import cache
from math import gamma, isfinite, sqrt

import numpy as np
import numpy.typing as npt

from corrosion.foundation.errors import InputError
from corrosion.foundation.types import Array
from corrosion.records.ship import Form

_V = 0.5  # fullness of a section with straight sides, as at the ends
_STEPS = 65  # points by which the length of a girth is measured


@dataclass(frozen=True, slots=True, kw_only=True)
class Lines:
    """A fitted hull."""

    # length, beam, draught: as in `corrosion.records.ship.Form` [m]
    length: float
    beam: float
    draught: float
    # waterline, fining: exponents of the waterline and of how sections fine
    # towards the ends [-]
    waterline: float
    fining: float
    midship: float  # midship coefficient [-]
    displacement: float  # displaced volume [m³]


def fit_hull_lines(form: Form) -> Lines:
    r"""Return the hull of the family that has a form's coefficients.

    Its displacement is exactly that of the block coefficient.

    ``form``: dimensions and coefficients. A midship coefficient not given is
    :math:`1.006 - 0.0056\,C_B^{-3.56}` [1]_, a waterplane coefficient not given is
    :math:`(1 + 2 C_B)/3` [2]_.

    Raises InputError if a dimension is not positive, or the family holds no such hull:
    the block coefficient must lie between 0.5 and the midship coefficient, both times
    the waterplane coefficient.

    Notes
    -----
    With section fullness :math:`c(\xi) = C_M - (C_M - \frac12)|\xi|^k`, the volume
    fixes :math:`u = k + 1` by
    :math:`u^2 + pu = p\,(C_M - \frac12)/(C_M C_{WP} - C_B)`.

    References
    ----------
    .. [1] H. Kerlen 1970, quoted in H. Schneekluth and V. Bertram, "Ship Design for
       Efficiency and Economy" (from memory).
    .. [2] Schneekluth and Bertram, as above (from memory).
    """
    for name in ("length", "beam", "draught", "frame_spacing"):
        value = getattr(form, name)
        if not (isfinite(value) and value > 0.0):
            msg = f"[ship]: {name} must be > 0 m, got {value:g} m. Correct ship.toml."
            raise InputError(msg)
    block = form.block_coefficient
    plane, midship = form.waterplane_coefficient, form.midship_coefficient
    if plane is None:
        plane = (1.0 + 2.0 * block) / 3.0
    if midship is None:
        midship = float(np.clip(1.006 - 0.0056 * max(block, 0.1) ** -3.56, 0.6, 0.995))
    _check_fullness(block, plane, midship)
    p = plane / (1.0 - plane)
    ratio = p * (midship - _V) / (midship * plane - block)
    return Lines(
        length=form.length,
        beam=form.beam,
        draught=form.draught,
        waterline=p,
        fining=0.5 * (sqrt(p * p + 4.0 * ratio) - p) - 1.0,
        midship=midship,
        displacement=block * form.length * form.beam * form.draught,
    )


def _check_fullness(block: float, plane: float, midship: float) -> None:
    for name, value, low in (
        ("midship_coefficient", midship, _V),
        ("waterplane_coefficient", plane, 0.0),
    ):
        if not low < value < 1.0:
            msg = f"[ship]: {name} must lie between {low:g} and 1, got {value:g}."
            raise InputError(msg)
    if not block < midship * plane:
        msg = (
            f"[ship]: block_coefficient {block:g} is too full: it must be below "
            f"{midship * plane:.3f}, midship coefficient {midship:.3f} times "
            f"waterplane coefficient {plane:.3f}. Lower it (below 0.98), or give a "
            "greater midship_coefficient or waterplane_coefficient."
        )
        raise InputError(msg)
    if not block > _V * plane:
        msg = (
            f"[ship]: block_coefficient {block:g} is too fine: it must be above "
            f"{_V * plane:.3f}, half the waterplane coefficient {plane:.3f}. Raise "
            "block_coefficient, or give a smaller waterplane_coefficient."
        )
        raise InputError(msg)


def _section(lines: Lines, x: npt.ArrayLike) -> tuple[Array, Array]:
    """Half breadth of the waterline [m] and exponent of the section at x."""
    ends = np.abs(2.0 * np.asarray(x, dtype=np.float64) / lines.length - 1.0)
    ends = np.minimum(ends, 1.0)
    breadth = 0.5 * lines.beam * (1.0 - ends**lines.waterline)
    fullness = lines.midship - (lines.midship - _V) * ends**lines.fining
    of_inverse, inverse = _fullness_table()
    t = np.interp(-fullness, -of_inverse, inverse)
    return breadth, 1.0 / t


@cache
def _fullness_table() -> tuple[Array, Array]:
    """Fullness of a superellipse, falling, and the inverse of its exponent, rising."""
    inverse = np.linspace(0.0, 1.0, 1001)
    full = [gamma(1.0 + t) ** 2 / gamma(1.0 + 2.0 * t) for t in inverse.tolist()]
    return np.asarray(full), inverse


def half_breadth(lines: Lines, x: npt.ArrayLike, depth: npt.ArrayLike) -> Array:
    """Return the half breadth of a hull.

    Parameters
    ----------
    lines : Lines
    x, depth : array_like
        From the forward perpendicular aft, and below the waterline; broadcast. [m]

    Returns
    -------
    ndarray
        From the centre plane to the shell, 0 outside the hull. [m]
    """
    breadth, m = _section(lines, x)
    share = np.clip(np.asarray(depth, np.float64) / lines.draught, 0.0, 1.0)
    return np.asarray(breadth * (1.0 - share**m) ** (1.0 / m))


def section_points(
    lines: Lines, x: Array, depths: tuple[npt.ArrayLike, npt.ArrayLike], n: int
) -> Array:
    """Return points that divide a strip of each section evenly along its girth.

    Parameters
    ----------
    lines : Lines
    x : ndarray, shape (stations,)
        Stations. [m]
    depths : (array_like, array_like)
        Upper and lower border of the strip, from above the water to the draught; of
        all stations, or of each, then in the water. [m]
    n : int
        Number of parts.

    Returns
    -------
    ndarray, shape (stations, n + 1, 3)
        Points of the starboard side, x, y, z. [m]
    """
    breadth, m = (row[:, None] for row in _section(lines, x))
    high, low = (np.asarray(depth, np.float64) for depth in depths)
    if low.ndim == 0 and low <= 0.0:
        level = np.linspace(-high, -low, n + 1)[None]
        return np.stack(np.broadcast_arrays(x[:, None], breadth, level), axis=-1)
    low = np.maximum(np.stack([high, low], axis=-1) / lines.draught, 0.0)
    turn = np.arctan2(low, np.maximum(1.0 - low**m, 0.0) ** (1.0 / m))
    steps = np.linspace(0.0, 1.0, _STEPS)
    turns = turn[:, :1] + (turn[:, 1:] - turn[:, :1]) * steps
    y, z = _around(turns, breadth, m, lines.draught)
    chord = np.hypot(np.diff(y), np.diff(z))
    girth = np.concatenate([np.zeros((len(x), 1)), np.cumsum(chord, axis=1)], axis=1)
    even = girth[:, -1:] * np.linspace(0.0, 1.0, n + 1)
    at = np.empty_like(even)
    for k, rows in enumerate(zip(even, girth, turns, strict=True)):
        at[k] = np.interp(*rows)
    at[:, -1] = turn[:, 1]
    y, z = _around(at, breadth, m, lines.draught)
    return np.stack([np.broadcast_to(x[:, None], y.shape), y, z], axis=-1)


def _around(
    turn: Array, breadth: Array, m: Array, draught: float
) -> tuple[Array, Array]:
    """Point of the superellipse in the direction of an angle, 0 at the waterline."""
    cosine, sine = np.cos(turn), np.sin(turn)
    cosine[cosine < 1e-12] = 0.0
    radius = (cosine**m + sine**m) ** (-1.0 / m)
    return breadth * cosine * radius, -draught * sine * radius
