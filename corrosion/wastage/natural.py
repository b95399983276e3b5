"""Natural loss of bare steel with the years, by what it faces.

Two curves of EN 1993-5 for steel in seawater, and the power law of ISO 9224 for air.
Which exposure follows which curve is stated in ``CURVES``; the places inside a ship
are judgement, for no standard speaks of them. The spread about these curves is wide
and stands in the basis table (``natural_factor``, ``natural_factor_zone``).
"""

import csv
from collections.abc import Mapping
from functools import cache
from importlib.resources import files
from types import MappingProxyType
from typing import Final

import numpy as np
import numpy.typing as npt

from corrosion.foundation import assumptions
from corrosion.foundation.checks import not_negative
from corrosion.foundation.errors import LookupFailed
from corrosion.foundation.types import Array
from corrosion.foundation.units import MM, YEAR

__all__ = ["CURVES", "loss_depth", "loss_rate"]

_SEA: Final = "immersion and intertidal"
_SPLASH: Final = "splash and low water"
_AIR: Final = "air"

CURVES: Final[Mapping[str, str]] = MappingProxyType(
    {
        "immersed": _SEA,
        "tidal": _SEA,  # after EN 1993-5; others hold the tidal zone to be twice as bad
        "splash": _SPLASH,
        "bilge": _SPLASH,  # judgement: wet, warm and open to the air
        "tank": _SEA,  # judgement: as if always full of seawater
        "dry": _AIR,
    }
)
"""The curve that each exposure follows."""


@cache
def _table(curve: str) -> tuple[Array, Array, Array]:
    """Return knots and slopes of a curve: years, metres, metres a year.

    The line runs from nothing at age 0 through the table; the last slope goes on.
    """
    text = (files("corrosion.wastage") / "natural.csv").read_text(encoding="utf-8")
    rows = [r for r in csv.DictReader(text.splitlines()) if r["curve"] == curve]
    age = np.array([0.0, *(float(row["age_years"]) for row in rows)])
    depth = np.array([0.0, *(float(row["depth_mm"]) for row in rows)]) * MM
    slope = np.diff(depth) / np.diff(age)
    return age, depth, np.append(slope, slope[-1])


def _depth_and_slope(curve: str, age: Array) -> tuple[Array, Array]:
    """Return metres lost and metres lost a year on one curve."""
    if curve == _AIR:
        return _air(age)
    knots, depth, slope = _table(curve)
    part = np.searchsorted(knots, age, side="right") - 1  # NaN sorts last
    return depth[part] + slope[part] * (age - knots[part]), slope[part] + 0.0 * age


def _air(age: Array) -> tuple[Array, Array]:
    first = assumptions.value("dry_first_year_mm") * MM
    b = assumptions.value("dry_exponent")
    steady = assumptions.value("dry_linear_years")
    curved = np.clip(age, 1.0, steady)  # steady in the first year and from 20 years on
    slope = np.where(age < 1.0, first, first * b * curved ** (b - 1.0))
    at_end = first * curved**b
    beyond = np.where(age < 1.0, age - 1.0, np.maximum(age - steady, 0.0))
    return at_end + slope * beyond, slope


def _every(exposure: npt.ArrayLike, age_years: npt.ArrayLike, name: str) -> Array:
    """Return depth and slope, stacked, for exposures broadcast against ages."""
    age = not_negative(age_years, name=f"{name}: age_years", unit="years")
    names = np.asarray(exposure, dtype=np.str_)
    shape = np.broadcast_shapes(names.shape, age.shape)
    age = np.broadcast_to(age, shape)
    out = np.empty((2, *shape))
    for one in np.unique(names).tolist():
        if one not in CURVES:
            raise LookupFailed.among(what="exposure", name=one, known=CURVES)
        where = np.broadcast_to(names == one, shape)
        out[:, where] = _depth_and_slope(CURVES[one], age[where])
    return out


def loss_depth(exposure: npt.ArrayLike, age_years: npt.ArrayLike) -> Array:
    r"""Return how deep bare steel has corroded by nature alone, one face.

    Parameters
    ----------
    exposure : str or array_like of str
        What the face meets: ``immersed``, ``tidal``, ``splash``, ``bilge``, ``tank``
        or ``dry``; broadcasts against the ages, so that zones may be the last axis.
    age_years : array_like
        How long it has been bare there, >= 0; NaN passes. [years]

    Returns
    -------
    ndarray
        Loss since age 0, never falling with age, in the broadcast shape. [m]

    Raises
    ------
    InputError
        If an age is negative.
    LookupFailed
        If there is no such exposure.

    Notes
    -----
    Seawater: straight lines between the points of [1]_ at 5, 25, 50, 75 and 100 years,
    from 0 at age 0, the last slope kept beyond 100 years. Air: [2]_

    .. math:: D = D_1 t^b \quad (1 \le t \le 20), \qquad b = 0.523

    steady before the first year and after the twentieth.

    References
    ----------
    .. [1] EN 1993-5:2007, Table 4-2 (from memory).
    .. [2] ISO 9223 and ISO 9224, corrosivity of atmospheres (from memory).

    Examples
    --------
    >>> loss_depth(["immersed", "splash"], 25.0) * 1e3
    array([0.9, 1.9])
    """
    return np.asarray(_every(exposure, age_years, "loss_depth")[0])


def loss_rate(exposure: npt.ArrayLike, age_years: npt.ArrayLike) -> Array:
    """Return how fast bare steel corrodes by nature alone, one face.

    The derivative of `loss_depth` with time; where its lines meet, that of the later
    one.

    Parameters
    ----------
    exposure : str or array_like of str
        As for `loss_depth`.
    age_years : array_like
        How long it has been bare there, >= 0; NaN passes. [years]

    Returns
    -------
    ndarray
        Rate of loss at that age, in the broadcast shape. [m/s]

    Raises
    ------
    InputError
        If an age is negative.
    LookupFailed
        If there is no such exposure.

    References
    ----------
    .. [1] As for `loss_depth`.

    Examples
    --------
    In millimetres a year:

    >>> round(float(loss_rate("immersed", 10.0)) * 1e3 * 365.25 * 86400, 4)
    0.0325
    """
    return np.asarray(_every(exposure, age_years, "loss_rate")[1]) / YEAR
