"""A chain that runs away begins again where another stands."""

from dataclasses import replace

import numpy as np
import pytest
from forward_ships import ship

from corrosion.inspection.calibration.chains import begun, brought_back, ended
from corrosion.inspection.calibration.rate_model import (
    INSIDE,
    LEVEL,
    OFFSET,
    WANDER,
)


@pytest.mark.parametrize("astray", [np.nan, np.inf, 3.0])
def test_one_that_runs_away_is_brought_back(astray: float) -> None:
    rng = np.random.default_rng(5)
    known = ship(rng, [30.0, 45.0, 58.0], samples=16)
    prior = known.prior.until(3)
    chains = begun(known.start, prior, known.readings)
    loss = chains.loss.copy()
    loss[2, 7] = astray
    again = brought_back(rng, replace(chains, loss=loss), prior, known.readings)
    others = np.arange(16) != 7
    assert (again.own[..., others] == chains.own[..., others]).all()
    assert again.loss[:, others] == pytest.approx(chains.loss[:, others])
    donor = (again.own[..., 7, None] == chains.own).all(axis=(0, 1)).nonzero()[0]
    assert donor.size == 1
    assert donor[0] != 7
    assert np.isfinite(again.loss).all()


def test_chains_that_stay_are_left_as_they_are() -> None:
    rng = np.random.default_rng(5)
    known = ship(rng, [30.0, 45.0, 58.0], samples=16)
    prior = known.prior.until(3)
    chains = begun(known.start, prior, known.readings)
    assert brought_back(rng, chains, prior, known.readings) is chains


def test_spreads_that_gauged_zones_teach_are_those_of_zones_never_gauged() -> None:
    rng = np.random.default_rng(5)
    known = ship(rng, [30.0, 45.0, 58.0], samples=16)
    own = known.readings.zone != 1
    readings, prior = known.readings.of_rows(own), known.prior.until(3)
    chains = begun(known.start, prior, readings)
    spread = np.array([2.0, 3.0, 0.5])[:, None] * np.ones(16)
    state = ended(replace(chains, spread=spread), known.start, readings)
    before, after = known.start.zones[:, 1], state.zones[:, 1]
    for column, factor in ((LEVEL, 2.0), (WANDER, 3.0), (INSIDE, 0.5), (OFFSET, 1.0)):
        assert after[:, column] == pytest.approx(factor * before[:, column])
    gauged = np.delete(state.zones, 1, axis=1)
    assert gauged == pytest.approx(np.delete(known.start.zones, 1, axis=1), rel=1e-6)
