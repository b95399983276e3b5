"""A chain that runs away begins again where another stands."""

from dataclasses import replace

import numpy as np
import pytest
from forward_ships import ship

from corrosion.inspection.calibration.chains import begun, brought_back


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
