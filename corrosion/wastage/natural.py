"""Natural loss of bare steel with the years, by what it faces and in what water.

Curves of EN 1993-5 for steel in the sea and in fresh water, with a fast first year,
and the power law of ISO 9224 for air. Which exposure follows which curve is stated in
``CURVES``; the places inside a ship are judgement, for no standard speaks of them. The
spread about these curves is wide and stands in the table of assumptions.
"""

import csv
from collections.abc import Mapping
from functools import cache
from importlib.resources import files
from types import MappingProxyType
from typing import Final, NamedTuple

import numpy as np
import numpy.typing as npt

from corrosion.foundation.assumptions import Assumptions, default_assumptions
from corrosion.foundation.checks import not_negative, positive
from corrosion.foundation.errors import LookupFailed
from corrosion.foundation.types import Array
from corrosion.foundation.units import MM

_IMMERSION: Final = "sea immersion"
_SPLASH: Final = "sea splash"
_FRESH: Final = "fresh"
_AIR: Final = "air"

CURVES: Final[Mapping[str, str]] = MappingProxyType(
    {
        "immersed": _IMMERSION,
        "tidal": _IMMERSION,  # after EN 1993-5; others hold it to be twice as bad
        "splash": _SPLASH,
        "bilge": _SPLASH,  # judgement: wet, warm and open to the air
        "tank": _IMMERSION,  # judgement: as if always full of seawater
        "dry": _AIR,
    }
)
"""The curve that each exposure follows in the sea."""

_SEASIDE: Final = ("immersed", "tidal", "splash")


def curve_of(exposure: str, *, docked: bool = False) -> str:
    """Return the curve that an exposure follows; in dry dock the sea side meets air.

    Raises
    ------
    LookupFailed
        If there is no such exposure.
    """
    if exposure not in CURVES:
        raise LookupFailed.among(what="exposure", name=exposure, known=CURVES)
    return _AIR if docked and exposure in _SEASIDE else CURVES[exposure]


def freshness(resistivity: npt.ArrayLike, assumptions: Assumptions) -> Array:
    """Return how far water has left the sea for fresh water, 0 to 1, by resistivity.

    Parameters
    ----------
    resistivity : array_like
        Of the water, > 0. [Ω·m]
    assumptions : Assumptions
        The ship's: ``sea_resistivity_ohm_m`` and ``fresh_resistivity_ohm_m``.

    Returns
    -------
    ndarray
        By the logarithm of the resistivity between the two (judgement). [-]
    """
    rho = positive(resistivity, name="freshness: resistivity", unit="Ω·m")
    sea = assumptions.value("sea_resistivity_ohm_m")
    fresh = assumptions.value("fresh_resistivity_ohm_m")
    return np.asarray(np.clip(np.log(rho / sea) / np.log(fresh / sea), 0.0, 1.0))


@cache
def _table(curve: str) -> tuple[Array, Array, Array]:
    """Return knots and slopes of a curve: years, metres, metres a year."""
    text = (files("corrosion.wastage") / "natural.csv").read_text(encoding="utf-8")
    rows = [r for r in csv.DictReader(text.splitlines()) if r["curve"] == curve]
    age = np.array([float(row["age_years"]) for row in rows])
    depth = np.array([float(row["depth_mm"]) for row in rows]) * MM
    slope = np.diff(depth) / np.diff(age)
    return age, depth, np.append(slope, slope[-1])


class _Law(NamedTuple):
    """What the curves need of the assumptions; cheap to compare."""

    months: float
    first: float
    exponent: float
    steady: float

    @classmethod
    def of(cls, assumptions: Assumptions) -> "_Law":
        """Return the ship's."""
        return cls(
            assumptions.value("first_months_years"),
            assumptions.value("dry_first_year_mm") * MM,
            assumptions.value("dry_exponent"),
            assumptions.value("dry_linear_years"),
        )


def _depth(curve: str, age: Array, law: _Law) -> Array:
    """Return metres lost on one curve.

    Straight lines through the table, from what its line reaches back to at age 0; that
    much is lost fast, in the first months, so that nothing is lost at age 0.
    """
    if curve == _AIR:
        return _air(age, law)
    knots, depth, slope = _table(curve)
    part = np.searchsorted(knots, age, side="right") - 1  # NaN sorts last
    line = depth[part] + slope[part] * (age - knots[part])
    return np.asarray(line - depth[0] * np.exp(-age / law.months))


