"""Which zone first, how sure that order is, and what did the damage."""

from collections.abc import Mapping
from typing import Final, Literal

import numpy as np
import numpy.typing as npt

from corrosion.foundation.assumptions import Assumptions
from corrosion.foundation.errors import InputError
from corrosion.foundation.types import Array, BoolArray, IntArray

Cause = Literal[
    "natural", "inside", "faults", "shore couple", "own metals", "unexplained"
]

_FIRST: Final = 5
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


def order(urgency: npt.ArrayLike, margin: npt.ArrayLike) -> IntArray:
    """Return zones in the order in which to look at them.

    Parameters
    ----------
    urgency : array_like, shape (Z,)
        Consequence times the chance from :func:`chance_in_first`. [-]
    margin : array_like, shape (Z,)
        Expected margin to the nearest limit; it breaks ties, the least first. [m]

    Returns
    -------
    ndarray of int, shape (Z,)
        Positions on the zone axis, the most urgent first. Zones equal in both stay in
        the order of the file; unknown (NaN) comes last. [-]

    Notes
    -----
    Let looking at a zone be worth its consequence if it truly is one of the nearest to
    a limit, or furthest below, and nothing else. The expected worth of the first looks
    is then a sum of these products, and no order holds a greater one. A chance below a
    limit alone (:func:`priority`) tells zones apart by their widest tails, and not at
    all where few fall below.

    Examples
    --------
    >>> order([0.0, 1.0, 0.0], [2e-3, 3e-3, 1e-3]).tolist()
    [1, 2, 0]
    """
    keys = (np.asarray(margin, np.float64), -np.asarray(urgency, np.float64))
    return np.asarray(np.lexsort(keys), np.int64)


def chance_in_first(margin: Array, first: int | None = None) -> Array:
    """Return the chance that each zone truly is one of those nearest to a limit.

    Parameters
    ----------
    margin : ndarray, shape (S, Z)
        What is left above the nearest limit, negative below; unknown (NaN) counts as
        last. [m]
    first : int, optional
        How many zones count as first; five, and no more than a third of them.

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
    >>> chance_in_first(np.array([[1.0, 2.0, 3.0], [1.0, 3.0, 2.0]]), 2).tolist()
    [1.0, 0.5, 0.5]
    """
    zones = margin.shape[1]
    if first is None:
        first = max(1, min(_FIRST, zones // 3))
    if first < 1:
        msg = f"chance_in_first: first must be 1 zone or more, got {first}."
        raise InputError(msg)
    if first >= zones:
        return np.ones(zones)
    known = np.where(np.isnan(margin), np.inf, margin)
    last = np.partition(known, first - 1, axis=1)[:, [first - 1]]
    nearer, level = known < last, known == last
    places = first - nearer.sum(axis=1, keepdims=True)
    member = nearer + level * (places / level.sum(axis=1, keepdims=True))
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
        Where the deepest pit decides rather than the mean thickness: there the
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
