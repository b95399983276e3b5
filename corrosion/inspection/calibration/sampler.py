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

from corrosion.foundation.types import Array
from corrosion.inspection.calibration.cells import Block
from corrosion.inspection.calibration.chains import (
    Chains,
    begun,
    brought_back,
    ended,
)
from corrosion.inspection.calibration.mixing import Mixing
from corrosion.inspection.calibration.nearest import Reference, near
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
    drawn_of,
)
from corrosion.inspection.calibration.smoother import smoothed
from corrosion.inspection.calibration.stratified import normal, uniform
from corrosion.inspection.calibration.triangular import (
    root_of,
    single,
    solved,
    times,
    whitened,
)
from corrosion.inspection.calibration.zone_moves import move_zones

_SPREADS: Final = np.linspace(-2.5, 2.5, 21)  # of a spread's logarithm, in its sd
_LEARN_FROM: Final = 10  # readings from which the spreads themselves are learned
_SETTLED: Final = 4  # sweeps after which the share of slips is learned
_AGAIN: Final = (2, 6)  # sweeps after which zones are made linear once more
_APART: Final = 2  # sweeps between states that are both used
_DOUBTFUL: Final = 0.02  # chance to be wrong from which proposals call readings so


@dataclass(frozen=True, slots=True, kw_only=True)
class Moved:
    """Samples moved by the gaugings."""

    state: RateState  # where every sample is now
    # where it was before, some sweeps apart, as far as asked for
    earlier: tuple[RateState, ...]
    wrong: Array  # shape (rows,): chance that each reading is wrong [-]
    sweeps: int  # how many sweeps were made
    mixed: bool  # whether the samples had forgotten where they started


