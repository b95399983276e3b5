"""Ships at the edge of what a record can say: an answer, and every number of it."""

import json
from collections.abc import Iterator
from dataclasses import replace
from datetime import date
from typing import Any

import numpy as np
import pytest
from ships import AC, DC, ZONES, berth, current, fault, ship

import corrosion
from corrosion.presentation.answers.history import (
    calibrated_thickness,
    gaugings,
    loss_by_year,
)
from corrosion.presentation.answers.hull import hull_result
from corrosion.presentation.answers.hunt import hunt_result
from corrosion.presentation.answers.isolation import (
    MeasureChoice,
    chosen_measures,
    isolation_result,
    measure_savings,
)
from corrosion.presentation.answers.leakage import leakage_of_estimate
from corrosion.presentation.answers.plan import gauging_plan
from corrosion.records.dates import as_written
from corrosion.records.ship import Gauging, LampSet, Ship
from corrosion.results import Estimate

TODAY = date(2026, 1, 1)
LEAK = fault("A", "2019-05", "2020-06", conductor="a", insulation=60.0, circuit="L1")
ASHORE = current("W", "2021-01-02", "2021-02-06", 4.0, zone="AP", returns="ashore")
QUAY = berth("2018-03", None, "shore earthed", earth_cable=0.1)
SPARED = replace(QUAY, galvanic_isolator=True)
LIT = replace(DC, lamps=LampSet(volts=110.0, watts=25.0), fed_from_shore=True)
DIRECT: Any = {"system": "battery", "current": "dc"}
LOG: Any = {"faults": (LEAK, ASHORE), "berths": (QUAY,)}


def zones(**facts: Any) -> Any:
    return tuple(replace(row, **facts) for row in ZONES)


INSIDE = zones(exposure="bilge", bond=None, bonded_to=None, area=5.0)
ONLY = (replace(ZONES[3], cable_share=0.0),)
SHIPS = {
    "no faults": ship(),
    "no berths": ship(faults=(LEAK, ASHORE), berths=()),
    "no systems": ship(faults=(ASHORE,), systems=()),
    "one zone": ship(
        **LOG | {"zones": ONLY, "faults": (replace(ASHORE, zone=None),), "systems": ()}
    ),
    "all inside": ship(**LOG, zones=INSIDE),
    "all inside, isolated": ship(**LOG | {"berths": (SPARED,)}, zones=INSIDE),
    "dry dock": ship(**LOG | {"berths": (replace(QUAY, start=None, lies="dock"),)}),
    "no bare steel": ship(**LOG, zones=zones(bare=0.0)),
    "no paint": ship(**LOG, zones=zones(bare=1.0)),
    "no cables": ship(**LOG, zones=zones(cable_share=0.0)),
    "no plate left": ship(
        **LOG, zones=zones(built=0.0005, limit=0.0004, pit_limit=0.0002, bare=1.0)
    ),
    "found today": ship(faults=(fault("T", "2026-01-01", circuit="L1"),)),
    "found this year": ship(faults=(fault("T", "2026", circuit="L1"),)),
    "lamps on direct current": ship(
        faults=(fault("T", "2024-05", conductor="+", insulation=90.0, **DIRECT),),
        systems=(AC, LIT),
        berths=(QUAY,),
    ),
    "single phase": ship(faults=(LEAK,), systems=(replace(AC, kind="ac1"),)),
    "gauged today": ship(
        **LOG,
        gaugings=(Gauging(zone="FP", date=as_written("2026"), thickness=0.0095),),
    ),
}


def numbers(found: Any) -> Iterator[float]:
    if isinstance(found, dict):
        found = list(found.values())
    if isinstance(found, list | tuple):
        for each in found:
            yield from numbers(each)
    elif isinstance(found, float):
        yield found


def run(one: Ship, samples: int = 24) -> Estimate:
    return corrosion.estimate(one, samples=samples, as_of=TODAY)


@pytest.mark.parametrize("samples", [1, 24])
@pytest.mark.parametrize("name", sorted(SHIPS))
def test_every_answer_is_given_and_is_a_number(name: str, samples: int) -> None:
    one = SHIPS[name]
    result = run(one, samples)
    everything = MeasureChoice(
        transformers=True,
        isolators=True,
        alarm_ohm=1e3,
        painted=one.zones[0].zone,
        paint_date="2024",
    )
    answers = [
        result.to_json(),
        leakage_of_estimate(result),
        hull_result(one, samples=samples, as_of=TODAY),
        gauging_plan(result, hours=30.0, access=["inside", "diver", "dock"]),
        isolation_result(result, [4.0]),
        measure_savings(result, chosen_measures(everything, result.ship)),
    ]
    for answer in answers:
        assert json.dumps(answer)
        assert np.isfinite(list(numbers(answer))).all()
    for table in (
        gaugings(result),
        calibrated_thickness(result),
        loss_by_year(result, most=3),
    ):
        assert not table.isna().to_numpy().any()
    whole = result.zones[["stray_kg_mean", "natural_kg_mean"]].to_numpy()
    assert (whole.sum(axis=1) >= 0.0).all()


def test_nothing_crosses_where_no_zone_conducts_into_the_sea() -> None:
    for name in ("all inside", "all inside, isolated", "dry dock"):
        result = run(SHIPS[name])
        assert result.totals["stray_kg"]["mean"] == 0.0
        assert result.totals["water_share"]["mean"] == 0.0
        assert result.totals["ceiling_kg"]["mean"] > 0.0


@pytest.mark.parametrize("name", ["found today", "found this year"])
def test_a_fault_of_the_day_counts_in_log_and_durations(name: str) -> None:
    sheet = hunt_result(SHIPS[name], "power", lies="alongside", as_of=TODAY)
    assert {row["circuit"] for row in sheet["order"]} == {None, "L1"}
    known = sheet["notes"][0]
    assert known.startswith("Chances from the log of 'power'; 0 of 1")
    curve = isolation_result(run(SHIPS[name]), [4.0])["durations"]
    assert curve["median_hours"] is None
    assert "1 still stand" in curve["note"]
