"""The samples as chains: what the moves move, the samples last."""

from dataclasses import dataclass, fields, replace
from typing import Final

import numpy as np

from corrosion.foundation.types import Array, BoolArray, IntArray
from corrosion.inspection.calibration.cells import Given
from corrosion.inspection.calibration.rate_model import (
    INSIDE,
    LEVEL,
    WANDER,
    RatePrior,
    RateState,
)
from corrosion.inspection.calibration.readings import Readings
from corrosion.inspection.calibration.triangular import single

THICKEST: Final = 0.2
"""No plate loses more. [m]"""


@dataclass(frozen=True, slots=True, kw_only=True)
class Chains:
    """What the moves move, of gauged zones alone, the samples last.

    So that the numbers of one reading lie together: moves are made many times. In
    single precision, which errs by less than a nanometre.

    Arrays are of shape (unknowns, samples) where no other is said.
    """

    shared: Array  # standard normal unknowns that zones share [-]
    # shape (campaigns, samples): by how much all readings of a campaign
    # are too thick [m]
    bias: Array
    surface: IntArray  # shape (campaigns, samples): which surface each campaign read on
    # shape (5 + knots, gauged, samples): unknowns of each zone, as in `RateState`
    own: Array
    # shape (gauged, samples): which unrecorded cause took metal; 0: none
    cause: IntArray
    wrong: BoolArray  # shape (rows, samples): which readings are wrong
    slips: Array  # shape (samples,): share of the readings that are wrong [-]
    spread: Array  # shape (3, samples): factors on the spreads, as in `RateState` [-]
    reach: Array  # factors on the spread of each shared unknown [-]
    loss: Array  # shape (rows, samples): what the readings should show without bias [m]

    def given(self, readings: Readings, prior: RatePrior) -> Given:
        """Return what zones are told."""
        return Given(
            levels=readings.levels(self.shared, prior),
            read=self.bias[readings.campaign] - readings.otherwise[0],
            more=readings.otherwise[1],
            odds=single(readings.odds(self.slips).T),
            spread=self.spread,
        )

    def off(self, readings: Readings) -> Array:
        """Return read less foreseen, bias counted in, (rows, samples) [m]."""
        off = self.bias[readings.campaign] + single(readings.gone)[:, None]
        return np.asarray(off - self.loss)


def begun(state: RateState, prior: RatePrior, readings: Readings) -> Chains:
    """Return samples as chains, all readings sound."""
    return Chains(
        shared=single(state.shared.T),
        bias=single(state.bias.T),
        surface=state.surface.T,
        own=single(readings.unknowns(state)),
        cause=readings.cause(state),
        wrong=np.zeros((readings.zone.size, readings.samples), np.bool_),
        slips=state.slips,
        spread=single(state.spread.T),
        reach=np.ones_like(single(state.shared.T)),
        loss=single(readings.of_all(state, prior).T),
    )


def ended(chains: Chains, state: RateState, readings: Readings) -> RateState:
    """Return chains as samples, zones never gauged as they were in ``state``.

    But for the spreads that gauged ones taught, which are those of all.
    """
    zones, cause = state.zones.copy(), state.cause.copy()
    level, wander, inside = chains.spread[..., None]
    zones[..., LEVEL] *= level
    zones[..., WANDER] *= wander[..., None]
    zones[..., INSIDE] *= inside
    zones[:, readings.zones] = chains.own.transpose(2, 1, 0)
    cause[:, readings.zones] = chains.cause.T
    return RateState(
        shared=chains.shared.T.astype(np.float64),
        zones=zones,
        bias=chains.bias.T.astype(np.float64),
        surface=chains.surface.T,
        slips=chains.slips,
        spread=chains.spread.T.astype(np.float64),
        cause=cause,
    )


def brought_back(
    rng: np.random.Generator, chains: Chains, prior: RatePrior, readings: Readings
) -> Chains:
    """Return chains of which those that went astray begin again where others stand.

    All are made linear about their mean, which one that runs away would carry off.
    """
    stays = (np.abs(chains.loss) < THICKEST).all(axis=0)
    for one in (chains.shared, chains.bias, chains.own.reshape(-1, stays.size)):
        stays &= np.isfinite(one).all(axis=0)
    if stays.all() or not stays.any():
        return chains
    pick = np.arange(stays.size)
    pick[~stays] = rng.choice(np.flatnonzero(stays), int((~stays).sum()))
    cut = {one.name: getattr(chains, one.name)[..., pick] for one in fields(chains)}
    again = Chains(**cut)
    levels = readings.levels(again.shared, prior)
    return replace(again, loss=readings.loss(again.own, levels, again.cause))