def move_samples(
    rng: np.random.Generator,
    start: RateState,
    prior: RatePrior,
    readings: Readings,
    *,
    sweeps: tuple[int, int] = (10, 32),
    more: int = 0,
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
    more : int, optional
        How many states beside the last are asked for, which cost sweeps beyond those.

    Returns
    -------
    Moved
        Samples of equal weight.
    """
    doubt = _doubt(start, prior, readings)
    state = smoothed(rng, start, prior, readings)
    doubt = np.maximum(doubt, _doubt(state, prior, readings))
    chains = begun(state, prior, readings)
    if prior.learned > 0.0 and readings.zone.size >= _LEARN_FROM:
        drawn = np.exp(prior.learned * normal(rng, chains.spread.shape))
        chains = replace(chains, spread=single(drawn))
    blocks = _linear(chains, prior, readings, doubt)
    chains, _ = move_zones(rng, chains, blocks, readings, start=True)
    mixing = Mixing(least=sweeps[0], most=sweeps[1])
    total, kept = np.zeros(readings.zone.size), 0
    earlier: list[RateState] = []
    on = 0  # sweeps since they had settled, and that one
    while on <= more * _APART:
        if on and (on - 1) % _APART == 0:
            earlier.append(ended(chains, state, readings))
        # slips that a start far from the answer shows would teach that all is slips
        learn = mixing.sweeps >= _SETTLED
        if mixing.sweeps in _AGAIN:
            blocks = _linear(chains, prior, readings, doubt)
        chains, chance = _sweep(rng, chains, blocks, readings, learn=learn)
        chains = brought_back(rng, chains, prior, readings)
        total, kept = total + chance, kept + 1
        if on or mixing.done(chains.loss.T):
            on += 1
        elif mixing.restarted:
            total, kept = np.zeros(readings.zone.size), 0
    return Moved(
        state=ended(chains, state, readings),
        earlier=tuple(earlier),
        wrong=total / kept,
        sweeps=mixing.sweeps + more * _APART,
        mixed=mixing.mixed,
    )


def _linear(
    chains: Chains, prior: RatePrior, readings: Readings, doubt: Array
) -> list[Block]:
    levels = readings.levels(chains.shared, prior)
    differ = levels.copy()
    rows = readings.one_hot / readings.one_hot.sum(axis=1, keepdims=True)
    differ[0] += rows @ readings.otherwise[1]
    return near(
        readings,
        prior,
        Reference(
            levels=levels.mean(axis=-1),
            bias=chains.bias.mean(axis=-1)[readings.campaign],
            variances=differ.var(axis=-1),
        ),
        (doubt > _DOUBTFUL, doubt),
    )


def _doubt(state: RateState, prior: RatePrior, readings: Readings) -> Array:
    off = begun(state, prior, readings).off(readings)
    return np.asarray(chance_wrong(off, state.slips, readings).mean(axis=1))


def _sweep(
    rng: np.random.Generator,
    chains: Chains,
    blocks: list[Block],
    readings: Readings,
    *,
    learn: bool,
) -> tuple[Chains, Array]:
    """Return the chains after one sweep, and how likely each reading is wrong."""
    prior = blocks[0].prior
    chains, _ = move_zones(rng, chains, blocks, readings)
    chains = move_shared(rng, chains, blocks, readings)
    chains, chance = _draw_slips_and_biases(rng, chains, prior, readings)
    if learn:
        chains = replace(chains, slips=draw_share(rng, chains.wrong, readings))
    if prior.learned > 0.0 and readings.zone.size >= _LEARN_FROM:
        chains = _draw_spreads(rng, chains, prior, readings)
    chains = _shift_levels(rng, chains, prior, readings)
    return _draw_shared(rng, chains, prior, readings), chance


def _draw_slips_and_biases(
    rng: np.random.Generator, chains: Chains, prior: RatePrior, readings: Readings
) -> tuple[Chains, Array]:
    chance = chance_wrong(chains.off(readings), chains.slips, readings)
    wrong = uniform(rng, chance.shape) < chance
    own, place = chains.own.copy(), readings.place
    # ``loss`` is net of the offset: add it again, and what is left is offset and bias.
    gross = chains.loss + own[OFFSET, place]
    bias, own[OFFSET] = draw_biases(
        rng,
        gross - readings.gone[:, None],
        wrong,
        chains.surface,
        prior.offset[readings.zones],
        readings,
    )
    surface, bias = draw_surfaces(rng, bias, readings), single(bias)
    loss = gross - own[OFFSET, place]
    chains = replace(
        chains, own=own, wrong=wrong, bias=bias, surface=surface, loss=loss
    )
    return chains, chance.mean(axis=1)


def _draw_spreads(
    rng: np.random.Generator, chains: Chains, prior: RatePrior, readings: Readings
) -> Chains:
    """Draw the spreads given levels and wanders of gauged zones, on a grid.

    And of each unknown that zones share, which one ship tells little of: a scale
    mixture of normal laws, whose tails let a ship lie farther off than her table says.
    """
    gauged, own = readings.zones, chains.own
    smooth = times(single(prior.precision), own[WANDER])
    roughness = (smooth * own[WANDER]).sum(axis=0) / prior.wander**2
    lined = prior.inside_shared[:, gauged].any(axis=0)  # with an inner face to lose
    squares = np.stack(
        [
            prior.zone[gauged] ** -2.0 @ own[LEVEL] ** 2,
            roughness.sum(axis=0),
            (lined * prior.inside[gauged] ** -2.0) @ own[INSIDE] ** 2,
        ]
    )
    counts = np.array([gauged.size, gauged.size * prior.knots, lined.sum()])
    log_factor = (prior.learned * _SPREADS)[:, None, None]
    weight = -0.5 * (_SPREADS**2)[:, None, None] - counts[:, None] * log_factor
    weight = weight - 0.5 * squares * np.exp(-2.0 * log_factor)
    at = drawn_of(rng, weight)
    weight = -0.5 * (_SPREADS**2)[:, None, None] - log_factor
    weight = weight - 0.5 * chains.shared**2 * np.exp(-2.0 * log_factor)
    of_shared = drawn_of(rng, weight)
    factor = single(np.exp(log_factor[:, 0, 0]))
    return replace(chains, spread=factor[at], reach=factor[of_shared])


def _shift_levels(
    rng: np.random.Generator, chains: Chains, prior: RatePrior, readings: Readings
) -> Chains:
    """Shift each level against its wander; no rate changes, so the draw is exact."""
    own = chains.own.copy()
    sure_level = (single(prior.zone[readings.zones, None]) * chains.spread[0]) ** -2.0
    sure_wander = (prior.wander * chains.spread[1]) ** -2.0
    ones = single(prior.precision.sum(axis=0))
    precision = sure_level + sure_wander * ones.sum()
    pull = np.tensordot(ones, own[WANDER], axes=1) * sure_wander
    pull -= sure_level * own[LEVEL]
    shift = pull / precision + normal(rng, pull.shape) / np.sqrt(precision)
    own[LEVEL] += shift
    own[WANDER] -= shift
    return replace(chains, own=own)


def _draw_shared(
    rng: np.random.Generator, chains: Chains, prior: RatePrior, readings: Readings
) -> Chains:
    """Draw what zones share given all rates and inner losses of gauged zones, exactly.

    A linear regression of the zones' whole levels on the loadings; levels take up the
    difference, so that no rate changes.
    """
    gauged, own = readings.zones, chains.own.copy()
    pull = np.zeros(chains.shared.shape)
    precision = np.eye(len(pull))[..., None] * chains.reach**-2.0
    for row, loads, sd, spread in (
        (LEVEL, prior.shared, prior.zone, chains.spread[0]),
        (INSIDE, prior.inside_shared, prior.inside, chains.spread[2]),
    ):
        own[row] += loads[:, gauged].T @ chains.shared
        light, sure = loads[:, gauged] / sd[gauged] ** 2, spread**-2.0
        precision = precision + (light @ loads[:, gauged].T)[..., None] * sure
        pull = pull + light @ own[row] * sure
    root = root_of(precision)
    half = whitened(root, pull) + normal(rng, pull.shape)
    shared = single(solved(root, half))
    own[LEVEL] -= prior.shared[:, gauged].T @ shared
    own[INSIDE] -= prior.inside_shared[:, gauged].T @ shared
    return replace(chains, shared=shared, own=own)
