"""Scores: against a library, by hand, and on answers that are known to be right."""

import numpy as np
import properscoring
import pytest
from scipy.stats import bootstrap

from corrosion.validation.scores import (
    Interval,
    crps,
    crps_of_interval,
    judge,
    pit_of_interval,
    ratio_by_ship,
)

Z = 1.2815515655446004


@pytest.mark.published(
    source="properscoring (PyPI), crps_ensemble",
    where="continuous ranked probability score of an ensemble",
    status="computed",
)
def test_crps_of_an_ensemble() -> None:
    rng = np.random.default_rng(1)
    for truth in (-2.0, 0.1, 7.0):
        ensemble = rng.lognormal(size=101)
        theirs = float(properscoring.crps_ensemble(truth, ensemble))
        assert crps(ensemble, truth) == pytest.approx(theirs, rel=1e-12)


@pytest.mark.published(
    source="properscoring (PyPI), crps_gaussian",
    where="an interval of three normal quantiles",
    status="computed",
)
def test_crps_of_three_quantiles_of_a_normal() -> None:
    for truth in (3.0, 4.5, 9.0):
        given = Interval(5.0 - 2.0 * Z, 5.0, 5.0 + 2.0 * Z, truth)
        theirs = float(properscoring.crps_gaussian(truth, 5.0, 2.0))
        assert crps_of_interval(given) == pytest.approx(theirs, rel=0.01)


def test_ranks_are_level_where_the_law_is_right() -> None:
    rng = np.random.default_rng(2)
    low, high = 1.0, 3.0
    half = rng.random(4000) < 0.5
    size = np.abs(rng.standard_normal(4000))
    truth = np.where(half, -low, high) * size / 1.0
    ranks = [pit_of_interval(Interval(-low * Z, 0.0, high * Z, t)) for t in truth]
    count, _ = np.histogram(ranks, 10, (0.0, 1.0))
    assert np.abs(count - 400).max() < 4.5 * np.sqrt(400 * 0.9)


def test_error_by_ship_is_that_of_resampled_ships() -> None:
    rng = np.random.default_rng(3)
    counts = rng.integers(5, 25, 120)
    sums = rng.binomial(counts, rng.beta(4.0, 1.0, 120))
    mean, error = ratio_by_ship(sums.tolist(), counts.tolist())
    again = bootstrap(
        (sums, counts), lambda s, n, axis: s.sum(axis) / n.sum(axis), paired=True,
        n_resamples=2000, rng=rng, method="percentile",
    )  # fmt: skip
    assert mean == pytest.approx(sums.sum() / counts.sum())
    assert error == pytest.approx(float(again.standard_error), rel=0.08)
    alone = np.sqrt(mean * (1.0 - mean) / counts.sum())
    assert error > 1.5 * alone  # zones of a ship share: more than if each stood alone


def test_what_a_row_may_claim() -> None:
    band = (0.76, 0.84)
    assert judge(0.75, 0.006, 250, band) == "pass"
    assert judge(0.74, 0.006, 250, band) == "fail"
    assert judge(0.90, 0.006, 250, band) == "fail"
    assert judge(0.80, 0.006, 199, band) == "few ships"
    assert judge(0.80, 0.03, 250, band) == "unsettled"
    assert judge(0.10, 0.03, 250, band) == "fail"
    assert judge(0.10, 0.03, 250, None) == "told"


def test_a_point_is_no_interval() -> None:
    assert Interval(0.0, 0.0, 0.0, 0.0).says_nothing
    assert not Interval(0.0, 1.0, 2.0, 5.0).says_nothing
    assert not Interval(0.0, 0.0, 0.0, 5.0).says_nothing  # a point that misses
    assert Interval(0.0, 1e-9, 2e-9, 1e-7).above(1e-3).says_nothing
    logged = Interval(0.0, 1.0, np.e, 1.0).above(1e-6).logged()
    assert logged.p50 == 0.0
    assert logged.p90 == pytest.approx(1.0)
