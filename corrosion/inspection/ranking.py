"""Which zone first, how sure that order is, and what did the damage."""

from collections.abc import Mapping
from typing import Final, Literal

import numpy as np
import numpy.typing as npt

from corrosion.foundation.assumptions import Assumptions
from corrosion.foundation.errors import InputError
from corrosion.foundation.types import Array, BoolArray, IntArray
from corrosion.foundation.units import MM

__all__ = [
    "Cause",
    "chance_in_first",
    "leading",
    "leading_cause",
    "order",
    "priority",
    "score",
    "tolerance",
    "used_share",
]

Cause = Literal[
    "natural", "inside", "faults", "shore couple", "own metals", "unexplained"
]

_LEAST_MARGIN: Final = 1e-3 * MM
_CONSEQUENCES: Final = np.array([1, 2, 3, 4, 5])


def priority(chance: npt.ArrayLike, consequence: npt.ArrayLike) -> Array:
    """Return the chance of falling below a limit times its consequence.

    Parameters
    ----------
    chance : array_like, shape (Z,)
        Chance that the zone is below a limit at the horizon. [-]
    consequence : array_like, shape (Z,)
        1 (nuisance) to 5 (loss of the ship or of life). [-]

    Returns
    -------
    ndarray, shape (Z,)
        Between 0 and 5; more is more urgent. [-]

    Examples
    --------
    >>> priority([0.1, 0.5], [5, 2]).tolist()
    [0.5, 1.0]
    """
    return np.asarray(chance, np.float64) * np.asarray(consequence, np.float64)


def order(priority: npt.ArrayLike, deepest: npt.ArrayLike) -> IntArray:
    """Return zones in order of priority, ties by the deepest pit.

    Zones equal in both stay in the order of the file. Unknown (NaN) comes last.

    Parameters
    ----------
    priority : array_like, shape (Z,)
        From :func:`priority`. [-]
    deepest : array_like, shape (Z,)
        Depth of the deepest pit. [m]

    Returns
    -------
    ndarray of int, shape (Z,)
        Positions on the zone axis, the most urgent first. [-]

    Examples
    --------
    >>> order([0.0, 1.0, 0.0], [1e-3, 0.0, 2e-3]).tolist()
    [1, 2, 0]
    """
    keys = (-np.asarray(deepest, np.float64), -np.asarray(priority, np.float64))
    return np.asarray(np.lexsort(keys), np.int64)


def used_share(left: Array, *, built: npt.ArrayLike, limit: npt.ArrayLike) -> Array:
    """Return the share of the allowable wastage that is used up.

    Parameters
    ----------
    left : ndarray, shape (S, Z)
        Thickness left. [m]
    built, limit : array_like, shape (Z,)
        Thickness as built, and least allowed. [m]

    Returns
    -------
    ndarray, shape (S, Z)
        0 as built, 1 at the limit, above 1 below it; negative where the plate is
        thicker than built. A margin under a micrometre counts as one. [-]

    Examples
    --------
    >>> used_share(np.array([[0.009]]), built=0.010, limit=0.008).round(3).tolist()
    [[0.5]]
    """
    built_m = np.asarray(built, np.float64)
    margin = np.maximum(built_m - np.asarray(limit, np.float64), _LEAST_MARGIN)
    return np.asarray((built_m - left) / margin)


def score(used: Array, consequence: npt.ArrayLike) -> Array:
    """Return how urgent each zone is if one sample were the truth.

    In one sample a zone either is below its limit or it is not. Zones below come
    first, by consequence and then by how far; sound zones follow, the most wasted
    first. The mean of the first term over the samples is the priority itself, so that
    this score and the ranking speak of the same thing.

    Parameters
    ----------
    used : ndarray, shape (S, Z)
        Share of the allowable wastage used, the greater of mean and pit. [-]
    consequence : array_like, shape (Z,)
        1 to 5, whole numbers. [-]

    Returns
    -------
    ndarray, shape (S, Z)
        ``consequence * (used >= 1) + used / (1 + used)``, used not below zero. [-]

    Examples
    --------
    >>> score(np.array([[0.5, 1.0]]), [5, 2]).round(3).tolist()
    [[0.333, 2.5]]
    """
    above_nil = np.maximum(used, 0.0)
    below = np.asarray(consequence, np.float64) * (used >= 1.0)
    return np.asarray(below + above_nil / (1.0 + above_nil))


