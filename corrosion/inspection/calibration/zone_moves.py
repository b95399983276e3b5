"""Moves of each gauged zone on its own: proposals near its answer in every case."""

from dataclasses import replace

import numpy as np

from corrosion.foundation.types import Array, BoolArray, IntArray
from corrosion.inspection.calibration.cells import Block, Linear, Near, whitened
from corrosion.inspection.calibration.rate_model import (
    EXTRA,
    INSIDE,
    LEVEL,
    OWN,
    WANDER,
    RatePrior,
    RateState,
)
from corrosion.inspection.calibration.readings import Readings

__all__ = ["log_prior", "minus_half", "move_zones"]


def move_zones(
    rng: np.random.Generator,
    state: RateState,
    wrong: BoolArray,
    linear: Near,
    *,
    start: bool = False,
) -> tuple[RateState, BoolArray, float]:
    """Propose each gauged zone of each sample anew, its case with it.

    Given what is shared, zones know nothing of one another: each is accepted or not on
    its own (Metropolis and Hastings). The proposal is the linear model's posterior, so
    that what decides is likelihood over linear likelihood, at either end.

    Parameters
    ----------
    rng : numpy.random.Generator
        Random numbers.
    state : RateState
        The samples.
    wrong : ndarray of bool, shape (rows, samples)
        Which readings are wrong.
    linear : Near
        Linear models of the gauged zones, with prior and readings.
    start : bool, optional
        Whether any proposal that is possible at all is taken: a start near the answer.

    Returns
    -------
    state : RateState
        The samples, zones and unrecorded causes moved.
    wrong : ndarray of bool, shape (rows, samples)
        Which readings are wrong now.
    accepted : float
        Share of the proposals taken. [-]
    """
    prior, readings = linear.prior, linear.readings
    levels = readings.levels(state.shared.T, prior)
    bias = state.bias.T[readings.campaign]
    odds = readings.odds(state.slips).T
    now, cause = readings.unknowns(state), readings.cause(state)
    then, cause_then, wrong_then = np.empty_like(now), cause.copy(), wrong.copy()
    weights = np.empty((2, *cause.shape))  # minus logs of the proposals' density
    known = np.empty(cause.shape, np.bool_)
    for block in linear.blocks:
        own, lev, read = block.zones, levels[:, block.zones], bias[block.rows]
        # The way back: with which density the present end would be proposed. Where the
        # present state is none of the block's cases it would not be, and stays.
        told, known[own] = block.case(wrong, cause)
        model = block.of(told)
        off = model.left(lev, read) - (model.slope * now[:, None, own]).sum(axis=0)
        before = _half(off, block.variance_of(told))
        evidence, takes = block.evidence(levels, bias, odds)
        # The way there: a case by its evidence, then the unknowns from its Gaussian.
        case = _drawn(rng, evidence)
        model = block.of(case)
        drawn = _draw(rng, block, model, case, model.left(lev, read))
        off = model.left(lev, read) - (model.slope * drawn[:, None]).sum(axis=0)
        weights[1, own] = _half(off, block.variance_of(case)) - _of(takes, case)
        weights[0, own] = before - _of(takes, told)
        then[:, own] = drawn
        cause_then[own] = block.cause[case]
        wrong_then[block.rows] = block.wrong_of(case)
    # Prior times likelihood over the proposal's density, at both ends. The Gaussian
    # prior is a factor of the proposal too and cancels: the true likelihood over the
    # linear one is left, and what the prior holds beyond the Gaussian.
    read = readings.gone[:, None] + bias
    for end, (x, is_wrong, knot) in enumerate(
        ((now, wrong, cause), (then, wrong_then, cause_then))
    ):
        off = read - readings.loss(x, levels, knot)
        fits = readings.one_hot @ minus_half(off, is_wrong, readings)
        term = log_prior(x, state.spread.T, knot, prior, readings)
        weights[end] += fits + term
    with np.errstate(invalid="ignore"):  # impossible at either end: not taken
        log_ratio = np.where(known, weights[1] - weights[0], -np.inf)
    if start:
        log_ratio = weights[1]
        log_ratio[np.isfinite(log_ratio)] = 1.0
    taken = -rng.standard_exponential(log_ratio.shape) < log_ratio
    zones, causes = state.zones.copy(), state.cause.copy()
    zones[:, readings.zones] = np.where(taken, then, now).transpose(2, 1, 0)
    causes[:, readings.zones] = np.where(taken, cause_then, cause).T
    wrong = np.where(taken[readings.place], wrong_then, wrong)
    return replace(state, zones=zones, cause=causes), wrong, float(taken.mean())


def _drawn(rng: np.random.Generator, told: Array) -> IntArray:
    """Return one of (zones, cases, samples) by their log chances."""
    reached = np.cumsum(np.exp(told - told.max(axis=1, keepdims=True)), axis=1)
    lot = rng.random((len(told), 1, told.shape[2])) * reached[:, -1:]
    return np.asarray((reached < lot).sum(axis=1))


def _of(values: Array, case: IntArray) -> Array:
    return np.take_along_axis(values, case[:, None], axis=1)[:, 0]


def _draw(
    rng: np.random.Generator, block: Block, model: Linear, case: IntArray, left: Array
) -> Array:
    """Return a draw of the unknowns given d − G g, (unknowns, zones, samples)."""
    prior = block.prior
    drawn = rng.standard_normal((len(model.slope), *case.shape))
    drawn[:OWN] *= block.spread[..., None]
    drawn[WANDER] = np.tensordot(prior.wander * prior.root, drawn[WANDER], axes=1)
    noise = rng.standard_normal(left.shape) * np.sqrt(block.variance_of(case))
    off = left - noise - (model.slope * drawn[:, None]).sum(axis=0)
    return drawn + block.gain(model, whitened(model.root, off))


def _half(off: Array, variance: Array) -> Array:
    return np.asarray(0.5 * (off**2 / variance).sum(axis=0))


def minus_half(off: Array, wrong: BoolArray, readings: Readings) -> Array:
    """Return minus half the squares of residuals (rows, n) in their sd [-]."""
    sound = readings.sd[:, None] ** 2
    return -0.5 * off**2 / np.where(wrong, sound + readings.slip_sd**2, sound)


def log_prior(
    unknowns: Array,
    spread: Array,
    cause: IntArray,
    prior: RatePrior,
    readings: Readings,
) -> Array:
    """Return the log prior over that of the linear models, (gauged, n) [-].

    At learned spreads (3, n); and no unrecorded cause gives metal back.
    """
    impossible = (cause > 0) & (unknowns[EXTRA] < 0.0)
    possible = np.where(impossible, -np.inf, 0.0)
    if prior.learned == 0.0:
        return possible
    less = 0.5 * (1.0 - spread**-2.0)
    own = readings.zones
    level = (unknowns[LEVEL] / prior.zone[own, None]) ** 2
    inside = (unknowns[INSIDE] / prior.inside[own, None]) ** 2
    about = unknowns[WANDER]
    roughness = (np.tensordot(prior.precision, about, axes=1) * about).sum(axis=0)
    roughness *= less[1] / prior.wander**2
    return np.asarray(possible + level * less[0] + roughness + inside * less[2])
