"""Moves of each gauged zone on its own: proposals near its answer in every case."""

from dataclasses import replace

import numpy as np

from corrosion.foundation.types import Array, BoolArray, IntArray
from corrosion.inspection.calibration.cells import Block, Linear
from corrosion.inspection.calibration.chains import Chains
from corrosion.inspection.calibration.rate_model import (
    EXTRA,
    INSIDE,
    LEVEL,
    OFFSET,
    OWN,
    WANDER,
    RatePrior,
)
from corrosion.inspection.calibration.readings import Readings
from corrosion.inspection.calibration.stratified import normal, uniform
from corrosion.inspection.calibration.triangular import single, times


def move_zones(
    rng: np.random.Generator,
    chains: Chains,
    blocks: list[Block],
    readings: Readings,
    *,
    start: bool = False,
) -> tuple[Chains, float]:
    """Propose each gauged zone of each sample anew, its case with it.

    Given what is shared, zones know nothing of one another: each is accepted or not on
    its own (Metropolis and Hastings). The proposal is the linear model's posterior, so
    that what decides is likelihood over linear likelihood, at either end.

    Parameters
    ----------
    rng : numpy.random.Generator
        Random numbers.
    chains : Chains
        The samples.
    blocks : list of Block
        Linear models of the gauged zones.
    readings : Readings
        What was read.
    start : bool, optional
        Whether any proposal that is possible at all is taken: a start near the answer.

    Returns
    -------
    chains : Chains
        With zones, unrecorded causes and wrong readings moved.
    accepted : float
        Share of the proposals taken. [-]
    """
    prior = blocks[0].prior
    given = chains.given(readings, prior)
    now, wrong, cause = chains.own, chains.wrong, chains.cause
    then, cause_then, wrong_then = np.empty_like(now), cause.copy(), wrong.copy()
    straight = np.empty((2, *wrong.shape), now.dtype)  # residuals of linear models
    weights = np.empty((2, *cause.shape), now.dtype)
    known = np.empty(cause.shape, np.bool_)
    for block in blocks:
        own = block.zones
        # The way back: with which density the present end would be proposed. Where the
        # present state is none of the block's cases it would not be, and stays.
        told, known[own] = block.case(wrong, cause)
        guess = block.guess(given)
        model = block.of(told, given)
        straight[0, block.rows] = model.off(now[:, own])
        weights[0, own] = model.told - _of(guess, told)
        # The way there: a case by its evidence, then the unknowns from its Gaussian.
        case = _drawn(rng, guess)
        model = block.of(case, given)
        then[:, own] = _draw(rng, block, model, chains.spread)
        straight[1, block.rows] = model.off(then[:, own])
        weights[1, own] = model.told - _of(guess, case)
        cause_then[own] = block.cause[case]
        wrong_then[block.rows] = model.wrong
    # Prior times likelihood over the proposal's density, at both ends. The prior of the
    # unknowns is a factor of the proposal too and cancels: the chance of the case over
    # that by which it was drawn, and the true likelihood over the linear one are left,
    # and that no unrecorded cause gives metal back.
    loss = readings.loss(then, given.levels, cause_then)
    offs = np.empty_like(straight)
    offs[0] = chains.off(readings)
    offs[1] = offs[0] + (chains.loss - loss)
    sure = precision_of(wrong, readings), precision_of(wrong_then, readings)
    taken_up = [TakenUp(one, prior, readings) for one in sure]
    away = taken_up[0].by(straight[0] - offs[0])
    straight[0] -= away[readings.place]
    light = sure[0] * straight[0] ** 2
    weights[0] += taken_up[0].fits(light, offs[0], now[OFFSET] - away, away)
    away = taken_up[1].by(straight[1] - offs[1])
    offs[1] += away[readings.place]
    loss -= away[readings.place]
    light = sure[1] * straight[1] ** 2
    weights[1] += taken_up[1].fits(light, offs[1], then[OFFSET], away)
    then[OFFSET] += away
    weights[1, (cause_then > 0) & (then[EXTRA] < 0.0)] = -np.inf
    if start:
        taken = np.isfinite(weights[1])
    else:
        lot = np.log(uniform(rng, cause.shape))
        with np.errstate(invalid="ignore"):  # impossible at either end: not taken
            taken = known & (lot < weights[1] - weights[0])
    by_row = taken[readings.place]
    return replace(
        chains,
        own=np.where(taken, then, now),
        cause=np.where(taken, cause_then, cause),
        wrong=np.where(by_row, wrong_then, wrong),
        loss=np.where(by_row, loss, chains.loss),
    ), float(taken.mean())


