"""Tests of slopes told by the samples."""

import numpy as np
import pytest

from corrosion.inspection.calibration.slopes import slopes_of, standard

RNG = np.random.default_rng(11)
SCORES, OWN = standard(RNG.normal(size=(256, 3))), RNG.gamma(2.0, size=(256, 4))
SLOPES = np.arange(12.0).reshape(3, 4)


def test_slopes_are_those_of_least_squares() -> None:
    # numpy's lstsq, zone by zone, with a column of ones
    values = SCORES @ SLOPES + RNG.normal(size=(256, 4))
    found = slopes_of(SCORES, [OWN, OWN**2], values - values.mean(axis=0))
    for k in range(4):
        told = np.column_stack([SCORES, OWN[:, k], OWN[:, k] ** 2, np.ones(256)])
        right = np.linalg.lstsq(told, values[:, k], rcond=None)[0]
        assert found[:, k] == pytest.approx(right[:-1], rel=1e-8)


def test_what_each_zone_drew_does_not_blur_what_they_share() -> None:
    values = SCORES @ SLOPES + 5.0 * OWN
    values -= values.mean(axis=0)
    assert slopes_of(SCORES, [OWN], values)[:3] == pytest.approx(SLOPES, abs=1e-9)
    assert np.abs(slopes_of(SCORES, [0.0 * OWN], values)[:3] - SLOPES).max() > 0.1


def test_what_does_not_vary_has_no_slope() -> None:
    values = standard(SCORES @ SLOPES[:, :1]) * np.ones(4)
    still = [np.ones_like(OWN), OWN]
    found = slopes_of(np.column_stack([SCORES, np.zeros(256)]), still, values)
    assert found[3:5] == pytest.approx(0.0, abs=1e-12)
    assert np.isfinite(found).all()
