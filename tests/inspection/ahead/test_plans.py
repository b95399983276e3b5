"""Tests of planned berths and works: what they take ahead, folder in and JSON out.

Steel that was blasted bare when she was built, no faults, every spread one: what it
loses is the difference of two points of a curve of EN 1993-5 (sea 0.25, 0.90 and
1.75 mm, fresh water 0.55 and 0.90 mm at 5, 25 and 50 years), worked by hand.
"""

from dataclasses import replace
from datetime import date
from pathlib import Path
from typing import Any

import numpy as np
import pytest
from records.written import write_ship
from ships import berth, fault, ship, zone

from corrosion import Estimate, estimate
from corrosion.foundation.assumptions import default_assumptions
from corrosion.foundation.units import MM
from corrosion.records import read_ship
from corrosion.records.as_of import records_as_of
from corrosion.records.dates import as_written
from corrosion.records.measured import Gauging
from corrosion.records.ship import Ship
from corrosion.records.upkeep import Work

DAY = date(2026, 1, 1)
MOVES, DOCKS = "2028-01-01", "2036-01-01"
_SURE = (
    "natural_factor",
    "natural_factor_zone",
    "natural_factor_air",
    "natural_wander",
    "natural_spread_factor",
    "rolling_factor",
    "pitting_factor",
    "bare_factor",
    "bare_factor_zone",
)


def bare_ship(**more: Any) -> Ship:
    table = default_assumptions()
    for name in _SURE:
        table = table.override(name, median=1.0, spread=1.0, why="sure, for a test")
    for name, value in (("pit_gumbel_scale", 2e-3), ("unrecorded_share", 5e-4)):
        table = table.override(name, median=value, spread=1.0, why="none, for a test")
    one = zone(
        "FP", (0, 24), "port", bare=None, bare_seen=None, painted=None, limit=0.0088
    )
    one = replace(one, inside="void", inside_bare=0.0, pit_limit=0.001)
    blasted = Work(date=as_written("2000-01-01"), zone="FP", work="painted", bare=1.0)
    facts: dict[str, Any] = {
        "zones": (one,),
        "systems": (),
        "assumptions": table,
        "next_docking": as_written(DOCKS),
        "berths": (berth("2000-01-01", None),),
    }
    facts |= more
    return ship(**(facts | {"works": (blasted, *facts.get("works", ()))}))


def lies(**more: Any) -> tuple[Any, ...]:
    """Return berths: as she lies until the plan, then as the plan says."""
    return berth("2000-01-01", MOVES), berth(MOVES, None, **more)


def work(kind: Any, when: str, **more: Any) -> Work:
    return Work(date=as_written(when), zone="FP", work=kind, **more)


def by_folder(one: Ship, folder: Path) -> tuple[Estimate, dict[str, Any]]:
    write_ship(one, folder)
    result = estimate(folder, samples=16, as_of=DAY)
    (row,) = result.to_json()["zones"]
    return result, row


def lost_mm(result: Estimate, moment: float) -> float:
    at = int(np.searchsorted(result.history.moments, moment))
    return float(np.median(result.history.mean[:, at, 0])) / MM


SEA = 0.85 / 25  # mm a year, from the 25th year on
FRESH = 0.35 / 25
AIR = 0.523 * 20**-0.477  # of the first year's, a year, from the 20th year on


@pytest.mark.parametrize(
    ("berths", "a_year"),
    [
        ((berth("2000-01-01", None),), SEA),
        (lies(salinity=0.1, temperature=10.0), FRESH),
        (lies(lies="dock"), None),
    ],
)
def test_a_planned_berth_takes_what_such_a_berth_takes(
    tmp_path: Path, berths: tuple[Any, ...], a_year: float | None
) -> None:
    """Two years in the sea as today, and eight as planned."""
    result, row = by_folder(bare_ship(berths=berths), tmp_path / "ship")
    grid = result.inputs.time_grid
    if a_year is None:
        a_year = AIR * result.ship.assumptions.value("dry_first_year_mm")
    assert row["left_mm"]["p50"] == pytest.approx(10.0 - 0.9 - SEA, abs=1e-3)
    ahead = 2.0 * SEA + 8.0 * a_year
    assert lost_mm(result, grid.horizon) == pytest.approx(0.9 + SEA + ahead, abs=1e-3)
    # 0.934 mm are gone; 8.8 mm are the limit: in the sea alone it is passed
    assert row["chance_below_limit"] == (1.0 if a_year == SEA else 0.0)


