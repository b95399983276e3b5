"""Where the current of a welding set goes back, from the ship folder to the metal.

A return clamp beside the work leaves the water alone; the first edition spread every
return over the ship's cables and booked kilograms for it.
"""

from datetime import date
from pathlib import Path
from typing import Any

import pytest
from records.written import write_ship
from ships import current, ship

import corrosion
from corrosion import Estimate, read_ship

AT = "2021-03-01 08:00", "2021-03-03 08:00"


def run(folder: Path, **more: Any) -> Estimate:
    facts = {"source": "welding", "returns": "aboard", "zone": "FP"} | more
    rows = (current("W", *AT, 150.0, **facts),)
    write_ship(ship(faults=rows, systems=()), folder)
    return corrosion.estimate(read_ship(folder), samples=64, as_of=date(2026, 1, 1))


def kg(result: Estimate) -> float:
    (row,) = result.to_json()["faults"]
    return float(row["kg"]["mean"])


def test_a_clamp_beside_the_work_takes_next_to_nothing(tmp_path: Path) -> None:
    beside = run(tmp_path / "beside", return_zone="FP")
    assert kg(beside) == pytest.approx(0.0, abs=1e-12)
    assert not beside.inputs.ship.systems
    away = run(tmp_path / "away", return_zone="AS")
    assert kg(away) > 1e-4


def test_what_enters_here_and_leaves_there_is_turned_round(tmp_path: Path) -> None:
    there = run(tmp_path / "there", return_zone="AS")
    back = run(tmp_path / "back", zone="AS", return_zone="FP")
    one, two = (each.history.water_charge.sum() for each in (there, back))
    one_way = there.history.faults_kg.mean(axis=0)
    other_way = back.history.faults_kg.mean(axis=0)
    fore, aft = (there.inputs.ship.zone_index(name) for name in ("FP", "AS"))
    assert one == pytest.approx(two, rel=0.01)
    assert one_way[fore] > 10.0 * one_way[aft]
    assert other_way[aft] > 10.0 * other_way[fore]


def test_a_blank_one_is_near_the_work_most_likely(tmp_path: Path) -> None:
    blank, away = (
        run(tmp_path / name, return_zone=zone)
        for name, zone in (("blank", None), ("away", "AS"))
    )
    near = (blank.inputs.back == blank.inputs.entry).mean()
    assert 0.75 < near < 0.95  # 0.8, and its own zone among the others
    assert 0.0 < kg(blank) < 0.3 * kg(away)


def test_another_source_goes_back_through_the_cables(tmp_path: Path) -> None:
    spread = run(tmp_path / "spread", source="other")
    assert (spread.inputs.back == -1).all()
    assert kg(spread) > 0.0


def test_a_welding_return_of_which_nothing_is_written_is_a_doubt(
    tmp_path: Path,
) -> None:
    run(tmp_path / "blank")
    doubts = [str(one) for one in read_ship(tmp_path / "blank").doubts]
    assert any("return_zone: it is blank" in text for text in doubts)
