"""Tests of presentation.format: laws, edges."""

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from corrosion.presentation import format as fmt
from corrosion.presentation.format import number, percent

NAN = float("nan")


@pytest.mark.parametrize(
    ("value", "text"),
    [
        (0.0, "0"),
        (-0.0, "0"),
        (1.0, "1.00"),
        (9.999, "10.0"),
        (0.09996, "0.100"),
        (999.6, "1\N{NO-BREAK SPACE}000"),
        (1234.5, "1\N{NO-BREAK SPACE}230"),
        (-0.01234, "-0.0123"),
        (1.23456e-5, "0.0000123"),
        (1.23456e-6, "1.23e-06"),
        (9.996e6, "1.00e+07"),
        (9.994e6, "9\N{NO-BREAK SPACE}990\N{NO-BREAK SPACE}000"),
        (1e-300, "1.00e-300"),
        (None, "not known"),
        (float("nan"), "not known"),
        (float("inf"), "not known"),
    ],
)
def test_a_number_has_three_significant_digits(value: float | None, text: str) -> None:
    assert number(value) == text


@settings(deadline=None)
@given(value=st.floats(1e-12, 1e12), digits=st.integers(1, 6))
def test_a_number_reads_back_within_its_digits(value: float, digits: int) -> None:
    read = float(number(value, digits).replace(fmt.THOUSANDS, ""))
    assert read == pytest.approx(value, rel=0.5001 * 10.0 ** (1 - digits))
    assert number(-value, digits) == f"-{number(value, digits)}"


@pytest.mark.parametrize(
    ("share", "text"),
    [
        (0.0, "0 %"),
        (1e-9, "under 0.1 %"),
        (0.001, "0.10 %"),
        (0.00996, "1.0 %"),
        (0.5, "50 %"),
        (0.994, "99.4 %"),
        (0.9973, "99.7 %"),
        (0.9995, "over 99.9 %"),
        (1.0, "100 %"),
        (None, "not known"),
        (float("nan"), "not known"),
    ],
)
def test_a_share_is_honest_at_both_ends(share: float | None, text: str) -> None:
    assert percent(share) == text


@settings(deadline=None)
@given(share=st.floats(0.0, 1.0, exclude_min=True, exclude_max=True))
def test_only_nothing_is_nothing_and_only_all_is_all(share: float) -> None:
    assert percent(share) not in ("0 %", "100 %")


@settings(deadline=None)
@given(st.floats(min_value=0.0, max_value=1.0))
def test_a_chance_is_never_said_to_be_certain(value: float) -> None:
    assert fmt.chance(value) not in ("0 %", "100 %")


@pytest.mark.parametrize(
    ("value", "said"),
    [
        (0.0, "0 kg"),
        (1234.5, "1\N{NO-BREAK SPACE}230 kg"),
        (-12.34, "-12.3 kg"),
        (1e-6, "under 0.0001 kg"),
        (-1e-6, "over -0.0001 kg"),
        (NAN, "not known"),
        (None, "not known"),
    ],
)
def test_edges_of_a_mass(value: float | None, said: str) -> None:
    assert fmt.quantity(value, "kg") == said


def test_not_known_has_no_unit() -> None:
    unknown = {"p10": NAN, "p50": NAN, "p90": NAN}
    said = {fmt.interval(unknown, unit=unit) for unit in ("kg", "Ω", "%", "")}
    said |= {fmt.ohms(NAN), fmt.ohms(None), fmt.chance(NAN)}
    said |= {fmt.quantity(NAN, "mm"), fmt.day(np.datetime64("NaT"))}
    assert said == {fmt.NOT_KNOWN}


def test_an_interval_stands_behind_its_median() -> None:
    row = {"kg_mean": 99.0, "kg_p10": 8.12, "kg_p50": 12.31, "kg_p90": 17.0}
    assert fmt.interval(row, "kg", "kg") == "12.3 (8.12 to 17.0) kg"
    assert fmt.interval({"kg": {"p10": 0.0, "p50": 0.0, "p90": 0.0}}, "kg") == "0"
    share = {"p10": 0.01, "p50": 0.1, "p90": 0.2}
    assert fmt.interval(share, unit="%") == "10 % (1.0 % to 20 %)"


def test_days_are_iso() -> None:
    assert fmt.day(np.datetime64("1994-06-03T23:59:59")) == "1994-06-03"
