"""Tests of presentation.answers.bridge: words by hand, laws against the tables."""

from datetime import date

import pytest
from ships import current, fault, ship

import corrosion
from corrosion.presentation.answers.bridge import (
    against_limit,
    causes,
    fault_cards,
    gauged_below,
    last_gauging,
    ship_means,
    short_name,
    spared_words,
    zone_cards,
)
from corrosion.records.dates import as_written
from corrosion.records.ship import Gauging
from corrosion.results import Estimate

TODAY = date(2026, 1, 1)


def gauged(zone: str, day: str, mm: float, kind: str = "mean") -> Gauging:
    return Gauging(
        zone=zone,
        date=as_written(day),
        thickness=mm / 1e3,
        readings=5,
        kind="least" if kind == "least" else "mean",
    )


@pytest.fixture(scope="module")
def result() -> Estimate:
    zones = [zone.zone for zone in ship().zones]
    one = ship(
        faults=(
            current("A", "2025-01-01", "2025-02-01", 5.0),
            fault("B", "2025-11-01", amps=0.5, conductor="a", standing=True),
            fault("C", "2025-11-01", amps=2.0, conductor="a", standing=True),
        ),
        gaugings=(
            gauged(zones[0], "2018-05", 9.0),
            gauged(zones[0], "2022-05", 1.5),
            gauged(zones[0], "2023-05", 0.9, "least"),
        ),
    )
    return corrosion.estimate(one, samples=64, as_of=TODAY)


@pytest.mark.parametrize(
    ("mm", "words"),
    [
        (9.6, "9.6 mm in 2021, limit 9.8: already below"),
        (9.8, "9.8 mm in 2021, limit 9.8: none to spare"),
        (9.84, "9.8 mm in 2021, limit 9.8: none to spare"),
        (10.4, "10.4 mm in 2021, limit 9.8: 0.6 mm to spare"),
    ],
)
def test_a_gauging_is_held_against_the_limit_in_words(mm: float, words: str) -> None:
    assert against_limit(gauged("Z", "2021-06", mm), 9.8) == words


def test_a_zone_never_gauged_says_so() -> None:
    assert against_limit(None, 9.8) == "never gauged, limit 9.8 mm"


def test_a_name_loses_its_remarks() -> None:
    assert short_name("Side, aft (doubled 1999): wasted") == "Side, aft"


def test_the_last_mean_gauging_counts_and_not_a_later_least(result: Estimate) -> None:
    zone = result.ship.zones[0].zone
    found = last_gauging(result.ship, zone)
    assert found is not None
    assert found.thickness == pytest.approx(1.5e-3)
    assert last_gauging(result.ship, result.ship.zones[1].zone) is None


def test_cards_stand_in_the_order_of_the_table_with_its_numbers(
    result: Estimate,
) -> None:
    cards = zone_cards(result)
    assert [card.zone for card in cards] == result.zones["zone"].tolist()
    for card, chance in zip(cards, result.zones["chance_below_limit"], strict=True):
        assert card.chance == chance
        assert card.low_mm <= card.high_mm
    assert zone_cards(result, 2) == cards[:2]


def test_a_zone_gauged_below_its_limit_comes_with_that_reason(result: Estimate) -> None:
    card = {one.zone: one for one in zone_cards(result)}[result.ship.zones[0].zone]
    assert card.below
    assert card.reason == "gauged below its limit"
    assert card.gauged_mm == pytest.approx(1.5)


def test_zones_gauged_below_a_limit_are_told_of_records_alone() -> None:
    zones = ship().zones
    one = ship(
        gaugings=(
            gauged(zones[0].zone, "2022-05", 1.5),
            gauged(zones[1].zone, "2018-05", 1.2),
            gauged(zones[1].zone, "2022-05", 40.0),
        )
    )
    words = f"1.5 mm in 2022, limit {1e3 * zones[0].limit:.1f}: already below"
    assert gauged_below(one) == [(short_name(zones[0].name), words)]
    assert gauged_below(ship()) == []


def test_only_standing_faults_have_a_card_most_in_the_water_first(
    result: Estimate,
) -> None:
    cards = fault_cards(result)
    assert {card.fault for card in cards} == {"B", "C"}
    amps = [card.water_amps for card in cards]
    assert amps == sorted(amps, reverse=True)
    assert all(card.water_amps <= card.amps for card in cards)


def test_causes_add_up_to_what_is_gone(result: Estimate) -> None:
    found = {cause.key: cause.expected_kg for cause in causes(ship_means(result))}
    totals = result.totals
    assert sum(found.values()) == pytest.approx(totals["lost_kg"]["mean"])
    assert found["couple"] + found["faults"] == pytest.approx(
        totals["stray_kg"]["mean"]
    )
    natural = found["natural"] + found.get("inside", 0.0)
    spared = totals["protection_spared_kg"]["mean"] + totals["spared_kg"]["mean"]
    assert natural == pytest.approx(totals["natural_kg"]["mean"] - spared)
    said = spared_words({"protection_spared_kg": 38.0, "spared_kg": 15.0})
    assert said == "protection spared 38.0 kg, currents that enter spared 15.0 kg"