def _air(age: Array, law: _Law) -> Array:
    first, b, steady = law.first, law.exponent, law.steady
    curved = np.clip(age, 1.0, steady)  # steady in the first year and from 20 years on
    slope = np.where(age < 1.0, first, first * b * curved ** (b - 1.0))
    beyond = np.where(age < 1.0, age - 1.0, np.maximum(age - steady, 0.0))
    return np.asarray(first * curved**b + slope * beyond)


def loss_depth(
    curve: str,
    age_years: npt.ArrayLike,
    *,
    fresh: npt.ArrayLike = 0.0,
    assumptions: Assumptions | None = None,
) -> Array:
    r"""Return how deep bare steel has corroded by nature alone, one face.

    Parameters
    ----------
    curve : str
        From :func:`curve_of`; an exposure stands for its curve.
    age_years : array_like
        How long it has been bare there, >= 0; NaN passes. [years]
    fresh : array_like, optional
        How fresh the water is, from :func:`freshness`. [-]
    assumptions : Assumptions, optional
        The ship's; None: the table's.

    Returns
    -------
    ndarray
        Loss since age 0, never falling with age, in the broadcast shape. [m]

    Raises
    ------
    InputError
        If an age is negative.

    Notes
    -----
    Water: straight lines between the points of [1]_ at 5, 25, 50, 75 and 100 years, the
    last slope kept beyond; below five years

    .. math:: D = D_0 (1 - e^{-t/\tau}) + (D_5 - D_0) t / 5

    with D₀ and τ fitted to published first months. Between sea and fresh water in
    proportion. Air: [2]_

    .. math:: D = D_1 t^b \quad (1 \le t \le 20), \qquad b = 0.523

    steady before the first year and after the twentieth.

    References
    ----------
    .. [1] EN 1993-5:2007, Table 4-2 (sea: read in a transcribed design code; fresh:
       from memory).
    .. [2] ISO 9223 and ISO 9224, corrosivity of atmospheres (from memory).

    Examples
    --------
    >>> [float(loss_depth(x, 25.0) * 1e3) for x in ("immersed", "splash")]
    [0.9, 1.9]
    """
    age = not_negative(age_years, name="loss_depth: age_years", unit="years")
    law = _Law.of(default_assumptions() if assumptions is None else assumptions)
    name = CURVES.get(curve, curve)
    sea = _depth(name, age, law)
    if name == _AIR:
        return sea
    part = np.asarray(fresh, dtype=np.float64)
    if not part.any():
        return sea
    return np.asarray(sea + part * (_depth(_FRESH, age, law) - sea))


_AGES: Final = np.concatenate([[0.0], np.geomspace(0.01, 400.0, 400)])


@cache
def _grown(curve: str, exponent: float, law: _Law) -> Array:
    """Return the loss of steel that was bared little by little, on ``_AGES`` [m]."""
    nodes, weights = np.polynomial.legendre.leggauss(24)
    part = 0.5 * (1.0 + nodes)  # share of the bared steel, the first bared first
    bared = part ** (1.0 / exponent)  # when that share was bared, over the age
    return np.asarray(_depth(curve, _AGES[:, None] * (1.0 - bared), law) @ weights / 2)


def grown_loss(
    curve: str,
    age_years: npt.ArrayLike,
    *,
    exponent: float,
    fresh: float = 0.0,
    assumptions: Assumptions,
) -> Array:
    r"""Return the mean loss of steel that was bared little by little.

    Parameters
    ----------
    curve : str
        From :func:`curve_of`.
    age_years : array_like
        Since the first of it was bared. [years]
    exponent : float
        The bared area grew as this power of the age. [-]
    fresh : float, optional
        How fresh the water is. [-]
    assumptions : Assumptions
        The ship's.

    Returns
    -------
    ndarray
        Mean over the area bared by then, from a table of ages. [m]

    Notes
    -----
    .. math:: \frac{1}{A^p} \int_0^A p \, s^{p-1} D(A - s) \, ds
    """
    age = np.asarray(age_years, dtype=np.float64)
    law = _Law.of(assumptions)
    sea = np.interp(age, _AGES, _grown(curve, exponent, law))
    if curve == _AIR or fresh == 0.0:
        return np.asarray(sea)
    water = np.interp(age, _AGES, _grown(_FRESH, exponent, law))
    return np.asarray(sea + fresh * (water - sea))