def chance_in_first(score: Array, first: int = 5) -> Array:
    """Return the chance that each zone truly belongs to the first few.

    Parameters
    ----------
    score : ndarray, shape (S, Z)
        From :func:`score`; unknown (NaN) counts as last. [-]
    first : int
        How many zones count as first.

    Returns
    -------
    ndarray, shape (Z,)
        Chances; they sum to ``first`` (or to Z, if there are fewer zones). Where
        zones tie for the last place they share it. [-]

    Raises
    ------
    InputError
        If ``first`` is below one.

    Examples
    --------
    >>> chance_in_first(np.array([[3.0, 2.0, 1.0], [3.0, 1.0, 2.0]]), 2).tolist()
    [1.0, 0.5, 0.5]
    """
    if first < 1:
        msg = f"chance_in_first: first must be 1 zone or more, got {first}."
        raise InputError(msg)
    zones = score.shape[1]
    if first >= zones:
        return np.ones(zones)
    known = np.where(np.isnan(score), -np.inf, score)
    last = np.partition(known, zones - first, axis=1)[:, [zones - first]]
    above, level = known > last, known == last
    places = first - above.sum(axis=1, keepdims=True)
    member = above + level * (places / level.sum(axis=1, keepdims=True))
    return np.asarray(member.mean(axis=0))


def tolerance(consequence: npt.ArrayLike, *, assumptions: Assumptions) -> Array:
    """Return the tolerated chance below limit for each consequence.

    Parameters
    ----------
    consequence : array_like, shape (Z,)
        Whole numbers from 1 to 5. [-]
    assumptions : Assumptions
        The ship's.

    Returns
    -------
    ndarray, shape (Z,)
        Rows ``tolerance_consequence_1`` to ``_5`` of the basis table. [-]

    Raises
    ------
    InputError
        If a consequence is not a whole number from 1 to 5.

    Examples
    --------
    >>> from corrosion.foundation.assumptions import default_assumptions
    >>> tolerance([1, 5], assumptions=default_assumptions()).tolist()
    [0.5, 0.03]
    """
    asked = np.asarray(consequence)
    if not np.isin(asked, _CONSEQUENCES).all():
        bad = asked[~np.isin(asked, _CONSEQUENCES)].flat[0]
        msg = f"tolerance: consequence must be 1, 2, 3, 4 or 5, got {bad}."
        raise InputError(msg)
    rows = [
        assumptions.value(f"tolerance_consequence_{level}") for level in _CONSEQUENCES
    ]
    return np.array(rows)[asked.astype(np.int64) - 1]


def leading(contributions: Array) -> IntArray:
    """Return which fault took most from each zone.

    Parameters
    ----------
    contributions : ndarray, shape (F, Z)
        Loss that vanishes from each zone without each fault, the mean over the
        samples. [kg]

    Returns
    -------
    ndarray of int, shape (Z,)
        Position on the fault axis; -1 where no fault takes anything. [-]

    Examples
    --------
    >>> leading(np.array([[0.0, 2.0], [0.0, 3.0]])).tolist()
    [-1, 1]
    """
    faults, zones = contributions.shape
    if faults == 0:
        return np.full(zones, -1, np.int64)
    known = np.nan_to_num(contributions, nan=0.0)
    return np.where(known.max(axis=0) > 0.0, known.argmax(axis=0), -1)


def leading_cause(
    accounts: Mapping[str, Array],
    plate: Array,
    *,
    spot: Array,
    taken: Array,
    pitted: BoolArray,
) -> tuple[Cause, ...]:
    """Return what took most from each zone, by the depth that decides it.

    Parameters
    ----------
    accounts : mapping of str to ndarray, shape (Z,)
        ``natural_sea_kg``, ``protection_spared_kg``, ``spared_kg``,
        ``natural_inside_kg``, ``faults_kg``, ``couple_kg``, ``own_metals_kg`` and
        ``unexplained_kg``; the mean over the samples. [kg]
    plate : ndarray, shape (Z,)
        Mass of a metre's thickness of each zone. [kg/m]
    spot, taken : ndarray, shape (Z,)
        Depth lost at bare steel, and what of it currents took. [m]
    pitted : ndarray of bool, shape (Z,)
        Where the deepest pit is nearer to its limit than the mean thickness: there the
        depth at bare steel decides, elsewhere the mean over the zone.

    Returns
    -------
    tuple of Cause, length Z
        The greatest; ``natural`` is the sea side, and stands where two are equal;
        ``unexplained`` is what causes took that no record names.
    """
    causes: dict[Cause, str] = {
        "faults": "faults_kg",
        "shore couple": "couple_kg",
        "own metals": "own_metals_kg",
    }
    driven = sum(accounts[name] for name in causes.values())
    inside = accounts["natural_inside_kg"] / plate
    sea = accounts["natural_sea_kg"] - accounts["protection_spared_kg"]
    unexplained = accounts["unexplained_kg"] / plate
    sea = (sea - accounts["spared_kg"]) / plate
    depths: dict[Cause, Array] = {
        "natural": np.where(pitted, spot - taken - inside - unexplained, sea),
        "inside": inside,
        "unexplained": unexplained,
    }
    for cause, name in causes.items():
        at_spot = taken * accounts[name] / np.maximum(driven, 1e-300)
        depths[cause] = np.where(pitted, at_spot, accounts[name] / plate)
    most = np.argmax(np.nan_to_num(np.stack(list(depths.values()))), axis=0)
    names = tuple(depths)
    return tuple(names[index] for index in most)
