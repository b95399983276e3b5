"""The date of an estimate: what was known then, and how far it looks ahead."""

from dataclasses import replace
from datetime import date
from typing import Any

import numpy as np
import pytest
from ships import berth, current, fault, ship, zone

import corrosion
from corrosion import Estimate, Ship
from corrosion.foundation.units import YEAR
from corrosion.history.time_grid import time_grid_of
from corrosion.records.as_of import records_as_of
from corrosion.records.dates import as_written, day_of
from corrosion.records.ship import Gauging

TODAY = date(2026, 1, 1)


def run(one: Ship, samples: int = 128, as_of: date = TODAY, seed: int = 1) -> Estimate:
    return corrosion.estimate(one, samples=samples, seed=seed, as_of=as_of)


def only(result: Estimate) -> dict[str, Any]:
    (row,) = result.to_json()["faults"]
    return dict(row)


TWO_AMPERES = current(
    "X",
    "2020-01-02 10:00",
    "2020-01-06 14:00",
    2.0,
    returns="ashore",
    good="2020-01-02 10:00",
)


def test_later_entries_are_left_out_and_said() -> None:
    gauging = Gauging(zone="FP", date=as_written("2022-05"), thickness=0.0095)
    one = ship(
        faults=(TWO_AMPERES, current("Y", "2023-05", "2023-06", 3.0)),
        gaugings=(gauging,),
    )
    early = run(one, as_of=date(2021, 1, 1))
    assert early.faults["fault"].tolist() == ["X"]
    assert early.ship.gaugings == ()
    assert "1 of the faults lie after 2021-01-01 and are left out" in early.warnings
    assert "1 of the gaugings lie after 2021-01-01 and are left out" in early.warnings
    bare = ship(faults=(TWO_AMPERES,))
    assert early.totals == run(bare, as_of=date(2021, 1, 1)).totals
    late = run(one)
    assert late.faults["fault"].tolist() == ["X", "Y"]
    assert not any("left out" in words for words in late.warnings)


def test_before_all_records_nothing_is_known_of_them() -> None:
    early = run(ship(faults=(TWO_AMPERES,)), as_of=date(2005, 6, 1))
    assert len(early.faults) == 0
    assert early.totals["charge_ah"]["mean"] == 0.0
    assert early.totals["natural_kg"]["mean"] > 0.0


def test_a_fault_stands_until_it_is_cleared_whatever_was_written_later() -> None:
    one = ship(faults=(TWO_AMPERES,))
    known, words = records_as_of(one, date(2020, 1, 4))
    assert known.faults[0].cleared is None
    assert not any("fault" in one for one in words)
    on_the_day, _ = records_as_of(one, date(2020, 1, 6))
    assert on_the_day.faults[0].cleared == TWO_AMPERES.cleared
    row = only(run(one, as_of=date(2020, 1, 4)))
    assert row["standing"] is True
    assert row["hours"]["p50"] == pytest.approx(62.0, abs=0.1)  # to the end of that day


def test_what_is_written_of_a_year_had_come_about_on_the_day() -> None:
    day = date(2026, 2, 1)
    one = ship(
        faults=(fault("T", "2026", "2026", conductor="a", insulation=60.0),),
        gaugings=(Gauging(zone="FP", date=as_written("2026"), thickness=0.0095),),
        berths=(berth("2020", "2026"),),
        last_docking=as_written("2026"),
    )
    known, words = records_as_of(one, day)
    (row,), (gauging,), (lying,) = known.faults, known.gaugings, known.berths
    for whole in (row.found, row.cleared, gauging.date, lying.end, known.last_docking):
        assert whole is not None
        assert whole.text == "2026"
        assert whole.earliest == as_written("2026").earliest
        assert whole.latest == as_written("2026-02-02").earliest
    assert words == []
    assert records_as_of(one, date(2027, 1, 1))[0] == one
    result = run(replace(one, faults=(replace(row, cleared=None),)), as_of=day)
    assert (
        result.inputs.faults.spans.found <= result.inputs.time_grid.as_of + 1.0
    ).all()
    assert only(result)["hours"]["p10"] > 0.0  # it began before it was found


def test_loss_grows_with_the_date() -> None:
    one = ship(faults=(TWO_AMPERES,))
    days = (date(2010, 1, 1), date(2019, 12, 31), date(2021, 1, 1), TODAY)
    results = [run(one, as_of=day) for day in days]
    natural = [r.totals["natural_kg"]["mean"] for r in results]
    assert natural == sorted(natural)
    stray = [r.totals["stray_kg"]["mean"] for r in results]
    assert stray[:2] == [0.0, 0.0]
    assert stray[2] == pytest.approx(stray[3], rel=1e-3)


def test_the_horizon_is_the_next_docking_or_five_years() -> None:
    clock = time_grid_of(ship(), TODAY)
    assert day_of(clock.horizon) == date(2027, 6, 1)
    blank = time_grid_of(ship(next_docking=None), TODAY)
    assert blank.horizon - blank.as_of == 5.0 * YEAR
    past = time_grid_of(ship(next_docking=as_written("2020")), TODAY)
    assert past.horizon == past.as_of
    for one in (clock, blank, past):
        assert (np.diff(one.moments) > 0.0).all()
        assert {one.as_of, one.horizon} <= set(one.moments.tolist())
        assert one.moments[0] >= one.start


def test_moments_cover_her_life_and_no_gauging_moves_them() -> None:
    gauging = Gauging(zone="FP", date=as_written("2008"), thickness=0.0095)
    clock = time_grid_of(ship(faults=(TWO_AMPERES,), gaugings=(gauging,)), TODAY)
    bare = time_grid_of(ship(faults=(TWO_AMPERES,)), TODAY)
    assert np.array_equal(clock.moments, bare.moments)
    assert np.abs(clock.moments - TWO_AMPERES.found.middle).min() <= 1.0
    before = clock.moments[clock.moments <= TWO_AMPERES.found.middle + 1.0]
    life = TWO_AMPERES.found.middle - clock.start
    assert (np.diff(before) <= life / 5.0 + 1.0).all()
    assert (np.diff(clock.moments[len(before) - 1 : len(before) + 18]) < YEAR).all()


def test_she_lies_at_the_berth_and_under_the_paint_of_the_day() -> None:
    zones = (
        zone("FP", (0, 24), "port", bare_seen=as_written("2022"), painted=None),
        zone("FS", (0, 24), "starboard", painted=as_written("2023")),
    )
    berths = (berth("2010", "2021-05"), berth("2021-05", None, "shore earthed"))
    one = ship(zones=zones, berths=berths, systems=())
    known, words = records_as_of(one, date(2020, 1, 4))
    assert [b.end for b in known.berths] == [None]
    assert known.berths[0].supply == "own"
    assert known.zones[0].bare is None
    assert known.zones[1].painted is None
    assert len(words) == 2
    assert "berths" in words[0]
    docked = replace(one, last_docking=as_written("2022-03"))
    assert records_as_of(docked, date(2020, 1, 4))[0].last_docking is None
    assert records_as_of(docked, date(2026, 1, 1))[0].last_docking is not None
    now, words = records_as_of(one, date(2026, 1, 1))
    assert now == one
    assert words == []
