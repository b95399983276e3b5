import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from corrosion.inspection.calibration.weights import resample, weigh, zone_weights


def test_weights_are_the_likelihood_made_to_sum_to_one() -> None:
    found = weigh(np.log([0.1, 0.2, 0.3, 0.4]) - 900.0)
    assert found.weights == pytest.approx([0.1, 0.2, 0.3, 0.4])
    assert found.effective == pytest.approx(1 / (0.01 + 0.04 + 0.09 + 0.16))
    assert found.temper == 1.0


@settings(deadline=None, max_examples=30)
@given(seed=st.integers(0, 2**32 - 1), sharp=st.floats(0.0, 500.0))
def test_enough_samples_stay_alive(seed: int, sharp: float) -> None:
    loglik = -sharp * np.random.default_rng(seed).normal(size=400) ** 2
    found = weigh(loglik, least_share=0.1)
    assert found.effective >= 40.0 * (1.0 - 1e-9)
    assert 0.0 < found.temper <= 1.0
    if found.temper < 1.0:
        assert found.effective == pytest.approx(40.0, rel=0.05)
        expected = np.exp(found.temper * (loglik - loglik.max()))
        assert found.weights == pytest.approx(expected / expected.sum())


def test_a_zone_hears_the_others_through_what_is_shared() -> None:
    own = np.log([[0.5, 0.5], [0.3, 0.5], [0.2, 0.5]])
    told = np.log([[0.4, 0.1], [0.3, 0.3], [0.3, 0.6]])
    found = zone_weights(own, told)
    first = np.array([0.5 * 0.1, 0.3 * 0.3, 0.2 * 0.6])
    assert found.weights[:, 0] == pytest.approx(first / first.sum())
    assert found.weights[:, 1] == pytest.approx([0.4, 0.3, 0.3])
    both = np.array([0.04, 0.09, 0.18])
    assert found.shared == pytest.approx(both / both.sum())
    alone = zone_weights(own)
    assert alone.weights[:, 0] == pytest.approx([0.5, 0.3, 0.2])
    assert alone.effective[1] == pytest.approx(3.0)


def test_even_weights_pick_every_sample_in_its_place() -> None:
    along = np.random.default_rng(3).random(257)
    picks = resample(np.full((257, 2), 1 / 257), along)
    assert (picks == np.arange(257)[:, np.newaxis]).all()


@settings(deadline=None, max_examples=30)
@given(seed=st.integers(0, 2**32 - 1))
def test_picks_stand_for_the_weights_and_keep_zones_together(seed: int) -> None:
    rng = np.random.default_rng(seed)
    weights = rng.random((300, 2)) ** 4
    weights /= weights.sum(axis=0)
    along = rng.normal(size=300)
    picks = resample(weights, along)
    for zone in range(2):
        times = np.bincount(picks[:, zone], minlength=300)
        assert np.abs(times - 300 * weights[:, zone]).max() < 1.0 + 1e-9
        assert (np.diff(along[picks[:, zone]][np.argsort(along)]) >= 0.0).all()
