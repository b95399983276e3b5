"""Tests of corrosion.figures.numbers: laws, edges."""

import math
import re

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from corrosion.figures import numbers

NAN = float("nan")


@settings(deadline=None)
@given(st.floats(min_value=1e-4, max_value=9e6))
def test_three_digits_are_within_half_of_the_third(value: float) -> None:
    said = float(numbers.sensible(value).replace(",", ""))
    assert abs(said - value) <= 0.5 * 10.0 ** (math.floor(math.log10(value)) - 2) * (
        1.0 + 1e-9
    )


@given(st.floats(min_value=0.0, max_value=1.0))
def test_a_chance_is_never_said_to_be_certain(value: float) -> None:
    said = numbers.chance(value)
    assert re.fullmatch(r"(under |over )?\d{1,2} %", said)
    assert said != "0 %"


@pytest.mark.parametrize(
    ("value", "said"),
    [
        (0.0, "0"),
        (9.996, "10.0"),
        (999.6, "1,000"),
        (-12.34, "-12.3"),
        (1.234e-6, "1.23×10⁻⁶"),
        (3.2e9, "3.20×10⁹"),
        (math.inf, "unlimited"),
        (-math.inf, "unlimited below"),
        (NAN, "not known"),
    ],
)
def test_edges_of_sensible(value: float, said: str) -> None:
    assert numbers.sensible(value) == said


def test_not_known_has_no_unit() -> None:
    said = {
        numbers.kg(NAN),
        numbers.mm(NAN),
        numbers.ohms(NAN),
        numbers.percent(NAN),
        numbers.chance(NAN),
        numbers.interval(NAN, NAN, NAN, "kg"),
        numbers.day(np.datetime64("NaT")),
    }
    assert said == {numbers.NOT_KNOWN}


def test_units_stand_behind_the_number() -> None:
    assert numbers.mm(9.234) == "9.23 mm"
    assert numbers.kg(0.0) == "0 kg"
    assert numbers.percent(0.0) == "0 %"


def test_tiny_estimates_are_said_to_be_tiny() -> None:
    assert numbers.interval(1e-5, 1e-6, 3e-5, "kg") == "under 0.001 kg"
    assert (
        numbers.interval(9e-4, 1e-6, 3e-3, "kg") == "0.000900 kg (1.0×10⁻⁶ to 0.0030)"
    )


def test_days_are_iso() -> None:
    assert numbers.day(np.datetime64("1994-06-03T23:59:59")) == "1994-06-03"