class TakenUp:
    """How far offsets go with what linear models miss.

    Whatever rates are, the thickness as rolled may take up what the loss is more than
    the linear model's, as if it had been told of it: a shift of one unknown by others,
    which keeps volumes. Moves along linear models then meet readings nearly as well
    where these bend.

    Parameters
    ----------
    sure : ndarray, shape (rows, n)
        Inverse variances of the readings. [1/m²]
    prior : RatePrior
        Of the thickness as rolled.
    readings : Readings
        What was read.
    """

    def __init__(self, sure: Array, prior: RatePrior, readings: Readings) -> None:
        self._sure, self._rows = sure, single(readings.one_hot)
        self._own = single(prior.offset[readings.zones, None] ** -2.0)
        self._share = 1.0 / (self._rows @ sure + self._own)

    def by(self, excess: Array) -> Array:
        """Return how far offsets go, of what losses are more, (gauged, n) [m]."""
        return np.asarray((self._rows @ (self._sure * excess)) * self._share)

    def fits(self, light: Array, off: Array, offset: Array, away: Array) -> Array:
        """Return by how much readings and offsets fit better so, (gauged, n) [-].

        Log likelihood of residuals (rows, n) over that of the linear models', which is
        minus half of ``light``, and log prior of offsets that went so far over that of
        ``offset``.
        """
        told = self._rows @ (light - self._sure * off**2)
        return np.asarray(0.5 * told - self._own * away * (offset + 0.5 * away))


def _drawn(rng: np.random.Generator, told: Array) -> IntArray:
    """Return one of (zones, cases, samples) by their log chances."""
    chance = np.exp(told - told.max(axis=1, keepdims=True))
    lot = uniform(rng, (len(told), told.shape[2])) * chance.sum(axis=1)
    case = np.zeros(lot.shape, np.int8)
    for one in range(told.shape[1] - 1):
        lot -= chance[:, one]
        case += (lot > 0.0).view(np.int8)
    return case.astype(np.int64)


def _of(values: Array, case: IntArray) -> Array:
    return np.take_along_axis(values, case[:, None], axis=1)[:, 0]


def _draw(
    rng: np.random.Generator, block: Block, model: Linear, spread: Array
) -> Array:
    """Return a draw of the unknowns given d − G g, (unknowns, zones, samples)."""
    prior = block.prior
    drawn = normal(rng, (len(model.slope), *model.left.shape[1:]))
    drawn[:OWN] *= single(block.spread)[..., None]
    drawn[WANDER] = times(single(prior.wander * prior.root), drawn[WANDER])
    drawn[LEVEL] *= spread[0]
    drawn[WANDER] *= spread[1]
    drawn[INSIDE] *= spread[2]
    noise = normal(rng, model.left.shape) * np.sqrt(model.variance)
    return drawn + block.gain(model, model.off(drawn) - noise, spread)


def precision_of(wrong: BoolArray, readings: Readings) -> Array:
    """Return the inverse variance of sound or wrong readings, (rows, n) [1/m²]."""
    sound = readings.sd[:, None] ** 2
    slipped = sound + readings.slip_sd[:, None] ** 2
    return np.where(wrong, single(1.0 / slipped), single(1.0 / sound))
