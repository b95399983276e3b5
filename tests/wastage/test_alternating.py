"""Alternating current, in the order: laws, edges, errors."""

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from corrosion.foundation.errors import InputError
from corrosion.wastage.alternating import dissolving_fraction

shares = st.floats(0.0, 1.0)
frequencies = st.floats(0.0, 1e5)


def test_is_as_given_at_mains_frequency() -> None:
    found = dissolving_fraction(0.004, [50.0, 55.0, 60.0])
    np.testing.assert_allclose(found, 0.004, rtol=1e-14)


def test_falls_as_the_root_of_frequency_on_either_side() -> None:
    assert dissolving_fraction(0.004, 240.0) == pytest.approx(0.002, rel=1e-12)
    assert dissolving_fraction(0.004, 12.5) == pytest.approx(0.008, rel=1e-12)


def test_follows_a_law_of_ones_own() -> None:
    found = dissolving_fraction(0.004, 600.0, exponent=1.0)
    assert found == pytest.approx(0.0004, rel=1e-12)


@settings(deadline=None, max_examples=100)
@given(fraction=shares, low=frequencies, high=frequencies)
def test_never_rises_with_frequency(fraction: float, low: float, high: float) -> None:
    low, high = sorted((low, high))
    at_low, at_high = dissolving_fraction(fraction, [low, high])
    assert 0.0 <= at_high <= at_low <= 1.0


@settings(deadline=None)
@given(fraction=shares)
def test_direct_current_dissolves_in_full(fraction: float) -> None:
    assert dissolving_fraction(fraction, 0.0) == 1.0


def test_unknown_stays_unknown() -> None:
    found = dissolving_fraction([0.005, np.nan, np.nan], [np.nan, 60.0, 0.0])
    assert np.isnan(found).all()


def test_broadcasts_samples_over_systems() -> None:
    found = dissolving_fraction(np.full((8, 1), 0.005), np.array([0.0, 60.0, 400.0]))
    assert found.shape == (8, 3)


def test_a_share_in_per_cent_is_refused() -> None:
    match = r"fraction must lie in 0 to 1 \(share\), got 5 \(share\)\. Give a share"
    with pytest.raises(InputError, match=match):
        dissolving_fraction(5.0, 60.0)


def test_negative_frequency_is_refused() -> None:
    with pytest.raises(InputError, match=r"hertz must be >= 0 Hz, got -60 Hz"):
        dissolving_fraction(0.005, -60.0)
