"""Thickness left against its limit, in the order: laws, edges, errors."""

import numpy as np
import numpy.typing as npt
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from scipy import stats

from corrosion.foundation.errors import InputError
from corrosion.foundation.types import Array
from corrosion.wastage.thickness import chance_below, date_chance_passes, substantial

BUILT = 10e-3
LIMIT = np.array([8e-3, 9e-3])
TIMES = np.linspace(0.0, 50.0, 101)


def passes(
    times: npt.ArrayLike,
    left: npt.ArrayLike,
    limit: npt.ArrayLike,
    tolerance: npt.ArrayLike,
) -> Array:
    """Return when the share of samples below the limit passes the tolerance."""
    return date_chance_passes(times, chance_below(left, limit), tolerance)


def fan(samples: int = 20_001) -> np.ndarray[tuple[int, ...], np.dtype[np.float64]]:
    """Return thickness left where each sample loses at a steady normal rate."""
    rate = stats.norm.ppf((np.arange(samples) + 0.5) / samples, loc=1e-4, scale=2e-5)
    return BUILT - rate[:, None, None] * TIMES[None, :, None] * np.ones(2)


def test_chance_is_that_of_the_distribution() -> None:
    # At 15 units of time the loss is normal, 1.5 mm ± 0.3 mm; 2 mm and 1 mm allowed.
    found = chance_below(fan()[:, 30], LIMIT)
    expected = stats.norm.cdf([-0.5 / 0.3, 0.5 / 0.3])
    np.testing.assert_allclose(found, expected, atol=1e-4)


def test_date_is_where_the_distribution_meets_the_tolerance() -> None:
    # margin / t = the rate that is exceeded with the tolerated chance.
    tolerance = np.array([0.03, 0.5])
    found = passes(TIMES, fan(), LIMIT, tolerance)
    expected = (BUILT - LIMIT) / stats.norm.ppf(1.0 - tolerance, loc=1e-4, scale=2e-5)
    np.testing.assert_allclose(found, expected, atol=0.05)


@settings(deadline=None, max_examples=50)
@given(low=st.floats(0.0, 1.0), high=st.floats(0.0, 1.0))
def test_a_greater_tolerance_is_never_passed_earlier(low: float, high: float) -> None:
    low, high = sorted((low, high))
    first = passes(TIMES, fan(101), LIMIT, low)
    last = passes(TIMES, fan(101), LIMIT, high)
    assert np.all((first <= last) | np.isnan(last))


def test_permuting_samples_and_zones_permutes() -> None:
    left, turn = fan(501), np.array([1, 0])
    mixed = np.random.default_rng(5).permutation(left, axis=0)[:, :, turn]
    np.testing.assert_array_equal(
        passes(TIMES, mixed, LIMIT[turn], 0.1),
        passes(TIMES, left, LIMIT, 0.1)[turn],
    )


def test_linear_between_moments() -> None:
    # None of ten below at first, four of ten at 100: one in ten is passed at 25.
    left = np.full((10, 2, 1), 9e-3)
    left[:4, 1] = 7e-3
    found = passes([0.0, 100.0], left, 8e-3, 0.1)
    assert found == pytest.approx([25.0])


def test_already_passed_is_the_first_moment_and_never_is_nan() -> None:
    left = np.array([[[7e-3, 9e-3], [6e-3, 9e-3]]])
    found = passes([5.0, 6.0], left, 8e-3, 0.15)
    np.testing.assert_array_equal(found, [5.0, np.nan])


def test_one_sample_in_a_thousand_passes_the_tolerance() -> None:
    left = np.full((1001, 1, 1), 9e-3)
    left[:500] = 7e-3
    assert np.isnan(passes([5.0], left, 8e-3, 0.5)).all()
    left[500] = 7e-3
    assert passes([5.0], left, 8e-3, 0.5) == [5.0]


def test_certainty_is_never_exceeded() -> None:
    found = passes([5.0, 6.0], [[[7e-3], [6e-3]]], 8e-3, 1.0)
    assert np.isnan(found).all()


def test_at_the_limit_is_not_below_it() -> None:
    assert chance_below([8e-3, 8e-3], 8e-3) == 0.0


def test_unknown_thickness_is_an_unknown_chance_for_that_zone_only() -> None:
    left = np.array([[7e-3, np.nan, 7e-3], [9e-3, 9e-3, 9e-3]])
    found = chance_below(left, np.array([8e-3, 8e-3, np.nan]))
    np.testing.assert_array_equal(found, [0.5, np.nan, np.nan])
    moments = passes([0.0, 1.0], np.full((2, 2, 1), np.nan), 8e-3, 0.1)
    assert np.isnan(moments).all()


def test_substantial_where_little_is_left_of_the_margin() -> None:
    left = np.array([8.501e-3, 8.499e-3, 7e-3, np.nan])
    found = substantial(BUILT, 8e-3, left, 0.75)
    assert found.tolist() == [False, True, True, False]


def test_any_wastage_is_substantial_where_none_is_allowed() -> None:
    found = substantial(8e-3, [8e-3, 9e-3, 8e-3], [7.99e-3, 7.99e-3, 8e-3], 0.75)
    assert found.tolist() == [True, True, False]


def test_refuses_times_that_fall_or_do_not_fit() -> None:
    left = np.full((3, 2, 1), 9e-3)
    with pytest.raises(InputError, match="times must rise"):
        passes([1.0, 0.0], left, 8e-3, 0.1)
    with pytest.raises(InputError, match=r"got \(2, 1\) and \(3,\)"):
        passes([0.0, 1.0, 2.0], left, 8e-3, 0.1)


def test_refuses_a_tolerance_in_per_cent() -> None:
    with pytest.raises(InputError, match=r"tolerance must lie in 0 to 1.*not per cent"):
        passes([0.0, 1.0], np.full((3, 2, 1), 9e-3), 8e-3, 15.0)


def test_refuses_a_share_in_per_cent() -> None:
    with pytest.raises(InputError, match=r"share must lie in 0 to 1"):
        substantial(BUILT, 8e-3, 9e-3, 75.0)
