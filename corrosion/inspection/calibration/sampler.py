"""Sample the rates of every plate given her gaugings: moves, sweep by sweep.

One sweep draws each group of unknowns given all others, so that the samples keep the
posterior once they have it: all of a sample at once and each zone on its own (slice
moves from a linear model), which readings are wrong and how often, biases of campaigns
with thickness as rolled (exactly), spreads, and what zones share with every rate held
fast (exactly).
"""

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
    INSIDE,
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

SLIPS: Final = (0.5, 14.5)
"""Prior of the share of wrong readings, as wrong and sound ones already seen [-]."""

_SPREADS: Final = np.linspace(-2.5, 2.5, 21)  # of a spread's logarithm, in its sd
_TOGETHER: Final = 2  # every how many sweeps the dearer moves are made
_DOUBTFUL: Final = 0.05  # chance to be wrong from which a reading may be either
_LOT: Final = 0.7  # how often at most it is taken as wrong where moves are proposed
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
    sweeps: tuple[int, int] = (12, 24),
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
    state = smoothed(rng, start, prior, readings)
    near = nearest(state, prior, readings)
    mixing = Mixing(least=sweeps[0], most=sweeps[1])
    wrong, kept = np.zeros(readings.zone.size), 0
    doubtful: tuple[Readings, Array] | None = None
    while True:
        if doubtful is not None and mixing.sweeps % _TOGETHER == 0:
            state = move_doubtful(rng, state, prior, *doubtful)
        state, doubt = _sweep(rng, state, prior, readings, near, mixing.sweeps)
        wrong, kept = wrong + doubt, kept + 1
        if mixing.done(_watched(state, prior, readings)):
            break
        if mixing.restarted:
            doubtful = _doubtful(wrong / kept, readings)
            wrong, kept = np.zeros(readings.zone.size), 0
    return Moved(
        state=state, wrong=wrong / kept, sweeps=mixing.sweeps, mixed=mixing.mixed
    )


def _doubtful(chance: Array, readings: Readings) -> tuple[Readings, Array] | None:
    """Return the readings of zones with one that may be wrong or not, and the lots."""
    which = readings.zone[chance > _DOUBTFUL]
    if not which.size:
        return None
    own = np.isin(readings.zone, which)
    return readings.of_zones(which), np.clip(chance[own], 1.0 - _LOT, _LOT)


def _watched(state: RateState, prior: RatePrior, readings: Readings) -> Array:
    """Return what must mix: what is shared, biases, rates, which readings are wrong."""
    zones = state.zones[:, readings.zones]
    level = readings.levels(state.shared, prior)[..., 0] + zones[..., LEVEL]
    recent = level + zones[..., -1]
    off = readings.gone + state.bias[:, readings.campaign]
    off = off - readings.of_all(state, prior)
    wrong = chance_wrong(off, state.slips, readings)
    return np.hstack([state.shared, state.bias, level, recent, wrong])


def _sweep(
    rng: np.random.Generator,
    state: RateState,
    prior: RatePrior,
    readings: Readings,
    near: Linearised,
    number: int,
) -> tuple[RateState, Array]:
    """Return the state after one sweep, and each reading's chance to be wrong."""
    if number % _TOGETHER == 0:
        state = move_everything(rng, state, prior, readings, near)
    state = move_zones(rng, state, prior, readings, near)
    if prior.odd_share > 0.0:
        state = _draw_odd(rng, state, prior, readings)
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
            slips=draw_share(rng, wrong, readings.times, SLIPS),
        ),
        doubt.mean(axis=0),
    )


def _draw_spreads(
    rng: np.random.Generator, state: RateState, prior: RatePrior, readings: Readings
) -> RateState:
    """Draw the spreads given levels and wanders of gauged zones, on a grid."""
    gauged = readings.zones
    own = state.zones[:, gauged]
    factor = np.where(state.odd[:, gauged], prior.odd, 1.0)
    bent = _bent(own[..., WANDER], prior) / factor**2
    lined = prior.inside_shared[:, gauged].any(axis=0)  # with an inner face to lose
    squares = np.stack(
        [
            ((own[..., LEVEL] / prior.zone[gauged]) ** 2).sum(axis=1),
            bent.sum(axis=1),
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


def _draw_odd(
    rng: np.random.Generator, state: RateState, prior: RatePrior, readings: Readings
) -> RateState:
    """Draw which gauged zones are odd given how far their rates wandered."""
    gauged = readings.zones
    bent = _bent(state.zones[:, gauged][..., WANDER], prior) / state.spread[:, 1:2] ** 2
    odds = np.log(prior.odd_share / (1.0 - prior.odd_share))
    odds = odds - prior.knots * np.log(prior.odd) + 0.5 * bent * (1 - prior.odd**-2.0)
    odd = state.odd.copy()
    odd[:, gauged] = rng.random(bent.shape) < 1.0 / (1.0 + np.exp(-odds))
    return replace(state, odd=odd)


def _bent(wander: Array, prior: RatePrior) -> Array:
    """Return the squared length of wanders in their prior, (samples, zones)."""
    return np.asarray(
        ((wander @ prior.precision) * wander).sum(axis=2) / prior.wander**2
    )


def _shift_levels(
    rng: np.random.Generator, state: RateState, prior: RatePrior, readings: Readings
) -> RateState:
    """Shift each level against its wander; no rate changes, so the draw is exact."""
    gauged = readings.zones
    zones = state.zones.copy()
    own = zones[:, gauged]
    sure_level = (prior.zone[gauged] * state.spread[:, :1]) ** -2.0
    sure_wander = state.wander_scale(prior)[:, gauged] ** -2.0
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
