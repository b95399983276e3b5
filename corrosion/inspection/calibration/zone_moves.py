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
)
from corrosion.inspection.calibration.readings import Readings

__all__ = ["absorbed", "move_zones", "squares"]


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
    straight = np.empty((2, *wrong.shape))  # residuals of the linear models
    weights = np.empty((2, *cause.shape))
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
    sd = prior.offset[readings.zones]
    for end, is_wrong, x in ((0, wrong, now), (1, wrong_then, then)):
        away = absorbed(straight[end] - offs[end], is_wrong, sd, readings)
        by_row = away[readings.place]
        if end:
            x[OFFSET] += away
            offs[1] += by_row
            loss -= by_row
        else:
            straight[0] -= by_row
        told = squares(offs[end], is_wrong, readings)
        told -= squares(straight[end], is_wrong, readings)
        weights[end] -= 0.5 * (readings.one_hot @ told)
        weights[end] -= away * (x[OFFSET] - 0.5 * away) / sd[:, None] ** 2
    weights[1, (cause_then > 0) & (then[EXTRA] < 0.0)] = -np.inf
    if start:
        taken = np.isfinite(weights[1])
    else:
        lot = -rng.standard_exponential(cause.shape)
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


def absorbed(excess: Array, wrong: BoolArray, sd: Array, readings: Readings) -> Array:
    """Return how far offsets go with what linear models miss, (gauged, n) [m].

    Whatever rates are, the thickness as rolled may take up what the loss is more than
    the linear model's, (rows, n), as it would be told by it: a shift of one unknown by
    others, which keeps volumes. Moves along linear models then meet the readings nearly
    as well where these bend.
    """
    sure = 1.0 / variances(wrong, readings)
    both = readings.one_hot @ np.stack([sure, sure * excess])
    return np.asarray(both[1] / (both[0] + sd[:, None] ** -2.0))


def _drawn(rng: np.random.Generator, told: Array) -> IntArray:
    """Return one of (zones, cases, samples) by their log chances."""
    chance = np.exp(told - told.max(axis=1, keepdims=True))
    lot = rng.random((len(told), told.shape[2]), np.float32) * chance.sum(axis=1)
    case = np.zeros(lot.shape, np.int64)
    for one in range(told.shape[1] - 1):
        lot -= chance[:, one]
        case += lot > 0.0
    return case


def _of(values: Array, case: IntArray) -> Array:
    return np.take_along_axis(values, case[:, None], axis=1)[:, 0]


def _draw(
    rng: np.random.Generator, block: Block, model: Linear, spread: Array
) -> Array:
    """Return a draw of the unknowns given d − G g, (unknowns, zones, samples)."""
    prior = block.prior
    drawn = rng.standard_normal((len(model.slope), *model.left.shape[1:]))
    drawn[:OWN] *= block.spread[..., None]
    drawn[WANDER] = np.tensordot(prior.wander * prior.root, drawn[WANDER], axes=1)
    drawn[LEVEL] *= spread[0]
    drawn[WANDER] *= spread[1]
    drawn[INSIDE] *= spread[2]
    noise = rng.standard_normal(model.left.shape) * np.sqrt(model.variance)
    return drawn + block.gain(model, model.off(drawn) - noise, spread)


def variances(wrong: BoolArray, readings: Readings) -> Array:
    """Return the variance of sound or wrong readings, (rows, n) [m²]."""
    sound = readings.sd[:, None] ** 2
    return np.where(wrong, sound + readings.slip_sd**2, sound)


def squares(off: Array, wrong: BoolArray, readings: Readings) -> Array:
    """Return the squares of residuals (rows, n) in their variance [-]."""
    return np.asarray(off**2 / variances(wrong, readings))
