"""Tests of estimate: what the job promises, assumptions, dates, errors."""

import json
from dataclasses import replace
from datetime import date
from pathlib import Path
from typing import Any

import numpy as np
import pytest
from published.printed import printed
from ships import AC, DC, ZONES, berth, current, fault, ship

import corrosion
from corrosion import Estimate, Ship
from corrosion.foundation.errors import InputError
from corrosion.records.dates import as_written
from corrosion.records.ship import Gauging, LampSet, Water

TODAY = date(2026, 1, 1)
DATA = Path(__file__).parents[1] / "data"
STATISTICS = {"mean", "p10", "p50", "p90"}


def run(one: Ship, samples: int = 128, as_of: date = TODAY, seed: int = 1) -> Estimate:
    return corrosion.estimate(one, samples=samples, seed=seed, as_of=as_of)


def only(result: Estimate) -> dict[str, Any]:
    (row,) = result.to_json()["faults"]
    return dict(row)


def left(result: Estimate) -> dict[str, Any]:
    return {row["zone"]: row["left_mm"] for row in result.to_json()["zones"]}


@pytest.fixture(scope="module")
def plover() -> Estimate:
    return run(corrosion.read_ship(DATA / "grey-plover"), 32, date(2026, 11, 25))


TWO_AMPERES = current(
    "X",
    "2020-01-02 10:00",
    "2020-01-06 14:00",
    2.0,
    returns="ashore",
    good="2020-01-02 10:00",
)


@pytest.mark.published(
    source="Faraday's law, iron(II) of 27.92 g a mole of electrons",
    where="2 A for 100 h",
    status="computed",
)
@pytest.mark.parametrize("seen", [0.9, 0.1, None])
@pytest.mark.parametrize(
    "one",
    [
        TWO_AMPERES,
        replace(TWO_AMPERES, last_good=None),
        fault(
            "X",
            "2020-01-02 10:00",
            "2020-01-06 14:00",
            system="battery",
            current="dc",
            conductor="+",
            amps=2.0,
            returns="ashore",
        ),
    ],
    ids=["checked", "switched on", "never checked before"],
)
def test_two_amperes_ashore_for_a_hundred_hours(one: Any, seen: float | None) -> None:
    zones = tuple(replace(z, bare=seen) for z in ZONES)
    # Lamps could have shown it: else a fault nobody checked for waits for a test.
    lit = replace(DC, lamps=LampSet(volts=110.0, watts=25.0))
    row = only(run(ship(systems=(AC, lit), faults=(one,), zones=zones), 256))
    assert row["charge_ah"]["p10"] < 200.0 < row["charge_ah"]["p90"]
    assert row["kg"]["p10"] < 0.208 < row["kg"]["p90"]
    assert row["ceiling_kg"]["p10"] < 0.208 < row["ceiling_kg"]["p90"]
    assert row["water_share"]["mean"] == pytest.approx(1.0, rel=1e-9)
    if one.last_good is not None:
        assert row["charge_ah"]["p50"] == pytest.approx(200.0, rel=2e-3)
        assert row["ceiling_kg"]["p50"] == pytest.approx(0.208, rel=3e-3)
        assert row["hours"]["mean"] == pytest.approx(100.0, rel=1e-3)
        assert row["kg"]["p50"] == pytest.approx(0.208, rel=0.01)


def test_a_conductor_ashore_keeps_most_of_it_out_of_the_water() -> None:
    quay = berth(None, None, "shore earthed", earth_cable=0.05, shore_earth=1.0)
    isolator = replace(quay, galvanic_isolator=True)
    spared, opened = (
        only(run(ship(faults=(TWO_AMPERES,), berths=(b,)))) for b in (quay, isolator)
    )
    assert spared["water_share"]["mean"] < 0.1
    assert spared["kg"]["mean"] < 0.1 * spared["ceiling_kg"]["mean"]
    little = replace(TWO_AMPERES, readings=replace(TWO_AMPERES.readings, amps=0.02))
    stopped = only(run(ship(faults=(little,), berths=(isolator,))))
    assert stopped["water_share"]["mean"] == pytest.approx(1.0, rel=1e-3)
    # two amperes across some ohms of shore earth are past an isolator's threshold
    assert spared["water_share"]["mean"] < opened["water_share"]["mean"] < 0.9


def test_an_alternating_current_that_returns_aboard_is_far_below_its_ceiling() -> None:
    leak = fault(
        "A", "2020-01-02", "2021-01-06", conductor="a", insulation=50.0, good="2020"
    )
    row = only(run(ship(faults=(leak,))))
    assert row["ceiling_kg"]["mean"] > 1.0
    assert row["kg"]["mean"] < 0.01 * row["ceiling_kg"]["mean"]
    assert row["kg"]["mean"] > 0.0
    assert row["water_share"]["mean"] < 0.01


