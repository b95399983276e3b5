"""A move of what all zones share, every gauged zone following."""

from dataclasses import dataclass, replace
from typing import Final

import numpy as np

from corrosion.foundation.types import Array, BoolArray, IntArray
from corrosion.inspection.calibration.cells import Block, Linear, Near, whitened
from corrosion.inspection.calibration.rate_model import (
    INSIDE,
    LEVEL,
    RatePrior,
    RateState,
)
from corrosion.inspection.calibration.readings import Readings
from corrosion.inspection.calibration.slice_moves import slice_move
from corrosion.inspection.calibration.slips import log_surfaces
from corrosion.inspection.calibration.zone_moves import log_prior, minus_half

__all__ = ["move_shared"]

_ALL: Final = slice(None)
_WIDTH: Final = 2.0 * np.pi  # of the arc on which a point is sought [rad]


def move_shared(
    rng: np.random.Generator,
    state: RateState,
    wrong: BoolArray,
    near: Near,
) -> RateState:
    """Return a state in which shared unknowns and biases moved, every zone following.

    Zones keep their distance from their likeliest point, which moves with what is
    shared as their linear models say: readings are met as well as before, and few
    unknowns are left to move (one slice move of all). Arguments as `move_zones`.
    """
    prior, readings, cases = near.prior, near.readings, near.blocks
    shared = state.shared.T
    now = np.hstack([state.shared, state.bias])
    levels = readings.levels(shared, prior)
    bias = state.bias.T[readings.campaign]
    x, cause = readings.unknowns(state), readings.cause(state)
    told = [block.case(wrong, cause)[0] for block in cases]
    models = _Models([(b, b.of(one)) for b, one in zip(cases, told, strict=True)])
    even = readings.surfaces.moments
    first = np.concatenate([np.ones(len(shared)), even[1] ** -2.0])
    at = np.concatenate([np.zeros(len(shared)), even[0]])
    slopes = models.common(prior, readings, state.bias.shape[1])
    mean, root = models.posterior(slopes, first, at, prior.mean_wander)
    fresh = mean + np.einsum("sgh,sh->sg", root, rng.standard_normal(mean.shape))
    ways = [models.path(readings, slopes, end - mean, x) for end in (now, fresh)]
    linear = models.laid(
        [
            model.left(levels[:, block.zones], bias[block.rows])
            - (model.slope * x[:, None, block.zones]).sum(axis=0)
            for block, model in models.parts
        ],
        readings,
    )
    variance = models.laid(
        [b.variance_of(one) for b, one in zip(cases, told, strict=True)], readings
    )
    spread, is_wrong = state.spread.T, wrong
    count = len(shared)

    def log_density(about: Array, which: IntArray, angle: Array) -> Array:
        pick = _ALL if which.size == readings.samples else which
        cos, sin = np.cos(angle) - 1.0, np.sin(angle)
        there = about.T + mean.T[:, pick]
        unknowns = x[..., pick] + ways[0][0][..., pick] * cos
        unknowns += ways[1][0][..., pick] * sin
        height = readings.levels(there[:count], prior)
        loss = readings.loss(unknowns, height, cause[:, pick], pick)
        off = readings.gone[:, None] + there[count:][readings.campaign] - loss
        straight = linear[:, pick] + ways[0][1][:, pick] * cos
        straight += ways[1][1][:, pick] * sin
        told = minus_half(off, is_wrong[:, pick], readings)
        told += 0.5 * straight**2 / variance[:, pick]
        term = log_prior(unknowns, spread[:, pick], cause[:, pick], prior, readings)
        surface = log_surfaces(there[count:].T, readings.surfaces)
        return np.asarray(told.sum(axis=0) + term.sum(axis=0) + surface)

    moved, angles = slice_move(rng, now - mean, fresh - mean, log_density, width=_WIDTH)
    x = x + ways[0][0] * (np.cos(angles) - 1.0) + ways[1][0] * np.sin(angles)
    now = moved + mean
    zones = state.zones.copy()
    zones[:, readings.zones] = x.transpose(2, 1, 0)
    return replace(state, shared=now[:, :count], bias=now[:, count:], zones=zones)


@dataclass(frozen=True, slots=True)
class _Models:
    """The linear models of all gauged zones' present cases, block by block."""

    parts: list[tuple[Block, Linear]]

    def laid(self, values: list[Array], readings: Readings) -> Array:
        """Return values (n, zones, samples) of blocks as (rows, samples)."""
        out = np.empty((readings.zone.size, readings.samples))
        for (block, _), own in zip(self.parts, values, strict=True):
            out[block.rows] = own
        return out

    def common(
        self, prior: RatePrior, readings: Readings, campaigns: int
    ) -> list[list[Array]]:
        """Return G of each block by shared unknown, (n, zones, samples)."""
        found = []
        for block, model in self.parts:
            zones = readings.zones[block.zones]
            slopes = [
                model.slope[LEVEL] * outer[:, None]
                + model.slope[INSIDE] * inner[:, None]
                for outer, inner in zip(
                    prior.shared[:, zones], prior.inside_shared[:, zones], strict=True
                )
            ]
            campaign = readings.campaign[block.rows][..., None]
            blank = np.zeros_like(model.data)
            slopes += [blank - (campaign == c) for c in range(campaigns)]
            found.append(slopes)
        return found

    def posterior(
        self,
        slopes: list[list[Array]],
        first: Array,
        at: Array,
        constant: float,
    ) -> tuple[Array, Array]:
        """Return mean and root of the covariance of what is shared, zones summed out.

        (samples, g) and (samples, g, g), from prior precisions and means (g,).
        """
        size, samples = first.size, self.parts[0][1].data.shape[-1]
        precision = np.zeros((size, size, samples))
        pull = np.tile((first * at)[:, None], samples)
        for (_, model), own in zip(self.parts, slopes, strict=True):
            white = [whitened(model.root, slope) for slope in own]
            data = whitened(model.root, model.data - model.slope[LEVEL] * constant)
            for g in range(size):
                pull[g] += (white[g] * data).sum(axis=(0, 1))
                for h in range(g + 1):
                    precision[g, h] += (white[g] * white[h]).sum(axis=(0, 1))
        lower = np.tril_indices(size)
        precision[lower[1], lower[0]] = precision[lower]
        precision[np.arange(size), np.arange(size)] += first[:, None]
        chol = np.linalg.cholesky(precision.transpose(2, 0, 1))
        root = np.linalg.inv(chol).swapaxes(1, 2)
        mean = np.einsum("sgh,skh,ks->sg", root, root, pull)
        return mean, root

    def path(
        self,
        readings: Readings,
        slopes: list[list[Array]],
        way: Array,
        x: Array,
    ) -> tuple[Array, Array]:
        """Return how unknowns and linear residuals go with what is shared by a way.

        The way: (samples, g). (unknowns, gauged, samples) and (rows, samples).
        """
        shift = np.empty_like(x)
        offs = []
        for (block, model), own in zip(self.parts, slopes, strict=True):
            straight = sum(slope * one for slope, one in zip(own, way.T, strict=True))
            white = whitened(model.root, straight)
            own_shift = block.gain(model, white)
            shift[:, block.zones] = -own_shift
            offs.append((model.slope * own_shift[:, None]).sum(axis=0) - straight)
        return shift, self.laid(offs, readings)
