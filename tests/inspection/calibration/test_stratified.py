"""Tests of random numbers that lie evenly over the samples."""

import numpy as np
import pytest
from scipy.stats import kstest

from corrosion.inspection.calibration.stratified import normal, uniform

ROWS, SAMPLES = 40, 64


def test_every_row_holds_one_number_in_each_part() -> None:
    found = uniform(np.random.default_rng(1), (2, ROWS, SAMPLES))
    parts = np.sort(np.floor(found * SAMPLES), axis=2)
    assert (parts == np.arange(SAMPLES)).all()
    means = normal(np.random.default_rng(2), (ROWS, SAMPLES)).mean(axis=1)
    assert np.abs(means).max() < 0.25 / np.sqrt(SAMPLES)


def test_one_sample_is_drawn_as_by_chance() -> None:
    # Over many draws a sample's numbers follow the law and know nothing of one another,
    # of their shuffle's other rows and of other shuffles': correlations within three
    # standard errors of 1 / sqrt(4000).
    rng = np.random.default_rng(3)
    draws = np.array([normal(rng, (2 * SAMPLES, SAMPLES))[:, 5] for _ in range(4000)])
    assert kstest(draws[:, 0], "norm").pvalue > 0.01
    for other in (1, 2, SAMPLES + 1):
        assert np.corrcoef(draws[:, 0], draws[:, other])[0, 1] == pytest.approx(
            0.0, abs=3.0 / np.sqrt(4000)
        )


def test_two_rows_of_a_shuffle_are_as_good_as_independent() -> None:
    found = normal(np.random.default_rng(4), (SAMPLES, 256))
    apart = np.asarray(np.corrcoef(found))[np.triu_indices(SAMPLES, 1)]
    assert np.sqrt((apart**2).mean()) == pytest.approx(1.0 / 16.0, rel=0.2)
