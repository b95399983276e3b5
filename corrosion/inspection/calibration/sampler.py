"""Sample the rates of every plate given her gaugings: moves, sweep by sweep.

One sweep draws each group of unknowns given all others, so that the samples keep the
posterior once they have it: all of a sample at once and each zone on its own (slice
moves from a linear model), which readings are wrong and how often, biases of campaigns
with thickness as rolled (exactly), spreads, and what zones share with every rate held
fast (exactly).
"""

from collections.abc import Callable
from dataclasses import dataclass, replace
from typing import Final

import numpy as np

from corrosion.foundation.types import Array
from corrosion.inspection.calibration.linearised import Linearised, nearest
from corrosion.inspection.calibration.mixing import Mixing
from corrosion.inspection.calibration.moves import (
    move_doubtful,
    move_everything,
    move_zones,
)
from corrosion.inspection.calibration.rate_model import (
    LEVEL,
    OFFSET,
    WANDER,
    RatePrior,
    RateState,
)
from corrosion.inspection.calibration.readings import Readings
from corrosion.inspection.calibration.slips import (
    chance_wrong,
    draw_biases,
    draw_share,
    draw_surfaces,
)
from corrosion.inspection.calibration.smoother import smoothed

__all__ = ["SLIPS", "Moved", "move_samples"]

SLIPS: Final = (1.0, 9.0)
"""Prior of the share of wrong readings, as wrong and sound ones already seen [-]."""

_SPREADS: Final = np.linspace(-2.5, 2.5, 21)  # of a spread's logarithm, in its sd
_DOUBTFUL: Final = (0.04, 0.96)  # chance to be wrong of a reading that may be either
_LEARN_FROM: Final = 10  # readings from which the spreads themselves are learned


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
    least: int = 10,
    most: int = 400,
    watch: Callable[[RateState | None], None] | None = None,
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
    least, most : int, optional
        How many sweeps at least and at most.
    watch : callable, optional
        Is given the state after each sweep; None where those given so far were too
        early and are to be forgotten.

    Returns
    -------
    Moved
        Samples of equal weight.
    """
    state = smoothed(rng, start, prior, readings)
    near = nearest(state, prior, readings)
    mixing = Mixing(least=least, most=most)
    wrong, kept = np.zeros(readings.zone.size), 0
    doubtful: tuple[Readings, Array] | None = None
    while True:
        if doubtful is not None:
            state = move_doubtful(rng, state, prior, *doubtful)
        state, doubt = _sweep(rng, state, prior, readings, near)
        wrong, kept = wrong + doubt, kept + 1
        if watch is not None:
            watch(state)
        if mixing.done(_watched(state, prior, readings)):
            break
        if mixing.restarted:
            doubtful = _doubtful(wrong / kept, readings)
            wrong, kept = np.zeros(readings.zone.size), 0
            if watch is not None:
                watch(None)
    return Moved(
        state=state, wrong=wrong / kept, sweeps=mixing.sweeps, mixed=mixing.mixed
    )


def _doubtful(chance: Array, readings: Readings) -> tuple[Readings, Array] | None:
    """Return the readings of zones with one that may be wrong or not, and the lots."""
    low, high = _DOUBTFUL
    which = readings.zone[(chance > low) & (chance < high)]
    if not which.size:
        return None
    own = np.isin(readings.zone, which)
    return readings.of_zones(which), np.clip(chance[own], 0.5 * low, 1.0 - 0.5 * low)


def _watched(state: RateState, prior: RatePrior, readings: Readings) -> Array:
    """Return what must mix: rates of gauged zones by knot, biases, shared unknowns."""
    zones = state.zones[:, readings.zones]
    level = readings.levels(state, prior) + zones[..., LEVEL]
    recent = level + zones[..., -1]
    return np.hstack([state.shared, state.bias, level, recent])


def _sweep(
    rng: np.random.Generator,
    state: RateState,
    prior: RatePrior,
    readings: Readings,
    near: Linearised,
) -> tuple[RateState, Array]:
    """Return the state after one sweep, and each reading's chance to be wrong."""
    state = move_everything(rng, state, prior, readings, near)
    state = move_zones(rng, state, prior, readings, near)
    state, doubt = _draw_slips_and_biases(rng, state, prior, readings)
    if prior.learned > 0.0 and readings.zone.size >= _LEARN_FROM:
        state = _draw_spreads(rng, state, prior, readings)
    state = _shift_levels(rng, state, prior, readings)
    return _draw_shared(rng, state, prior, readings), doubt


