"""Natural loss, in the order: laws, edges, errors (published values: published/)."""

from typing import get_args

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from corrosion.foundation.errors import InputError, LookupFailed
from corrosion.foundation.units import MM, YEAR
from corrosion.records.ship import Exposure
from corrosion.wastage.natural import CURVES, loss_depth, loss_rate

EXPOSURES: tuple[str, ...] = get_args(Exposure)
exposures = st.sampled_from(EXPOSURES)
ages = st.floats(0.0, 300.0)


def test_every_exposure_of_the_records_has_a_curve() -> None:
    assert tuple(CURVES) == EXPOSURES


@settings(deadline=None, max_examples=100)
@given(exposure=exposures, one=ages, other=ages)
def test_never_heals_with_age(exposure: str, one: float, other: float) -> None:
    young, old = sorted((one, other))
    at_young, at_old = loss_depth(exposure, [young, old])
    assert 0.0 <= at_young <= at_old


@settings(deadline=None, max_examples=100)
@given(exposure=exposures, one=ages, other=ages)
def test_depth_is_the_rate_summed(exposure: str, one: float, other: float) -> None:
    young, old = sorted((one, other))
    age = np.linspace(young, old, 4001)
    middle = 0.5 * (age[1:] + age[:-1])
    summed = float((loss_rate(exposure, middle) * np.diff(age) * YEAR).sum())
    grown = float(np.diff(loss_depth(exposure, [young, old]))[0])
    assert summed == pytest.approx(grown, rel=1e-3, abs=1e-7)


@pytest.mark.parametrize("exposure", ["immersed", "splash", "dry"])
def test_slows_down_over_its_first_decades(exposure: str) -> None:
    depth = loss_depth(exposure, np.linspace(0.0, 25.0, 251))
    assert np.diff(depth, 2).max() <= 1e-12


def test_air_grows_steadily_beyond_twenty_years_and_never_speeds_up() -> None:
    rate = loss_rate("dry", np.linspace(0.0, 120.0, 1201))
    assert np.diff(rate).max() <= 0.0
    assert rate[200] == pytest.approx(rate[-1], rel=1e-12)


@pytest.mark.parametrize("exposure", EXPOSURES)
def test_starts_from_nothing_at_a_finite_rate(exposure: str) -> None:
    assert loss_depth(exposure, 0.0) == 0.0
    assert 0.0 < loss_rate(exposure, 0.0) * YEAR < 0.2 * MM


@pytest.mark.parametrize(
    ("exposure", "slope"), [("immersed", 0.036), ("splash", 0.076)]
)
def test_the_last_slope_goes_on_beyond_the_table(exposure: str, slope: float) -> None:
    grown = np.diff(loss_depth(exposure, [100.0, 150.0]))
    assert grown == pytest.approx(50.0 * slope * MM, rel=1e-9)
    assert loss_rate(exposure, 150.0) * YEAR == pytest.approx(slope * MM, rel=1e-9)


def test_where_lines_meet_the_rate_is_that_of_the_later() -> None:
    expected = (0.90 - 0.25) / 20.0 * MM
    assert loss_rate("immersed", 5.0) * YEAR == pytest.approx(expected, rel=1e-12)


def test_inside_a_ship_follows_the_stated_curves() -> None:
    age = np.array([3.0, 30.0, 80.0])
    np.testing.assert_array_equal(loss_depth("tank", age), loss_depth("immersed", age))
    np.testing.assert_array_equal(loss_depth("bilge", age), loss_depth("splash", age))


def test_zones_broadcast_against_samples() -> None:
    names = np.array(EXPOSURES)
    age = np.linspace(0.0, 80.0, 5)[:, None]
    together = loss_depth(names, age)
    assert together.shape == (5, 6)
    for k, name in enumerate(EXPOSURES):
        np.testing.assert_array_equal(together[:, k], loss_depth(name, age[:, 0]))
    turn = np.array([3, 1, 0, 2, 5, 4])
    np.testing.assert_array_equal(loss_depth(names[turn], age), together[:, turn])


@pytest.mark.parametrize("exposure", EXPOSURES)
def test_unknown_age_stays_unknown(exposure: str) -> None:
    assert np.isnan(loss_depth(exposure, np.nan))
    assert np.isnan(loss_rate(exposure, [np.nan])).all()


def test_negative_age_is_refused() -> None:
    with pytest.raises(InputError, match=r"loss_depth: age_years must be >= 0 years"):
        loss_depth("immersed", [-1.0])
    with pytest.raises(InputError, match=r"loss_rate: age_years must be >= 0 years"):
        loss_rate("immersed", -1.0)


def test_unknown_exposure_offers_the_nearest() -> None:
    with pytest.raises(LookupFailed, match="no exposure 'imersed'; did you mean 'imm"):
        loss_depth("imersed", 1.0)
