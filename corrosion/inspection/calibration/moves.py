"""Slice moves of all unknowns of a sample at once, and of each zone on its own."""

from dataclasses import dataclass, replace
from typing import Final

import numpy as np

from corrosion.foundation.types import Array, IntArray
from corrosion.inspection.calibration.linearised import Linearised, linearised
from corrosion.inspection.calibration.rate_model import (
    INSIDE,
    LEVEL,
    WANDER,
    RatePrior,
    RateState,
)
from corrosion.inspection.calibration.readings import Readings
from corrosion.inspection.calibration.slice_moves import slice_move

__all__ = ["move_doubtful", "move_everything", "move_zones"]

_SEARCH: Final = 3
_WIDER: Final = 2.5
_FARTHEST: Final = 1.0  # of a logarithm of a rate, in one step


@dataclass(frozen=True, slots=True)
class _Ellipse:
    """Values linear in the unknowns: at the mean, and at both ends about it."""

    mean: Array
    now: Array
    fresh: Array

    @classmethod
    def through(cls, mean: Array, now: Array, fresh: Array) -> "_Ellipse":
        return cls(mean, now - mean, fresh - mean)

    def at(self, angle: Array, which: IntArray) -> Array:
        cos, sin = np.cos(angle), np.sin(angle)
        shape = (-1, *[1] * (self.mean.ndim - 1))
        around = self.now[which] * cos.reshape(shape)
        around += self.fresh[which] * sin.reshape(shape)
        return np.asarray(self.mean[which] + around)


