"""Tests of presentation.sentences: numbers as people read them, and the answer."""

from dataclasses import replace
from datetime import date

import pytest
from hypothesis import given
from hypothesis import strategies as st
from ships import ZONES, berth, current, ship

import corrosion
from corrosion import Estimate, Ship
from corrosion.presentation.sentences import (
    CAUTIONS,
    answer,
    number,
    percent,
    spread,
    totals_sentence,
)
from corrosion.records.ship import Prices

TODAY = date(2026, 1, 1)


@pytest.mark.parametrize(
    ("value", "text"),
    [
        (0.0, "0"),
        (-0.0, "0"),
        (1.0, "1.00"),
        (9.999, "10.0"),
        (0.09996, "0.100"),
        (999.6, "1000"),
        (1234.5, "1230"),
        (-0.01234, "-0.0123"),
        (1.23456e-5, "0.0000123"),
        (1.23456e-6, "1.23e-06"),
        (9.996e6, "1.00e+07"),
        (9.994e6, "9990000"),
        (1e-300, "1.00e-300"),
        (None, "not known"),
        (float("nan"), "not known"),
        (float("inf"), "not known"),
    ],
)
def test_a_number_has_three_significant_digits(value: float | None, text: str) -> None:
    assert number(value) == text


@given(value=st.floats(1e-12, 1e12), digits=st.integers(1, 6))
def test_a_number_reads_back_within_its_digits(value: float, digits: int) -> None:
    read = float(number(value, digits))
    assert read == pytest.approx(value, rel=0.5001 * 10.0 ** (1 - digits))
    assert float(number(-value, digits)) == -read


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


@given(share=st.floats(0.0, 1.0, exclude_min=True, exclude_max=True))
def test_only_nothing_is_nothing_and_only_all_is_all(share: float) -> None:
    assert percent(share) not in ("0 %", "100 %")


def test_a_spread_names_its_interval() -> None:
    row = {"kg_mean": 12.31, "kg_p10": 8.12, "kg_p90": 17.0}
    assert spread(row, "kg") == "12.3 (8.12 to 17.0)"


def run(one: Ship, as_of: date = TODAY) -> Estimate:
    return corrosion.estimate(one, samples=32, seed=1, as_of=as_of)


def worn(limit: float) -> Ship:
    thin = replace(ZONES[0], limit=limit, pit_limit=1e-3)
    return ship(
        zones=(
            thin,
            *(replace(z, limit=1e-3, pit_limit=1e-3, bare=0.01) for z in ZONES[1:]),
        )
    )


def test_the_answer_is_where_to_look_first_and_why() -> None:
    said = answer(run(worn(0.00999)))
    assert said.startswith("Gauge FP (invented FP, frames 0 to 24) now: 100 % chance")
    assert "most of its loss is natural corrosion" in said
    assert "Stray currents took nothing from the hull." in said


def test_the_answer_gives_a_day_where_there_is_one() -> None:
    one = worn(0.0093)  # a nuisance: half the chance is tolerated
    zones = (replace(one.zones[0], consequence=1), *one.zones[1:])
    result = run(replace(one, zones=zones))
    due = result.zones.iloc[0]["inspect_by"]
    assert due > "2026-01-01"
    assert f"by {due}: " in answer(result)


def test_the_answer_says_where_no_zone_falls_below_its_limit() -> None:
    said = answer(run(worn(1e-3)))
    assert "no zone falls below its limit by 2027-06-01" in said
    assert "the most wasted is" in said


def test_the_answer_names_the_couple() -> None:
    quay = berth(
        "2001",
        None,
        "shore earthed",
        earth_cable=0.02,
        shore_earth=0.05,
        earth_couple=0.9,
    )
    one = replace(worn(0.0095), berths=(quay,))
    said = answer(run(one))
    assert "most of its loss is the couple with the earthed shore supply" in said
    assert "100 % comes from the couple" in said


def test_totals_stand_beside_their_ceiling() -> None:
    result = run(ship(faults=(current("W", "2020", "2021", 4.0),)))
    said = totals_sentence(result)
    assert said.startswith("Up to 2026-01-01, stray currents took ")
    assert spread(result.totals["ceiling_kg"]) in said
    assert spread(result.totals["natural_kg"]) in said
    assert "worth" not in said
    steel = result.totals["stray_kg"]
    money = {name: 3.0 * value for name, value in steel.items()}
    priced = replace(result, ship=replace(result.ship, prices=Prices(steel_per_kg=3.0)))
    assert f"worth {spread(money)} at her price of steel" in totals_sentence(priced)


def test_cautions_defer_to_those_responsible() -> None:
    together = " ".join(CAUTIONS)
    for word in (
        "neither a gauging nor the class surveyor",
        "licensed electricians",
        "lock out and tag out",
        "local codes",
        "the yard",
    ):
        assert word in together