def test_carries_every_key_of_the_interface(plover: Estimate) -> None:
    found = json.loads(json.dumps(plover.to_json(), allow_nan=False))
    assert set(found) >= {
        "ship",
        "as_of",
        "horizon",
        "samples",
        "seed",
        "warnings",
        "totals",
        "zones",
        "faults",
    }
    totals = ("stray_kg", "natural_kg", "ceiling_kg", "charge_ah", "water_share")
    assert all(set(found["totals"][name]) == STATISTICS for name in totals)
    summed_zone = (
        "stray_kg",
        "natural_kg",
        "bare_loss_mm",
        "stray_mm",
        "deepest_mm",
        "left_mm",
        "left_under_pit_mm",
        "ceiling_kg",
    )
    plain_zone = (
        "zone",
        "rank",
        "priority",
        "chance_below_limit",
        "inspect_by",
        "leading_fault",
        "leading_cause",
    )
    for row in found["zones"]:
        assert set(row) >= {*summed_zone, *plain_zone}
        assert all(set(row[name]) == STATISTICS for name in summed_zone)
        assert row["leading_cause"] in {
            "faults",
            "inside",
            "natural",
            "own metals",
            "shore couple",
            "unexplained",
        }
        if row["inspect_by"] is not None:
            assert date.fromisoformat(row["inspect_by"]) >= plover.as_of
    summed = (
        "hours",
        "resistance_ohm",
        "amps",
        "water_share",
        "charge_ah",
        "kg",
        "ceiling_kg",
    )
    for row in found["faults"]:
        assert set(row) >= {*summed, "fault", "zone", "current", "standing"}
        assert all(set(row[name]) == STATISTICS for name in summed)
        assert row["current"] in {"ac", "dc"}
        assert row["standing"] in {True, False}


def test_says_what_it_was_asked(plover: Estimate) -> None:
    found = plover.to_json()
    assert found["ship"] == "Grey Plover"
    assert (found["samples"], found["seed"]) == (32, 1)
    assert (found["as_of"], found["horizon"]) == ("2026-11-25", "2028-05-01")
    assert found["warnings"]


def test_ranks_every_zone_once_by_urgency(plover: Estimate) -> None:
    zones = plover.zones
    assert zones["rank"].tolist() == list(range(1, len(plover.ship.zones) + 1))
    assert set(zones["zone"]) == {z.zone for z in plover.ship.zones}
    urgency = zones["chance_in_first"] * zones["consequence"]
    assert urgency.is_monotonic_decreasing
    assert zones["chance_below_limit"].between(0.0, 1.0).all()
    expected = zones["chance_below_limit"] * zones["consequence"]
    assert zones["priority"].tolist() == pytest.approx(expected.tolist())


def test_quantiles_are_in_order(plover: Estimate) -> None:
    for table in (plover.zones, plover.faults):
        columns = [str(column) for column in table.columns]
        for name in [c.removesuffix("_p10") for c in columns if c.endswith("_p10")]:
            low, middle, high = (table[f"{name}_{q}"] for q in ("p10", "p50", "p90"))
            assert ((low <= middle) & (middle <= high) | low.isna()).all(), name


def test_what_is_left_is_what_was_built_less_what_was_lost() -> None:
    result = run(ship(faults=(TWO_AMPERES,)))
    for k, row in enumerate(result.ship.zones):
        history, area = result.history, result.inputs.hull.body.area[k]
        lost = history.natural_kg + history.stray_kg + history.unexplained_kg
        lost = lost[:, k] / area / 7.87  # mm of steel
        rolled = result.inputs.zones.rolled[:, k]
        expected = (10.0 * rolled - lost).mean()
        assert left(result)[row.zone]["mean"] == pytest.approx(expected, rel=1e-3)


def test_more_samples_move_the_mean_little() -> None:
    one = ship(faults=(TWO_AMPERES,))
    few, many = run(one, 256), run(one, 2048)
    means = [each.totals["stray_kg"]["mean"] for each in (few, many)]
    assert means[0] == pytest.approx(means[1], rel=0.02)
    # natural loss has long tails (inner faces, causes that no record names), which no
    # even spread of the draws makes shorter: two standard errors of the few
    fewer, more = (each.history.natural_kg.sum(axis=1) for each in (few, many))
    error = float(fewer.std() / np.sqrt(fewer.size))
    assert float(fewer.mean()) == pytest.approx(float(more.mean()), abs=2.0 * error)
    assert error < 0.06 * more.mean()


@pytest.mark.parametrize("samples", [1, 3, 100])
def test_any_number_of_samples_will_do(samples: int) -> None:
    result = run(ship(faults=(TWO_AMPERES,)), samples)
    assert result.samples == samples
    json.dumps(result.to_json(), allow_nan=False)


def test_a_gauging_teaches() -> None:
    gauging = Gauging(
        zone="FP",
        date=as_written("2024-05"),
        thickness=0.0091,
        readings=20,
        surface="prepared",
    )
    zones = (left(run(one)) for one in (ship(gaugings=(gauging,)), ship()))
    taught, plain = (each["FP"] for each in zones)
    assert taught["p90"] - taught["p10"] < plain["p90"] - plain["p10"]
    assert abs(taught["mean"] - 9.0) < abs(plain["mean"] - 9.0)


def test_a_model_out_of_its_range_is_said_and_no_stray_warning_escapes() -> None:
    hot = ship(water=Water(salinity=35.0, temperature=41.0))
    words = run(hot).warnings
    assert any("41" in each for each in words)


def test_today_is_taken_where_no_date_is_given() -> None:
    result = corrosion.estimate(ship(), samples=8)
    assert result.as_of == date.today()  # noqa: DTZ011 - ship's time carries no zone


@pytest.mark.parametrize(
    ("one", "as_of", "match"),
    [
        (ship(), date(1999, 5, 1), r"must lie after the ship was built \(2000-01-01\)"),
        (ship(zones=()), TODAY, "zone"),
        (ship(water=Water()), TODAY, r"\[water\]: needs resistivity_ohm_m"),
    ],
)
def test_refuses_what_cannot_be_estimated(one: Ship, as_of: date, match: str) -> None:
    with pytest.raises(InputError, match=match):
        run(one, as_of=as_of)


def test_a_loss_in_kilograms_is_faradays() -> None:
    # The check value of the job, printed to three digits.
    row = only(run(ship(faults=(TWO_AMPERES,)), 1024))
    assert row["ceiling_kg"]["p50"] == printed("0.208")