def move_zones(
    rng: np.random.Generator,
    state: RateState,
    prior: RatePrior,
    readings: Readings,
    near: Linearised,
    reference: RatePrior | None = None,
) -> RateState:
    """Return a state in which each gauged zone of each sample moved on its own.

    Given what is shared, zones know nothing of one another. ``reference``: the prior
    that ``near`` was made with; None: the same.
    """
    proposed = prior if reference is None else reference
    gauged = readings.zones
    now = state.zones[:, gauged]
    pairs = now.shape[0] * now.shape[1]
    left = near.without_common(np.hstack([state.shared, state.bias]))
    drawn = near.draw_zones(rng, _from_prior(rng, proposed, readings), left)
    ends = (near.mean_zones(left), now, drawn)
    path = _Ellipse.through(*(end.reshape(pairs, -1) for end in ends))
    linear = _Ellipse.through(*(near.off(left, end).reshape(pairs, -1) for end in ends))
    variance = near.variance.reshape(pairs, -1)
    levels = readings.levels(state.shared, prior).reshape(pairs, 2)
    read = readings.gone + state.bias[:, readings.campaign]
    read = read[:, readings.rows].reshape(pairs, -1)
    slips = np.repeat(state.slips, gauged.size)

    def log_density(about: Array, which: IntArray, angle: Array) -> Array:
        unknowns = path.mean[which] + about
        rows = which % gauged.size
        off = read[which] - readings.loss(unknowns, levels[which], which)
        told = readings.log_likelihood(off, slips[which], readings.rows[rows])
        told += 0.5 * linear.at(angle, which) ** 2 / variance[which]
        total = (told * readings.real[rows]).sum(axis=1)
        spread = state.spread[which // gauged.size]
        term = _spread_term(unknowns, gauged[rows], spread, prior, proposed)
        return np.asarray(total + term)

    moved = slice_move(rng, path.now, path.fresh, log_density)
    zones = state.zones.copy()
    zones[:, gauged] = (path.mean + moved).reshape(now.shape)
    return replace(state, zones=zones)


def move_doubtful(
    rng: np.random.Generator,
    state: RateState,
    prior: RatePrior,
    doubtful: Readings,
    chance: Array,
) -> RateState:
    """Return a state in which zones with a doubtful reading moved once more.

    Where a reading may be wrong or not, a zone has two answers, and a reference near
    one never proposes the other. Here each sample's reference takes the readings as
    sound or wrong by lot, wherever the sample is.

    Parameters
    ----------
    rng : numpy.random.Generator
        Random numbers.
    state : RateState
        The samples.
    prior : RatePrior
        The prior.
    doubtful : Readings
        All readings of the zones that have a doubtful one.
    chance : ndarray, shape (rows,)
        The lot's chance that each is taken as wrong. [-]

    Returns
    -------
    RateState
        The samples moved.
    """
    wide = replace(prior, wander=_WIDER * prior.wander)  # an odd zone's, half-way
    lot = rng.random((doubtful.samples, chance.size)) < chance
    wrong = lot.astype(np.float64)
    common = np.hstack([state.shared, state.bias])
    zones = state.zones.copy()
    zones[:, doubtful.zones] = 0.0  # the search starts at the prior, not at the state
    for _ in range(_SEARCH):
        near = linearised(replace(state, zones=zones), wide, doubtful, wrong)
        step = near.mean_zones(near.without_common(common)) - zones[:, doubtful.zones]
        zones[:, doubtful.zones] += np.clip(step, -_FARTHEST, _FARTHEST)
    near = linearised(replace(state, zones=zones), wide, doubtful, wrong)
    return move_zones(rng, state, prior, doubtful, near, wide)


def move_everything(
    rng: np.random.Generator,
    state: RateState,
    prior: RatePrior,
    readings: Readings,
    near: Linearised,
) -> RateState:
    """Return a state in which shared unknowns, biases and zones moved together."""
    gauged, samples = readings.zones, readings.samples
    own = state.zones[:, gauged]
    count, size = state.shared.shape[1], near.mean.shape[1]
    common = (near.mean, np.hstack([state.shared, state.bias]), near.draw_common(rng))
    left = [near.without_common(each) for each in common]
    zones = (
        near.mean_zones(left[0]),
        own,
        near.draw_zones(rng, _from_prior(rng, prior, readings), left[2]),
    )
    path = _Ellipse.through(
        *(
            np.hstack([each, zone.reshape(samples, -1)])
            for each, zone in zip(common, zones, strict=True)
        )
    )
    linear = _Ellipse.through(
        *(near.off(each, zone) for each, zone in zip(left, zones, strict=True))
    )
    pairs = np.arange(samples * gauged.size).reshape(samples, -1)

    def log_density(about: Array, which: IntArray, angle: Array) -> Array:
        whole = path.mean[which] + about
        unknowns = whole[:, size:].reshape(-1, own.shape[-1])
        levels = readings.levels(whole[:, :count], prior).reshape(-1, 2)
        loss = readings.loss(unknowns, levels, pairs[which].ravel())
        bias = whole[:, count:size]
        off = (readings.gone + bias[:, readings.campaign])[:, readings.rows]
        off -= loss.reshape(off.shape)
        told = readings.log_likelihood(off, state.slips[which], readings.rows)
        told += 0.5 * linear.at(angle, which) ** 2 / near.variance[which]
        total = (told * readings.real).sum(axis=(1, 2))
        total += _surface_term(bias, state.surface[which], readings)
        zone = np.tile(gauged, len(which))
        spread = np.repeat(state.spread[which], gauged.size, axis=0)
        term = _spread_term(unknowns, zone, spread, prior, prior)
        return np.asarray(total + term.reshape(len(which), -1).sum(axis=1))

    moved = path.mean + slice_move(rng, path.now, path.fresh, log_density)
    zones_moved = state.zones.copy()
    zones_moved[:, gauged] = moved[:, size:].reshape(own.shape)
    return replace(
        state,
        shared=moved[:, :count],
        bias=moved[:, count:size],
        zones=zones_moved,
    )


def _from_prior(
    rng: np.random.Generator, prior: RatePrior, readings: Readings
) -> Array:
    shape = (readings.samples, readings.zones.size, 4 + prior.knots)
    return prior.scaled(rng.standard_normal(shape), readings.zones)


def _spread_term(
    unknowns: Array,
    zone: IntArray,
    spread: Array,
    prior: RatePrior,
    reference: RatePrior,
) -> Array:
    """Return the log prior of zones at learned spreads over the reference's.

    By pair: its zone, and the factors on its spreads. Whether a zone is odd is summed
    out: it is drawn anew after every move.
    """
    level = (unknowns[:, LEVEL] / prior.zone[zone]) ** 2
    inside = (unknowns[:, INSIDE] / prior.inside[zone]) ** 2
    about = unknowns[:, WANDER]
    bent = ((about @ prior.precision) * about).sum(axis=1)
    plain = prior.wander * spread[:, 1]
    wander = _log_normal(bent, plain, prior.knots)
    if prior.odd_share > 0.0:
        odd = _log_normal(bent, plain * prior.odd, prior.knots)
        wander = np.logaddexp(
            np.log1p(-prior.odd_share) + wander, np.log(prior.odd_share) + odd
        )
    return np.asarray(
        wander
        + 0.5 * bent / reference.wander**2
        - 0.5 * level * (spread[:, 0] ** -2.0 - 1.0)
        - 0.5 * inside * (spread[:, 2] ** -2.0 - 1.0)
    )


def _log_normal(bent: Array, scale: Array, knots: int) -> Array:
    return np.asarray(-0.5 * bent / scale**2 - knots * np.log(scale))


def _surface_term(bias: Array, surface: IntArray, readings: Readings) -> Array:
    """Return the log prior of biases given their surfaces over the reference's."""
    kinds = readings.surfaces
    mean, sd = kinds.moments
    own = ((bias - kinds.mean[surface]) / kinds.sd[surface]) ** 2
    return np.asarray(0.5 * (((bias - mean) / sd) ** 2 - own).sum(axis=1))
