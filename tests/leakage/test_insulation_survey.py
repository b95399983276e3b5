"""Tests of insulation surveys against the correction of IEEE Std 43, by hand."""

import numpy as np
import pytest
from scipy import stats

from corrosion.foundation.errors import InputError
from corrosion.leakage.insulation_survey import (
    at_reference,
    insulation_trend,
    polarisation_index,
)


@pytest.mark.parametrize(
    ("celsius", "factor"),
    # K_T = 0.5^((40 - T)/10): IEEE Std 43, windings before about 1970 (from memory)
    [(10.0, 0.125), (20.0, 0.25), (35.0, 0.7071068), (40.0, 1.0), (60.0, 4.0)],
)
def test_insulation_is_corrected_to_40_degrees(celsius: float, factor: float) -> None:
    assert at_reference(8e6, celsius) == pytest.approx(8e6 * factor)


def test_a_circuit_that_halves_each_two_years_is_found() -> None:
    years = [2020.0, 2021.0, 2022.0, 2024.0]
    trend = insulation_trend(years, [8e6 * 0.5 ** ((y - 2020) / 2) for y in years])
    assert trend is not None
    assert trend.halving_years["p50"] == pytest.approx(2.0)
    flat = insulation_trend(years, [1e6, 1e6, 1e6, 1e6])
    assert flat is not None
    assert set(flat.halving_years.values()) == {None}
    assert insulation_trend([2020.0, 2020.1, 2020.2], [3e6, 2e6, 1e6]) is None


def test_an_index_of_nothing_is_refused() -> None:
    assert polarisation_index(100e6, 230e6) == pytest.approx(2.3)
    with pytest.raises(InputError, match="two resistances above 0"):
        polarisation_index(0.0, 1e6)


def test_a_trend_and_its_interval_are_those_of_a_straight_line_by_scipy() -> None:
    years = np.array([2019.2, 2020.1, 2021.4, 2022.0, 2023.9, 2025.1])
    ohms = np.array([9e6, 8.5e6, 5e6, 6e6, 4e6, 2.5e6])
    trend = insulation_trend(years.tolist(), ohms.tolist())
    other = stats.linregress(years, np.log2(ohms))
    assert trend is not None
    assert trend.slope == pytest.approx(other.slope)
    t = stats.t(len(years) - 2)
    assert trend.falls == pytest.approx(t.cdf(-other.slope / other.stderr))
    ends = -1.0 / (other.slope + t.ppf([0.1, 0.5, 0.9]) * other.stderr)
    assert list(trend.halving_years.values()) == pytest.approx(ends.tolist())
    start = other.intercept + np.array([-1, 0, 1]) * t.ppf(0.9) * other.intercept_stderr
    assert np.log2(trend.at([0.0])[:, 0]) == pytest.approx(start)


def test_a_circuit_that_may_not_fall_has_no_upper_end() -> None:
    trend = insulation_trend([2020.0, 2021.0, 2022.0], [4e6, 5e6, 3.9e6])
    assert trend is not None
    assert trend.halving_years["p90"] is None
    assert 0.5 < trend.falls < 0.9
