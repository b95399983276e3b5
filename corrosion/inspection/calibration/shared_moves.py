"""A move of what all zones share, every gauged zone following."""

from dataclasses import replace
from typing import Final

import numpy as np

from corrosion.foundation.types import Array, IntArray
from corrosion.inspection.calibration.cells import Block, Linear
from corrosion.inspection.calibration.chains import THICKEST, Chains
from corrosion.inspection.calibration.rate_model import (
    EXTRA,
    INSIDE,
    LEVEL,
    OFFSET,
    PIT,
    STEEPEST,
    WANDER,
)
from corrosion.inspection.calibration.readings import Readings
from corrosion.inspection.calibration.slice_moves import slice_move
from corrosion.inspection.calibration.slips import draw_surfaces, log_surfaces
from corrosion.inspection.calibration.stratified import normal
from corrosion.inspection.calibration.triangular import (
    root_of,
    single,
    solved,
    whitened,
)
from corrosion.inspection.calibration.zone_moves import TakenUp, precision_of

_ALL: Final = slice(None)
_BEYOND: Final = 1e4  # squared residual over its variance that is nowhere near [-]


def move_shared(
    rng: np.random.Generator, chains: Chains, blocks: list[Block], readings: Readings
) -> Chains:
    """Return chains in which shared unknowns and biases moved, every zone following.

    Zones keep their distance from their likeliest point, which moves with what is
    shared as their linear models say: readings are met as well as before, and few
    unknowns are left to move (one slice move of all). Arguments as `move_zones`.
    """
    prior, kinds = blocks[0].prior, readings.surfaces
    count = len(chains.shared)
    given = chains.given(readings, prior)
    now = np.vstack([chains.shared, chains.bias])
    parts = [
        (block, block.of(block.case(chains.wrong, chains.cause)[0], given))
        for block in blocks
    ]
    # Given the cases, and zones summed out, what is shared is normal: how far from here
    # to its mean, and a draw about it.
    mean, sd = kinds.moments_of(_shares(chains.surface, kinds.mean.size))
    of_bias = np.broadcast_to(sd[:, None] ** -2.0, chains.bias.shape)
    first = np.vstack([chains.reach**-2.0, of_bias])
    precision, pull = _collapsed(parts, readings, len(now))
    precision[np.arange(len(now)), np.arange(len(now))] += first
    pull -= first * (now - np.concatenate([np.zeros(count), mean])[:, None])
    root = root_of(precision)
    about = -solved(root, whitened(root, pull))
    fresh = solved(root, normal(rng, pull.shape).astype(np.float64))
    path = _Path(chains, readings, parts, (about, fresh))
    start = now - about

    def log_density(there: Array, which: IntArray, angle: Array) -> Array:
        pick = _ALL if which.size == readings.samples else which
        cos, sin = np.cos(angle) - 1.0, np.sin(angle)
        bias = there[:, count:].T + start[count:, pick]
        told = path.log_ratio(cos, sin, pick)
        return told + log_surfaces(bias, kinds, mean, sd)

    moved, angles = slice_move(rng, about.T, fresh.T, log_density)
    there = moved.T + start
    own, loss = path.end(np.cos(angles) - 1.0, np.sin(angles))
    shared, bias = single(there[:count]), single(there[count:])
    loss = loss + bias[readings.campaign]
    # they were summed out: those of the old biases would pull the new ones back
    surface = draw_surfaces(rng, bias, readings)
    return replace(
        chains, shared=shared, bias=bias, surface=surface, own=own, loss=loss
    )


def _shares(surface: IntArray, kinds: int) -> Array:
    """Return how many of the samples have each surface, (campaigns, surfaces) [-]."""
    counts = np.stack([np.bincount(one, minlength=kinds) for one in surface])
    return np.asarray(counts / surface.shape[1])


def _collapsed(
    parts: list[tuple[Block, Linear]], readings: Readings, size: int
) -> tuple[Array, Array]:
    """Return what zones, summed out, say of what is shared: precision, and pull.

    (g, g, samples) and (g, samples), about where it is now.
    """
    precision = np.zeros((size, size, readings.samples))
    pull = np.zeros((size, readings.samples))
    for block, model in parts:
        prior, zones = block.prior, readings.zones[block.zones]
        outer, inner = (
            single(loads[:, zones]) for loads in (prior.shared, prior.inside_shared)
        )
        n, count = len(block.rows), len(outer)
        white = whitened(model.root, single(np.eye(n))[:, :, None, None])
        sure = np.einsum("kizs,kjzs->ijzs", white, white)  # S^-1
        level, inside = model.slope[LEVEL], model.slope[INSIDE]
        by_level, by_inside, left = (
            np.einsum("ijzs,jzs->izs", sure, one) for one in (level, inside, model.left)
        )
        for one, by_one, loads in (
            (level, by_level, outer),
            (inside, by_inside, inner),
        ):
            for other, others in ((level, outer), (inside, inner)):
                pairs = (loads[:, None] * others).reshape(-1, zones.size)
                both = pairs @ (other * by_one).sum(axis=0)
                precision[:count, :count] += both.reshape(count, count, -1)
            pull[:count] += loads @ (one * left).sum(axis=0)
        campaign = readings.campaign[block.rows]
        for one in np.unique(campaign):
            row, zone = np.nonzero(campaign == one)
            at = count + one
            both = outer[:, zone] @ by_level[row, zone]
            both += inner[:, zone] @ by_inside[row, zone]
            precision[:count, at] -= both
            precision[at, :count] -= both
            pull[at] -= left[row, zone].sum(axis=0)
            for other in np.unique(campaign[:, zone]):
                pair = (campaign == one)[:, None] & (campaign == other)
                precision[at, count + other] += sure[pair].sum(axis=0)
    return precision, pull


