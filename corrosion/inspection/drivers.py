"""What to measure next: which unknown drives a result."""

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Final

import numpy as np

from corrosion.foundation.types import Array

__all__ = ["Driver", "drivers"]

_ROUNDING: Final = 1e-24


@dataclass(frozen=True, slots=True, kw_only=True)
class Driver:
    """One unknown and how much of a result's spread goes with it.

    Attributes
    ----------
    name : str
        The unknown.
    share : float
        Squared rank correlation: share of the variance of the result's ranks. [-]
    upward : bool
        True where more of the unknown makes more of the result.
    """

    name: str
    share: float
    upward: bool


def drivers(
    unknowns: Mapping[str, Array], outcome: Array, weights: Array | None = None
) -> tuple[Driver, ...]:
    """Return the unknowns by how much of a result's spread goes with each.

    Parameters
    ----------
    unknowns : mapping of str to ndarray, shape (S,)
        Samples of each unknown, in any unit: only their order is used.
    outcome : ndarray, shape (S,)
        The result in the same samples, in any unit.
    weights : ndarray, shape (S,), optional
        Weight of each sample; None: all alike. [-]

    Returns
    -------
    tuple of Driver
        The greatest share first; an unknown that does not vary has none.

    Notes
    -----
    Spearman's rank correlation, squared. It sees what rises or falls throughout; an
    unknown that acts only together with another shows less than it does.

    Examples
    --------
    >>> rising = np.arange(5.0)
    >>> [d.name for d in drivers({"a": 0 * rising, "b": rising}, rising**3)]
    ['b', 'a']
    """
    samples = outcome.size
    share = np.full(samples, 1.0 / samples) if weights is None else weights
    share = share / share.sum()
    target = _centred_ranks(outcome, share)
    found = []
    for name, values in unknowns.items():
        ranks = _centred_ranks(values, share)
        scale = (share @ ranks**2) * (share @ target**2)
        together = float(share @ (ranks * target))
        part = together**2 / scale if scale > _ROUNDING else 0.0
        found.append(Driver(name=name, share=float(part), upward=together > 0.0))
    return tuple(sorted(found, key=lambda row: -row.share))


def _centred_ranks(values: Array, share: Array) -> Array:
    """Return the share of weight below each value (ties alike), about its mean."""
    _, inverse = np.unique(values, return_inverse=True)
    level = np.bincount(inverse, weights=share)
    ranks = (np.cumsum(level) - 0.5 * level)[inverse]
    return np.asarray(ranks - share @ ranks)
