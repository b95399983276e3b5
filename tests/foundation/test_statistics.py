"""Samples summed up, in the order: laws, edges, errors."""

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from corrosion.foundation.errors import InputError
from corrosion.foundation.statistics import summarise, weighted_mean, weighted_quantiles


def test_mean_and_quantiles_without_weights_are_those_of_numpy() -> None:
    x = np.random.default_rng(1).normal(size=(257, 3, 2))
    found = summarise(x)
    assert list(found) == ["mean", "p10", "p50", "p90"]
    np.testing.assert_allclose(found["mean"], x.mean(axis=0), rtol=1e-12)
    for name, q in (("p10", 0.1), ("p50", 0.5), ("p90", 0.9)):
        np.testing.assert_array_equal(found[name], np.quantile(x, q, axis=0))


@settings(deadline=None, max_examples=50)
@given(seed=st.integers(0, 2**32 - 1), shape=st.sampled_from([(), (3,), (2, 3)]))
def test_weights_count_as_copies_do(seed: int, shape: tuple[int, ...]) -> None:
    rng = np.random.default_rng(seed)
    x = rng.normal(size=(23, *shape))
    copies = rng.integers(0, 4, size=23)
    copies[0] = 1
    many = np.repeat(x, copies, axis=0)
    q = (0.0, 0.1, 0.5, 0.9, 1.0)
    np.testing.assert_array_equal(
        weighted_quantiles(x, 0.37 * copies, q)[1:],
        np.quantile(many, q, axis=0, method="inverted_cdf")[1:],
    )
    np.testing.assert_allclose(
        weighted_mean(x, 0.37 * copies), many.mean(axis=0), atol=1e-13
    )


def test_weighted_quantiles_are_those_of_numpy() -> None:
    rng = np.random.default_rng(4)
    x, w, q = rng.normal(size=(300, 4, 2)), rng.random(300), (0.05, 0.5, 0.77)
    expected = np.quantile(x, q, axis=0, weights=w, method="inverted_cdf")
    np.testing.assert_array_equal(weighted_quantiles(x, w, q), expected)


def test_order_of_samples_does_not_matter() -> None:
    rng = np.random.default_rng(2)
    x, w = rng.normal(size=(64, 3)), rng.random(64)
    turn = rng.permutation(64)
    for name, value in summarise(x, w).items():
        np.testing.assert_allclose(summarise(x[turn], w[turn])[name], value, rtol=1e-12)


def test_all_weight_on_one_sample_is_that_sample() -> None:
    x = np.arange(10.0).reshape(5, 2)
    for value in summarise(x, [0.0, 0.0, 3.0, 0.0, 0.0]).values():
        np.testing.assert_array_equal(value, x[2])


def test_truth_values_have_a_mean() -> None:
    assert weighted_mean(np.array([True, False, False, False])) == 0.25
    assert weighted_mean(np.array([True, False]), [3.0, 1.0]) == 0.75


@pytest.mark.parametrize("weights", [None, [1.0, 2.0, 1.0]])
def test_unknown_stays_unknown_in_its_column_only(weights: list[float] | None) -> None:
    x = np.array([[1.0, 1.0], [np.nan, 2.0], [3.0, 3.0]])
    for value in summarise(x, weights).values():
        np.testing.assert_array_equal(np.isnan(value), [True, False])


@pytest.mark.parametrize(
    ("weights", "match"),
    [
        ([1.0, 1.0], r"weights must have shape \(3,\), one a sample, got \(2,\)"),
        ([1.0, -1.0, 1.0], "weights must be >= 0"),
        ([0.0, 0.0, 0.0], "not all zero"),
        ([1.0, float("nan"), 1.0], "not NaN"),
    ],
)
def test_refuses_weights_that_cannot_be(weights: list[float], match: str) -> None:
    with pytest.raises(InputError, match=match):
        weighted_quantiles([1.0, 2.0, 3.0], weights)
    with pytest.raises(InputError, match=match):
        weighted_mean([1.0, 2.0, 3.0], weights)
