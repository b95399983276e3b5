"""Linear models of every case of every gauged zone, about its likeliest point."""

from dataclasses import dataclass, replace
from functools import cached_property
from typing import Final

import numpy as np

from corrosion.foundation.types import Array, BoolArray, IntArray
from corrosion.inspection.calibration.cells import Block, spread_out
from corrosion.inspection.calibration.rate_model import (
    EXTRA,
    INSIDE,
    LEVEL,
    OFFSET,
    OWN,
    PIT,
    STEEPEST,
    WANDER,
    RatePrior,
)
from corrosion.inspection.calibration.readings import Readings
from corrosion.inspection.calibration.triangular import root_of, solved, whitened

_MASKS: Final = 3  # readings of a zone that a case may call wrong, at most
_CASES: Final = 48  # of a zone, at most
_STEPS: Final = 6  # of Gauss and Newton, to the likeliest point
_WIDEST: Final = 1.0  # variance of a logarithm that linear models are made for
_FARTHEST: Final = 1.5  # of a logarithm of a rate, in one step


@dataclass(frozen=True, slots=True, kw_only=True)
class Reference:
    """What all samples are like: about this, zones are made linear.

    Arrays are of shape (2, gauged) where no other is said.
    """

    levels: Array  # what is shared of the rates, as from `Readings.levels` [-]
    bias: Array  # shape (rows,): bias of each row's campaign [m]
    # variance over the samples of what is shared of the logarithms of rate and inner
    # face, what their records foresee otherwise in it [-]
    variances: Array