def _draw_slips_and_biases(
    rng: np.random.Generator, state: RateState, prior: RatePrior, readings: Readings
) -> tuple[RateState, Array]:
    loss = readings.of_all(state, prior)
    doubt = chance_wrong(
        readings.gone + state.bias[:, readings.campaign] - loss, state.slips, readings
    )
    wrong = rng.random(doubt.shape) < doubt
    zones = state.zones.copy()
    # ``loss`` is net of the offset: add it again, and what is left is offset and bias.
    off = loss + zones[:, readings.zone, OFFSET] - readings.gone
    bias, offset = draw_biases(rng, off, wrong, state.surface, prior.offset, readings)
    zones[:, readings.zones, OFFSET] = offset
    return (
        replace(
            state,
            zones=zones,
            bias=bias,
            surface=draw_surfaces(rng, bias, readings),
            slips=draw_share(rng, wrong, SLIPS),
        ),
        doubt.mean(axis=0),
    )


def _draw_spreads(
    rng: np.random.Generator, state: RateState, prior: RatePrior, readings: Readings
) -> RateState:
    """Draw the spreads given levels and wanders of gauged zones, on a grid."""
    own = state.zones[:, readings.zones]
    wander = own[..., WANDER]
    squares = np.stack(
        [
            ((own[..., LEVEL] / prior.zone[readings.zones]) ** 2).sum(axis=1),
            np.einsum("szk,kl,szl->s", wander, prior.precision, wander)
            / prior.wander**2,
        ],
        axis=1,
    )
    counts = np.array([readings.zones.size, readings.zones.size * wander.shape[2]])
    log_factor = prior.learned * _SPREADS
    weight = (
        -0.5 * _SPREADS**2
        - counts[:, None] * log_factor
        - 0.5 * squares[..., None] * np.exp(-2.0 * log_factor)
    )
    reached = np.cumsum(np.exp(weight - weight.max(axis=-1, keepdims=True)), axis=-1)
    drawn = rng.random(squares.shape) * reached[..., -1]
    at = (reached < drawn[..., None]).sum(axis=-1)
    spread = np.exp(log_factor[at])
    return replace(state, spread=spread)


def _shift_levels(
    rng: np.random.Generator, state: RateState, prior: RatePrior, readings: Readings
) -> RateState:
    """Shift each level against its wander; no rate changes, so the draw is exact."""
    zones = state.zones.copy()
    own = zones[:, readings.zones]
    sure_level = (prior.zone[readings.zones] * state.spread[:, :1]) ** -2.0
    sure_wander = (prior.wander * state.spread[:, 1:]) ** -2.0
    ones = prior.precision.sum(axis=0)
    precision = sure_level + sure_wander * ones.sum()
    pull = sure_wander * (own[..., WANDER] @ ones) - sure_level * own[..., LEVEL]
    shift = pull / precision + rng.standard_normal(pull.shape) / np.sqrt(precision)
    own[..., LEVEL] += shift
    own[..., WANDER] -= shift[..., None]
    zones[:, readings.zones] = own
    return replace(state, zones=zones)


def _draw_shared(
    rng: np.random.Generator, state: RateState, prior: RatePrior, readings: Readings
) -> RateState:
    """Draw what zones share given the rates of gauged zones, exactly.

    A linear regression of the zones' whole levels on the loadings; levels take up the
    difference, so that no rate changes.
    """
    loading = prior.shared[:, readings.zones]
    whole = state.shared @ loading + state.zones[:, readings.zones, LEVEL]
    light = loading / prior.zone[readings.zones] ** 2
    sure = state.spread[:, 0] ** -2.0
    # In the eigenvectors of L diag(τ⁻²) Lᵀ the precision is diagonal for every spread.
    values, vectors = np.linalg.eigh(light @ loading.T)
    precision = 1.0 + sure[:, None] * np.maximum(values, 0.0)
    pull = sure[:, None] * (whole @ light.T) @ vectors
    drawn = pull / precision + rng.standard_normal(pull.shape) / np.sqrt(precision)
    shared = drawn @ vectors.T
    zones = state.zones.copy()
    zones[:, readings.zones, LEVEL] = whole - shared @ loading
    return replace(state, shared=shared, zones=zones)