def test_a_planned_painting_stops_it_and_moves_nothing_before(tmp_path: Path) -> None:
    """Paint that leaves nothing bare fails on 3 % in eight years: below 0.01 mm."""
    base, row = by_folder(bare_ship(), tmp_path / "base")
    plan = bare_ship(works=(work("painted", MOVES, bare=0.0),))
    result, painted = by_folder(plan, tmp_path / "plan")
    assert painted["left_mm"] == row["left_mm"]
    assert result.totals == base.totals
    until = 0.9 + SEA + 2.0 * SEA
    assert until <= lost_mm(result, result.inputs.time_grid.horizon) <= until + 0.01
    assert (row["chance_below_limit"], painted["chance_below_limit"]) == (1.0, 0.0)


def test_a_planned_renewal_begins_anew(tmp_path: Path) -> None:
    """A bare plate of 11 mm at six years: 0.25 mm and one year of 0.65 mm in 20."""
    plan = bare_ship(works=(work("renewed", "2030-01-01", thickness=0.011, bare=1.0),))
    result, row = by_folder(plan, tmp_path / "plan")
    new = 0.25 + 0.65 / 20
    then = result.inputs.time_grid.horizon
    assert lost_mm(result, then) == pytest.approx(new - 1.0, abs=2e-3)
    before = as_written("2030-01-01").middle
    assert lost_mm(result, before) == pytest.approx(0.9 + 5.0 * SEA, abs=1e-3)
    assert row["chance_below_limit"] == 0.0


def test_after_the_last_planned_berth_she_lies_as_today(tmp_path: Path) -> None:
    berths = (berth("2000-01-01", MOVES), berth(MOVES, "2030-01-01", lies="dock"))
    result, _ = by_folder(bare_ship(berths=berths), tmp_path / "ship")
    docked = 2.0 * AIR * result.ship.assumptions.value("dry_first_year_mm")
    expected = 0.9 + 9.0 * SEA + docked
    then = result.inputs.time_grid.horizon
    assert lost_mm(result, then) == pytest.approx(expected, abs=1e-3)
    assert "1 of the berths lie after 2026-01-01 and are taken as planned" in (
        result.warnings
    )
    assert any("taken to lie as on 2026-01-01" in words for words in result.warnings)


def test_who_comes_and_goes_does_so_ahead(tmp_path: Path) -> None:
    """Half of each year up a river since 2016: half of each of ten years ahead."""
    fresh = {"salinity": 0.1, "temperature": 10.0}
    stays = [berth("2000-01-01", "2016-01-01")]
    for year in range(2016, 2026):
        stays.append(berth(f"{year}-01-01", f"{year}-07-01"))
        end = f"{year + 1}-01-01" if year < 2025 else None
        stays.append(berth(f"{year}-07-01", end, **fresh))
    result, row = by_folder(bare_ship(berths=tuple(stays)), tmp_path / "ship")
    grid = result.inputs.time_grid
    ahead = lost_mm(result, grid.horizon) - lost_mm(result, grid.as_of)
    assert ahead == pytest.approx(5.0 * (SEA + FRESH), abs=5e-3)
    # up the river for good 0.14 mm would go, in the sea for good 0.34
    left = row["left_mm"]["p50"]
    assert left - ahead > 8.8
    assert row["chance_below_limit"] == 0.0


