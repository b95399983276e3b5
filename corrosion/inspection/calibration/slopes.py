"""How what is lost goes with what the samples drew: slopes by least squares."""

from collections.abc import Sequence
from itertools import pairwise
from typing import Final

import numpy as np

from corrosion.foundation.types import Array
from corrosion.wastage.uncertain import ZoneUnknowns

_LEAST: Final = 1e-9  # a standard deviation of what does not vary
_PARTS: Final = 1.0 - 0.5 ** np.arange(7.0)  # of the pits, those whose paint fails soon
_FOR_A_PART: Final = 32  # samples


def lean_of(
    scores: Array, level: Array, zones: ZoneUnknowns, deeper: Array, spot: Array
) -> Array:
    """Return how pits go with shared unknowns and the level, (shared + 1, zones) [-].

    By least squares, with what else draws a pit's depth beside them: slopes multiply
    unknowns that gaugings may move far, and would otherwise carry its chance along.
    Most of it is how soon the paint over an old pit fails, which does in few samples.
    Nearly all that pits have of the shared unknowns, bare steel between them has as
    well, where no pit's own chance blurs it; what is left is nearly the same in all
    zones, so that each is told by the others as far as they agree.

    Parameters
    ----------
    scores : ndarray, shape (samples, shared)
        Of the unknowns that zones share, the inner faces' last. [-]
    level : ndarray, shape (samples, zones)
        Each zone's own. [-]
    zones : ZoneUnknowns
        What was drawn for each zone.
    deeper : ndarray, shape (samples, zones)
        Logarithm of the deepest pit over the loss as pits go by it. [-]
    spot : ndarray, shape (samples, zones)
        Logarithm of the depth at bare steel over the loss, likewise. [-]
    """
    extreme = -np.log(-np.log(zones.deepest))
    soon = (zones.pit_paint / zones.pit_place).argsort(axis=0).argsort(axis=0)
    edges = np.append(_PARTS[: len(soon) // _FOR_A_PART], 1.0)
    fails = [
        np.clip((soon / len(soon) - low) / (high - low), 0.0, 1.0)
        for low, high in pairwise(edges)
    ]
    told = [level, np.log(zones.pitting), extreme, extreme**2, *fails]
    own = scores.shape[1] + 1
    found = slopes_of(scores, told, spot)[:own]
    rest = slopes_of(scores, told, deeper - spot)
    found += _alike(rest[:own], _errors(scores, told, deeper - spot, rest)[:own])
    found[-2] = 0.0  # the inside has no part in pits of the sea side
    return found


def _errors(scores: Array, own: list[Array], values: Array, slopes: Array) -> Array:
    """Return the variance of each slope, were all told by unlike numbers [-]."""
    left = values - scores @ slopes[: scores.shape[1]]
    for one, slope in zip(own, slopes[scores.shape[1] :], strict=True):
        left -= centred(one) * slope
    told = [np.tile(scores.var(axis=0)[:, None], values.shape[1])]
    told.append(np.stack([one.var(axis=0) for one in own]))
    spread = np.maximum(len(values) * np.concatenate(told), _LEAST)
    return np.asarray(left.var(axis=0) / spread)


def _alike(slopes: Array, errors: Array) -> Array:
    """Return slopes drawn to the mean of all zones, as far as errors make them differ.

    Of (unknowns, zones), with their variances.
    """
    mean, error = slopes.mean(axis=1, keepdims=True), errors.mean(axis=1, keepdims=True)
    apart = np.maximum(slopes.var(axis=1, keepdims=True) - error, 0.0)
    return np.asarray(mean + (slopes - mean) * apart / (apart + errors + _LEAST**2))


def spread_alike(values: Array, kinds: Sequence[str]) -> Array:
    """Return standard deviations, each told by zones of its kind as well, (zones,).

    Each is drawn to the median of its kind where it lies within two of its standard
    errors of it, from three on not at all: it is another. A chance that lies in a tail
    moves with it as with the mean, in all samples alike.

    Parameters
    ----------
    values : ndarray, shape (samples, zones)
        Of each zone, in any unit.
    kinds : sequence of str
        Of which kind each zone is.
    """
    own = np.log(np.maximum(values.std(axis=0), _LEAST))
    tails = (centred(values) ** 4).mean(axis=0) / np.exp(4.0 * own)
    error = np.sqrt(np.maximum(tails - 1.0, 0.0) / (4.0 * len(values)))
    middle = own.copy()
    for kind in set(kinds):
        alike = np.array(kinds) == kind
        middle[alike] = np.median(own[alike])
    off = middle - own
    most = 2.0 * np.maximum(3.0 * error - np.abs(off), 0.0)
    return np.asarray(np.exp(own + np.clip(off, -most, most)))


def slopes_of(scores: Array, own: list[Array], values: Array) -> Array:
    """Return slopes by least squares, (shared + own, zones) [-].

    Parameters
    ----------
    scores : ndarray, shape (samples, shared)
        What all zones share. [-]
    own : list of ndarray, shape (samples, zones)
        What is each zone's own; what does not vary has no slope. [-]
    values : ndarray, shape (samples, zones)
        What goes with them, about its mean. [-]
    """
    shared = np.broadcast_to(scores[:, :, None], (*scores.shape, values.shape[1]))
    told = np.concatenate([shared, np.stack([*map(standard, own)], axis=1)], axis=1)
    told = told.transpose(2, 1, 0)
    square = np.linalg.pinv(told @ told.transpose(0, 2, 1), 1e-10, hermitian=True)
    slopes = (square @ (told @ values.T[..., None]))[..., 0].T
    scale = np.array([one.std(axis=0) for one in own])
    slopes[scores.shape[1] :] /= np.maximum(scale, _LEAST)
    return np.asarray(slopes)


def centred(values: Array) -> Array:
    """Return values about the mean of the samples, in their unit."""
    return np.asarray(values - values.mean(axis=0))


def standard(values: Array) -> Array:
    """Return them over their standard deviation as well [-]; 0 where none varies."""
    return np.asarray(centred(values) / np.maximum(values.std(axis=0), _LEAST))