def near(
    readings: Readings,
    prior: RatePrior,
    about: Reference,
    doubts: tuple[BoolArray, Array],
) -> list[Block]:
    """Return the cases of all gauged zones, made linear about given shared unknowns.

    Parameters
    ----------
    readings : Readings
        What was read.
    prior : RatePrior
        Of all unknowns.
    about : Reference
        Where.
    doubts : tuple of two ndarrays, shape (rows,)
        Which readings a case may call wrong (of a zone with many, the worst),
        and by how much each is to be doubted. [-]

    Returns
    -------
    list of Block
        By the numbers of readings and of doubtful ones.
    """
    doubtful, doubt = doubts
    counts = np.bincount(readings.place)
    causes = prior.cause_chances.size if prior.extra_share > 0.0 else 1
    most = min(_MASKS, int(np.log2(max(_CASES // causes, 1))))
    masks = np.bincount(readings.place, doubtful).clip(max=most).astype(np.int64)
    made = []
    for n, m in np.unique(np.stack([counts, masks], axis=1), axis=0):
        zones = np.flatnonzero((counts == n) & (masks == m))
        rows = np.stack(
            [np.flatnonzero(readings.place == zone) for zone in zones], axis=1
        )
        masked = np.argsort(-doubt[rows], axis=0, kind="stable")[:m]
        made.append(_block(readings, prior, about, (zones, rows, masked), causes))
    return made


def _block(
    readings: Readings,
    prior: RatePrior,
    about: Reference,
    places: tuple[IntArray, IntArray, IntArray],
    causes: int,
) -> Block:
    zones, rows, masked = places
    m = len(masked)
    # A case is a number: its m low bits say which of the doubted readings are wrong,
    # the rest which unrecorded cause acted (0: none).
    number = np.arange(causes * 2**m)
    wrong = np.zeros((*rows.shape, number.size), np.bool_)
    for power, pick in enumerate(masked):
        wrong[pick, np.arange(zones.size)] = (number >> power) & 1
    slipped = (readings.slip_sd[rows] ** 2)[..., None]
    variance = (readings.sd[rows] ** 2)[..., None] + wrong * slipped
    cause = number >> m
    model = _Model(
        readings,
        rows,
        cause,
        about.levels[:, zones, None],
        about.bias[rows][..., None],
        np.zeros((prior.knots + 2, zones.size, number.size)),
    )
    spread = prior.deviations(readings.zones[zones]).T
    at = np.zeros((OWN + prior.knots, zones.size, number.size))
    # Gauss and Newton to the likeliest point, x* = Sigma J' S^-1 (d - G g), made linear
    # anew at each step. Steps are bounded: rates are exponentials, and a first step
    # from far off would otherwise leave their range.
    for _ in range(_STEPS):
        slope, left = model.linear(at)
        parts = _parts(prior, spread, slope, variance)
        root = root_of(parts.sum(axis=0))
        back = solved(root, whitened(root, left))
        step = spread_out(prior, spread, (slope * back).sum(axis=1)) - at
        at = at + np.clip(step, -_FARTHEST, _FARTHEST)
        vary = _variances(prior, spread, slope, root, about.variances[:, zones, None])
        model = replace(model, more=0.5 * vary)
    slope, left = model.linear(at)
    # G g at the point itself: levels count by their own slopes, exactly there
    data = left - model.bias
    data += slope[LEVEL] * model.levels[0] + slope[INSIDE] * model.levels[1]
    return Block(
        zones=zones,
        rows=rows,
        masked=masked,
        cause=cause,
        wrong=wrong,
        variance=variance,
        slope=slope,
        data=data,
        parts=_parts(prior, spread, slope, variance),
        spread=spread,
        prior=prior,
    )


def _variances(
    prior: RatePrior, spread: Array, slope: Array, root: Array, differ: Array
) -> Array:
    """Return how samples differ in logarithms, (knots + 2, zones, cases) [-].

    Of the rate by knot, of the inner face's loss and of the deepest pit: what readings
    leave open given what is shared, and what is shared as far as it shows in them.
    """
    pulled = spread_out(prior, spread, slope.transpose(0, 2, 1, 3).copy())
    pulled = pulled.swapaxes(1, 2)
    rates = pulled[WANDER] + pulled[LEVEL]
    told = np.concatenate([rates, pulled[[INSIDE, PIT]]]).swapaxes(0, 1)
    white = whitened(root[:, :, None], told)
    own = np.diag(prior.correlation)[:, None] * prior.wander**2 + spread[LEVEL] ** 2
    own = np.concatenate([own, spread[[INSIDE, PIT]] ** 2])[..., None]
    open_ = own - (white**2).sum(axis=0)
    level, inside = (
        1.0 - (white * whitened(root, slope[one])[:, None]).sum(axis=0)
        for one in (LEVEL, INSIDE)
    )
    open_[:-2] += level[:-2] ** 2 * differ[0]
    open_[-2] += inside[-2] ** 2 * differ[1]
    return np.asarray(np.clip(open_, 0.0, _WIDEST))


def _parts(prior: RatePrior, spread: Array, slope: Array, variance: Array) -> Array:
    """Return S by what spreads move, (4, n, n, zones, cases): see `Block`."""
    pulled = spread_out(prior, spread, slope.transpose(0, 2, 1, 3).copy())
    groups = [OFFSET, PIT, EXTRA], [LEVEL], WANDER, [INSIDE]
    made = np.stack(
        [np.einsum("unzc,uzmc->nmzc", slope[group], pulled[group]) for group in groups]
    )
    rows = np.arange(len(variance))
    made[0, rows, rows] += variance
    return made


@dataclass(frozen=True)
class _Model:
    """Rows of a block, what they read, and what is shared: all but the unknowns."""

    readings: Readings
    rows: IntArray
    cause: IntArray
    levels: Array
    bias: Array
    more: Array  # of logarithms of means over samples, over those of the middle

    @cached_property
    def parts(self) -> tuple[Array, Array, Array]:
        sea, inside, fixed = self.readings.typical
        return sea[:, self.rows], inside[self.rows], fixed[self.rows]

    def linear(self, at: Array) -> tuple[Array, Array]:
        """Return J (unknowns, n, zones, cases), and d - G g, at a point."""
        loss, slope = self.slope(at)
        gone = self.readings.gone[self.rows][..., None]
        # d = y - f(x*) + J x*: what the linear model has to explain.
        return slope, gone + self.bias - loss + (slope * at[:, None]).sum(axis=0)

    def slope(self, at: Array) -> tuple[Array, Array]:
        """Return the loss (n, zones, cases) [m], and its derivatives.

        As means over how samples differ: exponentials of normal logarithms, of which
        mean and mean slope are those of the middle times half the variance's.
        """
        sea, inside, fixed = self.parts
        total = (self.levels[0] + at[LEVEL]) + at[WANDER]
        rate = np.exp(np.minimum(total + self.more[:-2], STEEPEST))
        out = np.empty((len(at), len(self.rows), *at.shape[1:]))
        out[WANDER] = sea[..., None] * rate[:, None]
        outer = out[WANDER].sum(axis=0)
        out[LEVEL] = outer
        inner = np.exp(self.levels[1] + at[INSIDE] + self.more[-2]) * inside[..., None]
        out[INSIDE] = inner
        out[OFFSET] = -1.0
        caused = self.readings.caused[self.rows][..., self.cause]
        out[EXTRA] = caused
        outer = outer + fixed[..., None]
        deeper = np.where(
            self.readings.pitted[self.rows][..., None],
            np.exp(at[PIT] + self.more[-1]),
            1.0,
        )
        out[LEVEL] *= deeper
        out[WANDER] *= deeper
        outer *= deeper
        out[PIT] = outer * self.readings.pitted[self.rows][..., None]
        return outer + inner + caused * at[EXTRA] - at[OFFSET], out
