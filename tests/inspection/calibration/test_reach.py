"""The spread of what zones share is learned too: a scale mixture keeps its law."""

from dataclasses import replace

import numpy as np
import pytest
from forward_ships import ship

from corrosion.inspection.calibration.chains import begun
from corrosion.inspection.calibration.sampler import _draw_spreads

LEARNED = np.log(1.6)


def test_drawn_in_turn_unknown_and_spread_keep_their_prior() -> None:
    """Each given the other (Geweke, JASA 99, 2004, 799), 8,192 chains, 40 rounds.

    The factor is then lognormal as the table has it, the unknown wider than normal:
    its variance that of a lognormal's square, exp(2 * 0.47²) = 1.56.
    """
    rng = np.random.default_rng(6)
    known = ship(rng, [30.0, 45.0], samples=8192)
    prior = replace(known.prior.until(2), learned=LEARNED)
    chains = begun(known.start, prior, known.readings)
    for _ in range(40):
        drawn = chains.reach * rng.standard_normal(chains.shared.shape)
        chains = replace(chains, shared=drawn)
        chains = _draw_spreads(rng, chains, prior, known.readings)
    log_reach = np.log(chains.reach)
    assert log_reach.mean() == pytest.approx(0.0, abs=0.03)
    assert log_reach.std() == pytest.approx(LEARNED, rel=0.05)
    assert chains.shared.var() == pytest.approx(np.exp(2.0 * LEARNED**2), rel=0.12)


def test_one_that_lies_far_off_is_told_to_spread_more() -> None:
    rng = np.random.default_rng(6)
    known = ship(rng, [30.0, 45.0], samples=2048)
    prior = replace(known.prior.until(2), learned=LEARNED)
    chains = begun(known.start, prior, known.readings)
    told = [
        np.log(
            _draw_spreads(
                rng,
                replace(chains, shared=np.full_like(chains.shared, off)),
                prior,
                known.readings,
            ).reach
        ).mean()
        for off in (0.0, 1.0, 3.0)
    ]
    assert told[0] < -0.1 < told[1] < 0.1 < 0.25 < told[2]