class _Path:
    """All gauged zones on an ellipse of what is shared: now + a (cos φ - 1) + b sin φ.

    Kept as what a loss is made of, each going straight with both ways.
    """

    def __init__(
        self,
        chains: Chains,
        readings: Readings,
        parts: list[tuple[Block, Linear]],
        ways: tuple[Array, Array],
    ) -> None:
        sure = precision_of(chains.wrong, readings)
        self._sure, self._readings = sure, readings
        self._prior = prior = parts[0][0].prior
        count = len(chains.shared)
        place, own = readings.place, chains.own.copy()
        straight, variance = np.empty_like(chains.loss), np.empty_like(chains.loss)
        for block, model in parts:
            straight[block.rows] = model.off(own[:, block.zones])
            variance[block.rows] = model.variance
        taken_up = TakenUp(sure, prior, readings)
        away = taken_up.by(straight - chains.off(readings))
        own[OFFSET] -= away
        levels, bias = [readings.levels(chains.shared, prior)], [chains.bias]
        shifts, straights = [own], [straight - away[place]]
        for way in map(single, ways):
            moved = readings.levels(way[:count], prior)
            moved[0] -= prior.mean_wander
            read = way[count:][readings.campaign]
            shift, straight = np.empty_like(own), np.empty_like(chains.loss)
            for block, model in parts:
                off = read[block.rows] - model.slope[LEVEL] * moved[0, block.zones]
                off -= model.slope[INSIDE] * moved[1, block.zones]
                back = solved(model.root, whitened(model.root, off))
                shift[:, block.zones] = block.pulled(model, back, chains.spread)
                # d - G g - J x goes by off - J Sigma J' S^-1 off
                straight[block.rows] = model.variance * back
            levels.append(moved)
            bias.append(way[count:])
            shifts.append(shift)
            straights.append(straight)
        self._shifts = shifts
        self._linear = 1.0 / variance
        share = readings.share(chains.cause)
        self._ways = [
            (
                height[0] + own[LEVEL] + own[WANDER],
                (height[1] + own[INSIDE])[place[readings.lined]],
                own[PIT][place[readings.pits]],
                one[readings.campaign] + own[OFFSET][place] - share * own[EXTRA][place],
                np.where(chains.cause > 0, own[EXTRA], 0.0),
                straight,
                own[OFFSET],
            )
            for height, own, one, straight in zip(
                levels, shifts, bias, straights, strict=True
            )
        ]

    def _at(
        self, cos: Array, sin: Array, which: IntArray | slice
    ) -> tuple[Array, Array, Array]:
        """Return read less foreseen (rows, n), what offsets take up, log density."""
        readings = self._readings

        def of(values: Array) -> Array:
            if isinstance(which, slice):
                return values
            return np.take(values, which, axis=-1, mode="clip")

        cos, sin = single(cos), single(sin)
        total, inner, deeper, off, extra, straight, offset = (
            of(one) + of(along) * cos + of(across) * sin
            for one, along, across in zip(*self._ways, strict=True)
        )
        sea, inside, fixed = readings.single
        rate = np.exp(np.minimum(total, STEEPEST))
        loss = of(fixed)
        for knot, own in zip(sea, rate, strict=True):
            loss = loss + of(knot) * own[readings.place]
        loss[readings.pits] *= np.exp(np.minimum(deeper, STEEPEST))
        loss[readings.lined] += np.exp(np.minimum(inner, STEEPEST)) * of(
            inside[readings.lined]
        )
        off += single(readings.gone[:, None]) - loss
        taken_up = TakenUp(of(self._sure), self._prior, readings)
        away = taken_up.by(straight - off)
        off += away[readings.place]
        light = of(self._linear) * straight**2
        told = taken_up.fits(light, off, offset, away).sum(axis=0)
        told[(extra < 0.0).any(axis=0)] = -np.inf
        # two squares so large leave nothing in single precision but their error
        far = (light > _BEYOND) | (loss > THICKEST)
        told[far.any(axis=0)] = -np.inf
        return off, away, told

    def log_ratio(self, cos: Array, sin: Array, which: IntArray | slice) -> Array:
        """Return log likelihood over that of the linear models, (n,) [-]."""
        return self._at(cos, sin, which)[2]

    def end(self, cos: Array, sin: Array) -> tuple[Array, Array]:
        """Return all unknowns there, and the loss less biases."""
        now, along, across = self._shifts
        cos, sin = single(cos), single(sin)
        off, away, _ = self._at(cos, sin, _ALL)
        own = now + along * cos + across * sin
        own[OFFSET] += away
        return own, single(self._readings.gone[:, None]) - off