def test_a_day_looked_back_upon_knows_no_plan() -> None:
    """A fault found in 2027 was not known in 2026, and nor was the berth of 2028."""
    one = bare_ship(berths=lies(lies="dock"), works=(work("painted", "2029-05"),))
    known, _ = records_as_of(one, DAY)
    assert (len(known.berths), len(known.works)) == (2, 2)
    later = replace(one, faults=(fault("X", "2027-05-01", "2027-05-02"),))
    known, words = records_as_of(later, DAY)
    assert (len(known.berths), len(known.works)) == (1, 1)
    assert known.berths[0].end is None
    assert "1 of the works lie after 2026-01-01 and are left out" in words


GAUGED = tuple(
    Gauging(
        zone="FP",
        date=as_written(day),
        thickness=mm * MM,
        readings=30,
        surface="prepared",
    )
    for day, mm in (("2012-05", 9.4), ("2018-05", 8.8), ("2025-05", 8.1))
)


def gauged(works: tuple[Work, ...], gaugings: tuple[Gauging, ...]) -> Estimate:
    wide = ship(works=works, gaugings=gaugings, next_docking=as_written(DOCKS))
    return estimate(wide, samples=256, as_of=DAY)


def test_gaugings_of_an_old_plate_tell_the_rate_of_the_new_one() -> None:
    """Three gaugings lie on 0.1 mm a year: a plate of 2027 loses a like rate."""
    plan = gauged((work("renewed", "2027-01-01", bare=0.2),), GAUGED)
    stay = gauged((), GAUGED)
    assert np.array_equal(plan.outlook.left, stay.outlook.left)
    k = plan.ship.zone_index("FP")
    left = np.median(plan.outlook.left_ahead[:, k]) / MM
    assert np.median(stay.outlook.left_ahead[:, k]) / MM < 7.7
    assert 8.3 < left < 9.75
    fan = plan.outlook.fan[1, :, k] / MM
    day = int(np.searchsorted(plan.history.moments, as_written("2027-01-01").middle))
    assert fan[day - 1] < 8.1
    assert fan[day + 1] == pytest.approx(10.0, abs=0.2)


def test_a_plate_renewed_thicker_is_told_by_its_own_gaugings() -> None:
    """12 mm since 2011: gauged at 11.4, 10.8 and 10.1 it stands there, not below."""
    thick = tuple(replace(g, thickness=g.thickness + 2.0 * MM) for g in GAUGED)
    result = gauged((work("renewed", "2011-05", thickness=0.012, bare=0.2),), thick)
    k = result.ship.zone_index("FP")
    left = result.outlook.left[:, k] / MM
    assert np.median(left) == pytest.approx(10.1, abs=0.25)
    assert (result.calibration.wrong < 0.5).all()


def test_planned_anodes_take_over_from_spent_ones() -> None:
    """The ferry's zincs are spent by 2029; renewed every other year they spare steel.

    Her wetted steel, where she writes no protection current; nothing of the past moves.
    """
    ferry = read_ship("data/saltmarsh")
    zones = tuple(replace(z, protection=0.0) for z in ferry.zones)
    ferry = replace(ferry, zones=zones, faults=(), next_docking=as_written("2037-04"))
    renewed = tuple(
        Work(date=as_written(f"{year}-04"), zone="all", work="anodes renewed")
        for year in range(2027, 2037, 2)
    )
    plan = replace(ferry, works=(*ferry.works, *renewed))
    stay, ahead = (
        estimate(one, samples=16, as_of="2026-11-26").outlook for one in (ferry, plan)
    )
    assert np.array_equal(stay.left, ahead.left)
    kept = (ahead.left_ahead - stay.left_ahead).mean(axis=0) / MM
    steel = [z.exposure == "immersed" and z.metal == "steel" for z in ferry.zones]
    assert kept[steel].min() > 0.03
    assert kept.min() > -1e-4  # at earthed quays, again, more zinc drives more current
