"""Tests of slopes told by the samples."""

from types import SimpleNamespace
from typing import cast

import numpy as np
import pytest

from corrosion.inspection.calibration.slopes import (
    lean_of,
    slopes_of,
    spread_alike,
    standard,
)
from corrosion.wastage.uncertain import ZoneUnknowns

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


def test_zones_that_agree_tell_one_another_and_others_stay() -> None:
    # Twelve zones whose pits go with the depth at bare steel, less a slope that all
    # have; one unlike the others keeps its own.
    rng = np.random.default_rng(12)
    shape = (256, 12)
    level = rng.normal(size=shape)
    drawn = SimpleNamespace(
        deepest=rng.uniform(0.01, 0.99, shape),
        pitting=np.exp(rng.normal(size=shape)),
        pit_paint=np.exp(rng.normal(size=shape)),
        pit_place=rng.uniform(0.01, 0.99, shape),
    )
    scores = standard(rng.normal(size=(256, 3)))
    spot = -0.3 * scores[:, :1] - 0.2 * level
    more = np.full(12, 0.05)
    more[0] = 0.6
    pits = spot + more * scores[:, :1] + 0.2 * rng.normal(size=shape)
    values = [one - one.mean(axis=0) for one in (pits, spot)]
    found = lean_of(scores, level, cast("ZoneUnknowns", drawn), *values)
    assert found[0] == pytest.approx(more - 0.3, abs=0.03)
    alone = slopes_of(scores, [level], values[0])
    assert found[1].std() < 0.5 * alone[1].std()
    assert found[-1] == pytest.approx(-0.2, abs=0.015)


def test_spreads_of_a_kind_are_one_and_another_stays() -> None:
    # eleven zones of one law (standard deviation .4) and one of another (.8), known to
    # two per cent each; a kind of its own is told by nobody
    values = 0.4 * np.random.default_rng(13).normal(size=(1024, 13))
    values[:, 0] *= 2.0
    kinds = [*12 * ("immersed",), "tank"]
    found = spread_alike(values, kinds)
    own = values.std(axis=0)
    assert found[0] == pytest.approx(own[0])
    assert found[12] == pytest.approx(own[12])
    assert np.std(found[1:12]) < 0.2 * np.std(own[1:12])
    assert found[1:12] == pytest.approx(0.4, rel=0.02)
