"""Sample the rates of every plate given her gaugings: moves, sweep by sweep.

One sweep draws each group of unknowns given all others, so that the samples keep the
posterior once they have it: each zone on its own with what it says of its readings,
what zones share with the zones following, which readings are wrong and how often,
biases of campaigns with thickness as rolled (exactly), spreads, and what zones share
with every rate held fast (exactly).
"""

from dataclasses import dataclass, replace
from typing import Final

import numpy as np

from corrosion.foundation.types import Array, BoolArray
from corrosion.inspection.calibration.cells import Near
from corrosion.inspection.calibration.mixing import Mixing
from corrosion.inspection.calibration.nearest import near
from corrosion.inspection.calibration.rate_model import (
    INSIDE,
    LEVEL,
    OFFSET,
    WANDER,
    RatePrior,
    RateState,
)
from corrosion.inspection.calibration.readings import Readings
from corrosion.inspection.calibration.shared_moves import move_shared
from corrosion.inspection.calibration.slips import (
    chance_wrong,
    draw_biases,
    draw_share,
    draw_surfaces,
)
from corrosion.inspection.calibration.smoother import smoothed
from corrosion.inspection.calibration.zone_moves import move_zones

__all__ = ["Moved", "move_samples"]

_SPREADS: Final = np.linspace(-2.5, 2.5, 21)  # of a spread's logarithm, in its sd
_LEARN_FROM: Final = 10  # readings from which the spreads themselves are learned
_SETTLED: Final = 4  # sweeps after which the share of slips is learned
_STALE: Final = 4  # sweeps after which zones are made linear about where they are now
_FAR, _NEAR = 6, 2  # steps of Gauss and Newton, at first and then
_DOUBTFUL: Final = 0.02  # chance to be wrong from which proposals call readings so


@dataclass(frozen=True, slots=True, kw_only=True)
class Moved:
    """Samples moved by the gaugings.

    Attributes
    ----------
    state : RateState
        Where every sample is now.
    wrong : ndarray, shape (rows,)
        Chance that each reading is wrong. [-]
    sweeps : int
        How many sweeps were made.
    mixed : bool
        Whether the samples had forgotten where they started.
    """

    state: RateState
    wrong: Array
    sweeps: int
    mixed: bool


def move_samples(
    rng: np.random.Generator,
    start: RateState,
    prior: RatePrior,
    readings: Readings,
    *,
    sweeps: tuple[int, int] = (12, 32),
) -> Moved:
    """Move every sample of the prior to the posterior given the readings.

    Parameters
    ----------
    rng : numpy.random.Generator
        Random numbers.
    start : RateState
        Samples of the prior, over the knots that the readings know of.
    prior : RatePrior
        That prior.
    readings : Readings
        What was read, at least one row.
    sweeps : tuple of int, optional
        How many at least and at most.

    Returns
    -------
    Moved
        Samples of equal weight.
    """
    doubt = _doubt(start, prior, readings)
    state = smoothed(rng, start, prior, readings)
    doubt = np.maximum(doubt, _doubt(state, prior, readings))
    linear = _linear(state, prior, readings, doubt, _FAR)
    wrong = np.zeros((readings.zone.size, readings.samples), np.bool_)
    state, wrong, _ = move_zones(rng, state, wrong, linear, start=True)
    mixing = Mixing(least=sweeps[0], most=sweeps[1])
    total, kept = np.zeros(readings.zone.size), 0
    while True:
        # slips that a start far from the answer shows would teach that all is slips
        learn = mixing.sweeps >= _SETTLED
        if mixing.sweeps and mixing.sweeps % _STALE == 0:
            linear = _linear(state, prior, readings, doubt, _NEAR)
        state, wrong, chance = _sweep(rng, state, wrong, linear, learn=learn)
        total, kept = total + chance, kept + 1
        if mixing.done(readings.of_all(state, prior)):
            break
        if mixing.restarted:
            total, kept = np.zeros(readings.zone.size), 0
    return Moved(
        state=state, wrong=total / kept, sweeps=mixing.sweeps, mixed=mixing.mixed
    )


def _linear(
    state: RateState,
    prior: RatePrior,
    readings: Readings,
    doubt: Array,
    steps: int,
) -> Near:
    levels = readings.levels(state.shared.T, prior)
    bias = state.bias.T[readings.campaign]
    return near(readings, prior, levels, bias, (doubt > _DOUBTFUL, doubt), steps)


def _doubt(state: RateState, prior: RatePrior, readings: Readings) -> Array:
    return np.asarray(_chance(state, prior, readings).mean(axis=0))


def _chance(state: RateState, prior: RatePrior, readings: Readings) -> Array:
    """Return the chance that each reading is wrong, (samples, rows)."""
    off = readings.gone + state.bias[:, readings.campaign]
    off = off - readings.of_all(state, prior)
    return chance_wrong(off, state.slips, readings)


