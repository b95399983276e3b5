"""Weights of samples: who carries the answer, and what is done when too few do."""

from dataclasses import dataclass
from typing import Final

import numpy as np

from corrosion.foundation.types import Array, IntArray

__all__ = ["Learned", "Weighted", "resample", "weigh", "zone_weights"]

_LEAST_SHARE: Final = 0.05
_BISECTIONS: Final = 16


@dataclass(frozen=True, slots=True)
class Weighted:
    """Weights of samples, and how many of them carry the answer.

    Attributes
    ----------
    weights : ndarray, shape (S,)
        Sum to one. [-]
    effective : float
        Effective number of samples, 1/Σw².
    temper : float
        Exponent on the likelihood; 1: none, less: the gaugings said more than the
        samples could follow. [-]
    """

    weights: Array
    effective: float
    temper: float


def weigh(loglik: Array, least_share: float = _LEAST_SHARE) -> Weighted:
    """Return the weights of samples from their log-likelihood.

    Parameters
    ----------
    loglik : ndarray, shape (S,)
        Log-likelihood, up to a constant. [-]
    least_share : float, optional
        The likelihood is tempered where fewer than this share of the samples would
        carry the weight. [-]

    Returns
    -------
    Weighted
        Normalised weights, effective number of samples and temper.

    Examples
    --------
    >>> weigh(np.log([0.5, 0.25, 0.25])).weights.tolist()
    [0.5, 0.25, 0.25]
    """
    weights, temper = _tempered(loglik[:, np.newaxis], least_share)
    return Weighted(weights[:, 0], float(1.0 / (weights**2).sum()), float(temper[0]))


@dataclass(frozen=True, slots=True, kw_only=True)
class Learned:
    """What the gaugings taught.

    Attributes
    ----------
    weights : ndarray, shape (S, Z)
        Weight of each sample for each zone; every column sums to one. [-]
    shared : ndarray, shape (S,)
        Weight of each sample for the shared unknowns, and so for zones never
        gauged. [-]
    effective : ndarray, shape (Z,)
        Effective number of samples of each zone.
    temper : ndarray, shape (Z,)
        Exponent on the zone's likelihood; 1: none. [-]
    shared_temper : float
        Exponent on what other zones' gaugings say of the shared unknowns. [-]
    """

    weights: Array
    shared: Array
    effective: Array
    temper: Array
    shared_temper: float


def zone_weights(
    own: Array, shared: Array | None = None, least_share: float = _LEAST_SHARE
) -> Learned:
    """Return weights of the samples for each zone.

    Parameters
    ----------
    own : ndarray, shape (S, Z)
        From :func:`corrosion.inspection.calibration.likelihood.log_likelihood`. [-]
    shared : ndarray, shape (S, Z), optional
        From :func:`corrosion.inspection.calibration.likelihood.shared_log_likelihood`;
        None: no unknown is shared, and each zone learns from its own gaugings only. [-]
    least_share : float, optional
        As in :func:`weigh`. [-]

    Returns
    -------
    Learned
        Weights, effective numbers and tempers.
    """
    told = np.zeros_like(own) if shared is None else shared
    together = weigh(told.sum(axis=1), least_share)
    others = told.sum(axis=1, keepdims=True) - told
    weights, temper = _tempered(own + together.temper * others, least_share)
    return Learned(
        weights=weights,
        shared=together.weights,
        effective=1.0 / (weights**2).sum(axis=0),
        temper=temper,
        shared_temper=together.temper,
    )


def resample(weights: Array, along: Array) -> IntArray:
    """Return samples of equal weight that stand for weighted ones.

    Taken zone by zone in the order of one quantity of the samples, so that zones stay
    as correlated through it as they were. Even weights return every sample in its
    place, and equal weights give equal picks: a what-if on the same picks differs by
    its cause alone.

    Parameters
    ----------
    weights : ndarray, shape (S, Z)
        From :func:`zone_weights`; every column sums to one. [-]
    along : ndarray, shape (S,)
        The quantity, in any unit: for example the ship's whole loss in each sample.

    Returns
    -------
    ndarray of int, shape (S, Z)
        For ``numpy.take_along_axis(values, picks, axis=0)``. [-]

    Examples
    --------
    >>> resample(np.full((3, 1), 1 / 3), np.array([2.0, 1.0, 3.0])).ravel().tolist()
    [0, 1, 2]
    """
    samples, zones = weights.shape
    by = np.argsort(along, kind="stable")
    reached = np.cumsum(weights[by], axis=0)
    comb = (np.arange(samples) + 0.5) / samples
    picks = np.empty((samples, zones), np.int64)
    for zone in range(zones):
        found = np.searchsorted(reached[:, zone] / reached[-1, zone], comb)
        picks[by, zone] = by[found]
    return picks


def _tempered(loglik: Array, least_share: float) -> tuple[Array, Array]:
    """Return weights by column, and the exponent that keeps enough samples alive."""
    least = least_share * loglik.shape[0]
    level = loglik - loglik.max(axis=0)
    weights = _normalised(level)
    temper = np.ones(loglik.shape[1])
    few = np.flatnonzero((weights**2).sum(axis=0) * least > 1.0)
    if few.size == 0:
        return weights, temper
    low, high = np.zeros(few.size), np.ones(few.size)
    for _ in range(_BISECTIONS):
        middle = 0.5 * (low + high)
        trial = _normalised(middle * level[:, few])
        enough = (trial**2).sum(axis=0) * least <= 1.0
        low, high = np.where(enough, middle, low), np.where(enough, high, middle)
    weights[:, few], temper[few] = _normalised(low * level[:, few]), low
    return weights, temper


def _normalised(level: Array) -> Array:
    raised = np.exp(level)
    return np.asarray(raised / raised.sum(axis=0))
