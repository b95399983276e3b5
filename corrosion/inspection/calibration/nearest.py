"""Linear models of every case of every gauged zone, about its likeliest point."""

from dataclasses import dataclass, replace
from functools import cached_property
from typing import Final

import numpy as np

from corrosion.foundation.types import Array, BoolArray, IntArray
from corrosion.inspection.calibration.cells import (
    Block,
    Linear,
    Near,
    root_of,
    spread_out,
    whitened,
)
from corrosion.inspection.calibration.rate_model import (
    EXTRA,
    INSIDE,
    LEVEL,
    OFFSET,
    OWN,
    PIT,
    WANDER,
    RatePrior,
)
from corrosion.inspection.calibration.readings import STEEPEST, Readings

__all__ = ["near"]

_MASKS: Final = 2  # readings of a zone that a case may call wrong
_FARTHEST: Final = 1.5  # of a logarithm of a rate, in one step


def near(
    readings: Readings,
    prior: RatePrior,
    levels: Array,
    bias: Array,
    doubts: tuple[BoolArray, Array],
    steps: int,
) -> Near:
    """Return the cases of all gauged zones, made linear about given shared unknowns.

    Parameters
    ----------
    readings : Readings
        What was read.
    prior : RatePrior
        Of all unknowns.
    levels : ndarray, shape (2, gauged, samples)
        What is shared of the rates, as from :meth:`Readings.levels`. [-]
    bias : ndarray, shape (rows, samples)
        Bias of each row's campaign. [m]
    doubts : tuple of two ndarrays, shape (rows,)
        Which readings a case may call wrong (of a zone with more than two, the worst),
        and by how much each is to be doubted. [-]
    steps : int
        Of Gauss and Newton, to the likeliest point.

    Returns
    -------
    Near
        Blocks by the numbers of readings and of doubtful ones.
    """
    doubtful, doubt = doubts
    counts = np.bincount(readings.place)
    masks = np.bincount(readings.place, doubtful).clip(max=_MASKS).astype(np.int64)
    made = []
    for n, m in np.unique(np.stack([counts, masks], axis=1), axis=0):
        zones = np.flatnonzero((counts == n) & (masks == m))
        rows = np.stack(
            [np.flatnonzero(readings.place == zone) for zone in zones], axis=1
        )
        masked = np.argsort(-doubt[rows], axis=0, kind="stable")[:m]
        shared = levels[:, zones, None], bias[rows][:, :, None]
        made.append(_block(readings, prior, shared, (zones, rows, masked), steps))
    return Near(prior, readings, made)


def _block(
    readings: Readings,
    prior: RatePrior,
    shared: tuple[Array, Array],
    places: tuple[IntArray, IntArray, IntArray],
    steps: int,
) -> Block:
    zones, rows, masked = places
    m = len(masked)
    causes = 1 + prior.knots if prior.extra_share > 0.0 else 1
    # A case is a number: its m low bits say which of the doubted readings are wrong,
    # the rest in which knot an unrecorded cause acted (0: in none).
    number = np.arange(causes * 2**m)
    wrong = np.zeros((*rows.shape, number.size), np.bool_)
    for power, pick in enumerate(masked):
        wrong[pick, np.arange(zones.size)] = (number >> power) & 1
    sound = (readings.sd[rows] ** 2)[..., None]
    variance = sound + wrong * readings.slip_sd**2
    cause = number >> m
    model = _Model(readings, rows, *shared, cause)
    at = np.zeros((OWN + prior.knots, zones.size, number.size, readings.samples))
    block = Block(
        zones=zones,
        rows=rows,
        masked=masked,
        cause=cause,
        wrong=wrong,
        variance=variance,
        linear=Linear(*model.slope(at)[::-1], at),  # no root as yet
        spread=prior.deviations(readings.zones[zones]).T,
        prior=prior,
    )
    linear = _linear(block, model, at)
    # Gauss and Newton to the likeliest point, x* = Sigma J' S^-1 (d - G g), made linear
    # anew at each step. Steps are bounded: rates are exponentials, and a first step
    # from far off would otherwise leave their range.
    for _ in range(steps):
        white = whitened(linear.root, linear.left(model.levels, model.bias))
        step = block.gain(linear, white) - at
        at = at + np.clip(step, -_FARTHEST, _FARTHEST)
        linear = _linear(block, model, at)
    return replace(block, linear=linear)


@dataclass(frozen=True)
class _Model:
    """Rows of a block, what they read, and what is shared: all but the unknowns."""

    readings: Readings
    rows: IntArray
    levels: Array
    bias: Array
    cause: IntArray

    @cached_property
    def parts(self) -> tuple[Array, Array, Array]:
        sea, inside, fixed = self.readings.by_row
        return sea[:, self.rows], inside[self.rows], fixed[self.rows]

    def slope(self, at: Array) -> tuple[Array, Array]:
        """Return the loss (n, zones, cases, samples) [m], and its derivatives."""
        sea, inside, fixed = self.parts
        total = (self.levels[0] + at[LEVEL]) + at[WANDER]
        rate = np.exp(np.minimum(total, STEEPEST))
        out = np.empty((len(at), len(self.rows), *at.shape[1:]))
        outer = np.zeros(out.shape[1:])
        for knot, own, place in zip(sea, rate, out[WANDER], strict=True):
            np.multiply(knot[:, :, None], own, out=place)
            outer += place
        out[LEVEL] = outer
        inner = np.exp(self.levels[1] + at[INSIDE]) * inside[:, :, None]
        out[INSIDE] = inner
        out[OFFSET] = -1.0
        caused = self.readings.caused[self.rows][..., self.cause, None]
        out[EXTRA] = caused
        outer += fixed[:, :, None]
        out[PIT] = 0.0
        for row, zone in np.argwhere(self.readings.pitted[self.rows]):
            deeper = np.exp(at[PIT, zone])
            for part in (outer, out[LEVEL], *out[WANDER]):
                part[row, zone] *= deeper
            out[PIT, row, zone] = outer[row, zone]
        return outer + inner + caused * at[EXTRA] - at[OFFSET], out


def _linear(block: Block, model: _Model, at: Array) -> Linear:
    loss, slope = model.slope(at)
    gone = model.readings.gone[model.rows][..., None, None]
    # d = y - f(x*) + J x*: what the linear model has to explain.
    data = gone - loss + (slope * at[:, None]).sum(axis=0)
    # G g at the point itself: levels count by their own slopes, exactly there
    data += slope[LEVEL] * model.levels[0] + slope[INSIDE] * model.levels[1]
    n = len(slope[0])
    # S = J Sigma J' + R, a column at a time; few readings a zone, many samples.
    root = np.empty((n, *slope.shape[1:]))
    for i in range(n):
        pulled = spread_out(block.prior, block.spread, slope[:, i].copy())
        for j in range(n):
            root[j, i] = (slope[:, j] * pulled).sum(axis=0)
        root[i, i] += block.variance[i][..., None]
    return Linear(slope, data, root_of(root))
