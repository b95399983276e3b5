"""What the gaugings taught, carried from the zones to the ship."""

import numpy as np
import pytest

from corrosion.foundation.types import Array
from corrosion.inspection.calibration.calibrate import Calibration
from corrosion.inspection.calibration.weights import resample

SAMPLES = 4096
RNG = np.random.default_rng(5)


def calibration(weights: Array, along: Array) -> Calibration:
    """Return a calibration whose zones each have weights of their own."""
    return Calibration(
        resample_index=resample(weights, along),
        shared=resample(np.full((SAMPLES, 1), 1.0 / SAMPLES), along)[:, 0],
        normal=np.zeros(weights.shape),
        built=0.0,
        effective=1.0 / (weights**2).sum(axis=0),
        tempered=False,
        gauged=None,
        predicted=np.zeros((SAMPLES, 0)),
        disagreements=(),
    )


def weighted(zones: int) -> Calibration:
    weights = RNG.gamma(1.0, size=(SAMPLES, zones))
    return calibration(weights / weights.sum(axis=0), RNG.random(SAMPLES))


def test_zones_that_share_an_unknown_stay_alike_in_their_sum() -> None:
    # Ten zones each lose the same: the sum spreads ten times as far as one, not √10.
    one = np.exp(RNG.standard_normal((SAMPLES, 1)))
    taught = weighted(10)
    total = taught.total(np.repeat(one, 10, axis=1))
    assert np.std(np.log(total)) == pytest.approx(np.std(np.log(one)), rel=1e-9)


def test_zones_of_their_own_spread_with_the_root_of_their_number() -> None:
    values = 5.0 + RNG.standard_normal((SAMPLES, 10))
    spread = np.std(weighted(10).total(values))
    assert spread == pytest.approx(np.sqrt(10.0), rel=0.05)


@pytest.mark.parametrize("shift", [0.0, -1.5], ids=["losses", "of both signs"])
def test_a_sum_has_the_mean_of_its_zones(shift: float) -> None:
    values = np.exp(RNG.standard_normal((SAMPLES, 4))) + shift
    taught = weighted(4)
    means = taught.pick(values).mean(axis=0)
    assert taught.total(values).mean() == pytest.approx(means.sum(), rel=1e-12)


def test_even_weights_sum_every_sample_in_its_place() -> None:
    values = RNG.random((SAMPLES, 3))
    taught = calibration(np.full((SAMPLES, 3), 1.0 / SAMPLES), RNG.random(SAMPLES))
    assert taught.total(values) == pytest.approx(values.sum(axis=1), rel=1e-12)
    assert taught.total(0.0 * values).tolist() == [0.0] * SAMPLES