def _sweep(
    rng: np.random.Generator,
    state: RateState,
    wrong: BoolArray,
    linear: Near,
    *,
    learn: bool,
) -> tuple[RateState, BoolArray, Array]:
    """Return the state after one sweep, and which readings are wrong, with chances."""
    prior, readings = linear.prior, linear.readings
    state, wrong, _ = move_zones(rng, state, wrong, linear)
    state = move_shared(rng, state, wrong, linear)
    state, wrong, chance = _draw_slips_and_biases(rng, state, prior, readings)
    if learn:
        state = replace(state, slips=draw_share(rng, wrong.T, readings))
    if prior.learned > 0.0 and readings.zone.size >= _LEARN_FROM:
        state = _draw_spreads(rng, state, prior, readings)
    state = _shift_levels(rng, state, prior, readings)
    return _draw_shared(rng, state, prior, readings), wrong, chance


def _draw_slips_and_biases(
    rng: np.random.Generator, state: RateState, prior: RatePrior, readings: Readings
) -> tuple[RateState, BoolArray, Array]:
    loss = readings.of_all(state, prior)
    chance = chance_wrong(
        readings.gone + state.bias[:, readings.campaign] - loss, state.slips, readings
    )
    wrong = rng.random(chance.shape) < chance
    zones = state.zones.copy()
    # ``loss`` is net of the offset: add it again, and what is left is offset and bias.
    off = loss + zones[:, readings.zone, OFFSET] - readings.gone
    bias, offset = draw_biases(rng, off, wrong, state.surface, prior.offset, readings)
    zones[:, readings.zones, OFFSET] = offset
    state = replace(
        state,
        zones=zones,
        bias=bias,
        surface=draw_surfaces(rng, bias, readings),
    )
    return state, np.ascontiguousarray(wrong.T), chance.mean(axis=0)


def _draw_spreads(
    rng: np.random.Generator, state: RateState, prior: RatePrior, readings: Readings
) -> RateState:
    """Draw the spreads given levels and wanders of gauged zones, on a grid."""
    gauged = readings.zones
    own = state.zones[:, gauged]
    wander = own[..., WANDER]
    roughness = ((wander @ prior.precision) * wander).sum(axis=2) / prior.wander**2
    lined = prior.inside_shared[:, gauged].any(axis=0)  # with an inner face to lose
    squares = np.stack(
        [
            ((own[..., LEVEL] / prior.zone[gauged]) ** 2).sum(axis=1),
            roughness.sum(axis=1),
            ((own[..., INSIDE] / prior.inside[gauged]) ** 2 * lined).sum(axis=1),
        ],
        axis=1,
    )
    counts = np.array([gauged.size, gauged.size * prior.knots, lined.sum()])
    log_factor = prior.learned * _SPREADS
    weight = (
        -0.5 * _SPREADS**2
        - counts[:, None] * log_factor
        - 0.5 * squares[..., None] * np.exp(-2.0 * log_factor)
    )
    reached = np.cumsum(np.exp(weight - weight.max(axis=-1, keepdims=True)), axis=-1)
    drawn = rng.random(squares.shape) * reached[..., -1]
    at = (reached < drawn[..., None]).sum(axis=-1)
    return replace(state, spread=np.exp(log_factor[at]))


def _shift_levels(
    rng: np.random.Generator, state: RateState, prior: RatePrior, readings: Readings
) -> RateState:
    """Shift each level against its wander; no rate changes, so the draw is exact."""
    gauged = readings.zones
    zones = state.zones.copy()
    own = zones[:, gauged]
    sure_level = (prior.zone[gauged] * state.spread[:, :1]) ** -2.0
    sure_wander = state.wander_scale(prior) ** -2.0
    ones = prior.precision.sum(axis=0)
    precision = sure_level + sure_wander * ones.sum()
    pull = sure_wander * (own[..., WANDER] @ ones) - sure_level * own[..., LEVEL]
    shift = pull / precision + rng.standard_normal(pull.shape) / np.sqrt(precision)
    own[..., LEVEL] += shift
    own[..., WANDER] -= shift[..., None]
    zones[:, gauged] = own
    return replace(state, zones=zones)


def _draw_shared(
    rng: np.random.Generator, state: RateState, prior: RatePrior, readings: Readings
) -> RateState:
    """Draw what zones share given all rates and inner losses of gauged zones, exactly.

    A linear regression of the zones' whole levels on the loadings; levels take up the
    difference, so that no rate changes.
    """
    gauged = readings.zones
    outer, inner = prior.shared[:, gauged], prior.inside_shared[:, gauged]
    whole = state.shared @ outer + state.zones[:, gauged, LEVEL]
    inside = state.shared @ inner + state.zones[:, gauged, INSIDE]
    light, light_inner = (
        outer / prior.zone[gauged] ** 2,
        inner / prior.inside[gauged] ** 2,
    )
    sure = state.spread[:, 0, None, None] ** -2.0
    sure_inner = state.spread[:, 2, None, None] ** -2.0
    precision = np.eye(len(outer)) + sure * (light @ outer.T)
    precision = precision + sure_inner * (light_inner @ inner.T)
    pull = sure[:, 0] * (whole @ light.T) + sure_inner[:, 0] * (inside @ light_inner.T)
    root = np.linalg.inv(np.linalg.cholesky(precision))
    half = np.einsum("sgh,sh->sg", root, pull) + rng.standard_normal(pull.shape)
    shared = np.einsum("shg,sh->sg", root, half)
    zones = state.zones.copy()
    zones[:, gauged, LEVEL] = whole - shared @ outer
    zones[:, gauged, INSIDE] = inside - shared @ inner
    return replace(state, shared=shared, zones=zones)
