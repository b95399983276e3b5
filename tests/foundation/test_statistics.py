"""Samples summed up, in the order: laws, edges."""

import numpy as np

from corrosion.foundation.statistics import summarise


def test_mean_and_quantiles_are_those_of_numpy() -> None:
    x = np.random.default_rng(1).normal(size=(257, 3, 2))
    found = summarise(x)
    assert list(found) == ["mean", "p10", "p50", "p90"]
    np.testing.assert_allclose(found["mean"], x.mean(axis=0), rtol=1e-12)
    for name, q in (("p10", 0.1), ("p50", 0.5), ("p90", 0.9)):
        np.testing.assert_array_equal(found[name], np.quantile(x, q, axis=0))


def test_order_of_samples_does_not_matter() -> None:
    x = np.random.default_rng(2).normal(size=(64, 3))
    turned = x[np.random.default_rng(3).permutation(64)]
    for name, value in summarise(x).items():
        np.testing.assert_allclose(summarise(turned)[name], value, rtol=1e-12)


def test_unknown_stays_unknown_in_its_column_only() -> None:
    x = np.array([[1.0, 1.0], [np.nan, 2.0], [3.0, 3.0]])
    for value in summarise(x).values():
        np.testing.assert_array_equal(np.isnan(value), [True, False])
