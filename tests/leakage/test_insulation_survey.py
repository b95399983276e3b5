"""Tests of insulation surveys against the correction of IEEE Std 43, by hand."""

import pytest

from corrosion.foundation.errors import InputError
from corrosion.leakage.insulation_survey import (
    at_reference,
    halving_years,
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
    assert halving_years(years, [8e6 * 0.5 ** ((y - 2020) / 2) for y in years]) == (
        pytest.approx(2.0)
    )
    assert halving_years(years, [1e6, 1e6, 1e6, 1e6]) is None
    assert halving_years([2020.0, 2020.1, 2020.2], [3e6, 2e6, 1e6]) is None


def test_an_index_of_nothing_is_refused() -> None:
    assert polarisation_index(100e6, 230e6) == pytest.approx(2.3)
    with pytest.raises(InputError, match="two resistances above 0"):
        polarisation_index(0.0, 1e6)
