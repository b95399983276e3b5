"""Tests of presentation.format: laws, edges."""

import re

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from corrosion.presentation import format

NAN = float("nan")


@given(st.floats(min_value=0.0, max_value=1.0))
def test_a_chance_is_never_said_to_be_certain(value: float) -> None:
    said = format.chance(value)
    assert re.fullmatch(r"(under |over )?\d{1,2} %", said)
    assert said != "0 %"


@pytest.mark.parametrize(
    ("value", "said"),
    [
        (0.0, "0 kg"),
        (1234.5, "1230 kg"),
        (-12.34, "-12.3 kg"),
        (1e-6, "under 0.001 kg"),
        (NAN, "not known"),
    ],
)
def test_edges_of_a_mass(value: float, said: str) -> None:
    assert format.kg(value) == said


def test_not_known_has_no_unit() -> None:
    said = {
        format.kg(NAN),
        format.mm(NAN),
        format.ohms(NAN),
        format.chance(NAN),
        format.interval(NAN, NAN, NAN, "kg"),
        format.day(np.datetime64("NaT")),
    }
    assert said == {format.NOT_KNOWN}


def test_tiny_estimates_are_said_to_be_tiny() -> None:
    assert format.interval(1e-5, 1e-6, 3e-5, "kg") == "under 0.001 kg"
    assert format.interval(0.0125, 1e-3, 0.03, "kg") == "0.0125 kg (0.00100 to 0.0300)"


def test_days_are_iso() -> None:
    assert format.day(np.datetime64("1994-06-03T23:59:59")) == "1994-06-03"
