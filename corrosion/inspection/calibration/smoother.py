"""Bring every sample near the gaugings: an iterated ensemble smoother."""

from typing import Final

import numpy as np

from corrosion.foundation.types import Array
from corrosion.inspection.calibration.rate_model import RatePrior, RateState
from corrosion.inspection.calibration.readings import Readings
from corrosion.inspection.calibration.stratified import normal

_PASSES: Final = 4
_FEWEST = 32  # samples; with fewer the covariance is chance, and it diverges
_MOST = 2  # readings a sample; with more likewise
_REACH = 3.0  # times the widest sample of the prior


def smoothed(
    rng: np.random.Generator,
    state: RateState,
    prior: RatePrior,
    readings: Readings,
    passes: int = _PASSES,
) -> RateState:
    r"""Return the samples moved near what was read, none thrown away.

    Parameters
    ----------
    rng : numpy.random.Generator
        Random numbers.
    state : RateState
        Samples of the prior.
    prior : RatePrior
        That prior.
    readings : Readings
        What was read.
    passes : int, optional
        How often the readings are used, each time with so much less weight.

    Returns
    -------
    RateState
        A start for moves that are exact: for a linear model and Gaussian errors the
        answer itself, else near it.

    Notes
    -----
    Ensemble smoother with multiple data assimilation [1]_: p passes, each with the
    readings' variance times p,

    .. math:: x \leftarrow x + C_{xd} (C_{dd} + p R)^{-1} (d + \sqrt{p R}\,\epsilon - y)

    The unknowns of a zone move with the readings of that zone alone: whatever else the
    samples' covariance shows between them is chance. A reading far from what the
    samples foresee, their spread counted in, is given the variance that its chance to
    be wrong calls for.

    References
    ----------
    .. [1] A. A. Emerick and A. C. Reynolds, "Ensemble smoother with multiple data
       assimilation", Computers & Geosciences 55, 2013, 3 (abstract read).
    """
    samples = readings.samples
    shape = state.zones.shape
    if samples < max(_FEWEST, readings.zone.size / _MOST):  # the moves must do
        return state
    reach = [_REACH * np.abs(values).max() for values in (state.shared, state.zones)]
    for _ in range(passes):
        seen = readings.of_all(state, prior) - state.bias[:, readings.campaign]
        off = readings.gone - seen
        about = seen - seen.mean(axis=0)
        variance = _variance(readings, state, off.mean(axis=0), about.var(axis=0))
        noisy = off + normal(rng, off.T.shape).T * np.sqrt(passes * variance)
        pulled = _pull(about, passes * variance, noisy)
        common = np.hstack([state.shared, state.bias])
        common = common + _moves(common, about, pulled)
        zones = state.zones.copy()
        for zone in readings.zones:
            own = np.flatnonzero(readings.zone == zone)
            values = zones[:, zone].reshape(samples, -1)
            zones[:, zone] += _moves(values, about[:, own], pulled[:, own])
        count = state.shared.shape[1]
        state = RateState(
            # chance covariances of few samples may throw one where rates overflow
            shared=np.clip(common[:, :count], -reach[0], reach[0]),
            zones=np.clip(zones.reshape(shape), -reach[1], reach[1]),
            bias=common[:, count:],
            surface=state.surface,
            slips=state.slips,
            spread=state.spread,
            cause=state.cause,
        )
    return state


def _variance(readings: Readings, state: RateState, off: Array, spread: Array) -> Array:
    """Return the variance of each reading, raised where it is likely wrong [m²]."""
    sound = readings.sd**2
    wrong = sound + readings.slip_sd**2
    # of sound against wrong
    log_odds = -readings.odds(state.slips.mean(keepdims=True))[0] - 0.5 * (
        off**2 / (sound + spread) - off**2 / (wrong + spread)
    )
    log_odds += 0.5 * np.log((wrong + spread) / (sound + spread))
    chance = 0.5 + 0.5 * np.tanh(0.5 * log_odds)  # to be sound
    return np.asarray(1.0 / (chance / sound + (1.0 - chance) / wrong))


def _pull(about: Array, variance: Array, noisy: Array) -> Array:
    """Return noisy (C + diag(variance))⁻¹ by sample, C the covariance of ``about``.

    Solved in the smaller of readings and samples (Woodbury).
    """
    samples, rows = about.shape
    if rows <= samples:
        covariance = about.T @ about / (samples - 1) + np.diag(variance)
        return np.asarray(np.linalg.solve(covariance, noisy.T).T)
    light = about / variance
    inner = (samples - 1) * np.eye(samples) + light @ about.T
    return np.asarray(
        noisy / variance - (noisy / variance) @ about.T @ np.linalg.solve(inner, light)
    )


def _moves(values: Array, about: Array, pulled: Array) -> Array:
    """Return by how much unknowns move: their covariance with ``about``, pulled."""
    centred = values - values.mean(axis=0)
    return np.asarray(pulled @ (about.T @ centred) / (len(values) - 1))
