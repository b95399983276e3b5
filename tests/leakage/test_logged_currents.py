"""Logs that stand in for computed currents."""

from dataclasses import replace
from pathlib import Path

import numpy as np
import pytest
from ships import berth

import corrosion
from corrosion.foundation.units import HOUR
from corrosion.leakage.logged_currents import with_logged_currents
from corrosion.records.dates import as_written
from corrosion.records.ship import (
    Fault,
    Form,
    MonitorLog,
    Readings,
    Recorder,
    Ship,
    System,
    Water,
    Zone,
)

PLATE = Zone(
    zone="A",
    name="plate",
    frame_from=0,
    frame_to=40,
    side="port",
    top=0.0,
    bottom=3.0,
    exposure="immersed",
    built=0.010,
    limit=0.008,
    pit_limit=0.005,
)


def fault(name: str, found: str, cleared: str | None, circuit: str = "L1") -> Fault:
    return Fault(
        fault=name,
        system="legacy",
        circuit=circuit,
        current="dc",
        found=as_written(found),
        cleared=None if cleared is None else as_written(cleared),
        readings=Readings(conductor="+", amps=9.0),
    )


def ship(tmp_path: Path, rows: list[str], *faults: Fault) -> Ship:
    log = tmp_path / "hull.csv"
    log.write_text("\n".join(["time,system,circuit,amps,current", *rows]) + "\n")
    return Ship(
        name="Test",
        form=Form(
            length=60, beam=10, draught=3, block_coefficient=0.6, frame_spacing=0.6
        ),
        water=Water(resistivity=0.3),
        built=as_written("1980"),
        zones=(PLATE,),
        systems=(System(name="legacy", kind="dc2", volts=220.0),),
        faults=faults,
        logs=(MonitorLog(path=log),),
    )


def minutes(amps: float, day: str = "2026-03-01", circuit: str = "") -> list[str]:
    return [
        f"{day}T{hour:02}:{minute:02}:00Z,legacy,{circuit},{amps},dc"
        for hour in range(24)
        for minute in range(60)
    ]


def test_a_fault_that_a_log_covers_alone_is_read_by_it(tmp_path: Path) -> None:
    stood = fault("F1", "2026-03-01 06:00", "2026-03-02 12:00")
    known, hours, words = with_logged_currents(ship(tmp_path, minutes(0.75), stood))
    assert known.faults == (stood,)  # what was clamped stays
    (reading,) = known.readings
    assert (reading.fault, reading.current) == ("F1", "dc")
    assert reading.amps == pytest.approx(0.75)
    assert "F1" in words[0]
    assert "0.75 A" in words[0]
    day = as_written("2026-03-01")
    start = np.array([day.earliest, day.earliest + 12 * HOUR, day.latest])
    seconds, amps = hours["F1"].over(start, start + 3 * HOUR)
    assert seconds == pytest.approx([0.0, 3 * HOUR, 0.0], abs=HOUR)
    assert amps[1] == pytest.approx(0.75)
    # What is not covered adds nothing to what is.
    assert hours["F1"].charge[-1] == pytest.approx(0.75 * hours["F1"].seconds[-1])


def test_each_stay_has_a_reading_of_its_own(tmp_path: Path) -> None:
    one = fault("F1", "2026-02-28", "2026-03-06")
    rows = [*minutes(0.5), *minutes(0.1, day="2026-03-04")]
    quay = berth("2026-03-03", "2026-03-05", "shore earthed")
    known, _, _ = with_logged_currents(
        replace(ship(tmp_path, rows, one), berths=(quay,))
    )
    assert [round(row.amps or 0.0, 3) for row in known.readings] == [0.5, 0.1]
    assert known.readings[0].time.middle < quay.start.earliest  # type: ignore[union-attr]


def test_hours_without_a_single_fault_are_reported_and_not_counted(
    tmp_path: Path,
) -> None:
    later = fault("F1", "2026-03-05 06:00", "2026-03-06 12:00")
    known, hours, words = with_logged_currents(ship(tmp_path, minutes(0.5), later))
    assert known.readings == ()
    assert hours == {}
    assert "24 hours in which no single fault is written" in words[0]


def test_a_fault_that_stands_no_more_is_none_of_a_later_log(tmp_path: Path) -> None:
    # Nobody wrote when it was cleared, but that it does not stand.
    gone = replace(fault("OLD", "2017-05-02", None), standing=False)
    stood = fault("F1", "2026-03-01", "2026-03-02 12:00")
    known, hours, _ = with_logged_currents(ship(tmp_path, minutes(0.5), gone, stood))
    assert hours.keys() == {"F1"}
    assert [row.fault for row in known.readings] == ["F1"]


def test_from_a_log_to_the_json_of_a_fault_that_comes_and_goes(tmp_path: Path) -> None:
    # The mean of a log holds the hours in which it was not there: 0.75 A for a quarter
    # of the time are 3 A while it is there, and 9 Ah in twelve hours.
    one = fault("F1", "2026-03-01 06:00", "2026-03-01 18:00")
    good = as_written("2026-03-01 05:58")
    one = replace(one, present=0.25, last_good=good, readings=Readings(conductor="+"))
    her = ship(tmp_path, minutes(0.75), one)
    known, _, _ = with_logged_currents(her)
    assert known.readings[0].amps == pytest.approx(3.0)
    result = corrosion.estimate(her, samples=64, seed=1, as_of="2026-04-01")
    (told,) = result.to_json()["faults"]
    assert told["charge_ah"]["p50"] == pytest.approx(9.0, rel=0.02)


def test_two_faults_at_once_stay_computed(tmp_path: Path) -> None:
    one = fault("F1", "2026-02-28", "2026-03-03")
    two = fault("F2", "2026-02-28", "2026-03-03", circuit="L2")
    known, _, words = with_logged_currents(ship(tmp_path, minutes(0.5), one, two))
    assert known.readings == ()
    assert len(words) == 1


def test_a_log_of_one_circuit_tells_its_fault_from_another(tmp_path: Path) -> None:
    one = fault("F1", "2026-02-28", "2026-03-03")
    two = fault("F2", "2026-02-28", "2026-03-03", circuit="L2")
    known, _, _ = with_logged_currents(
        ship(tmp_path, minutes(0.5, circuit="L2"), one, two)
    )
    assert [row.fault for row in known.readings] == ["F2"]


def test_a_direct_log_of_an_alternating_fault_is_its_direct_component(
    tmp_path: Path,
) -> None:
    other = replace(fault("F1", "2026-02-28", "2026-03-03"), current="ac")
    known, hours, _ = with_logged_currents(ship(tmp_path, minutes(0.5), other))
    assert [row.current for row in known.readings] == ["dc"]
    assert hours["F1"].current == "dc"
    welding = replace(other, source="welding")
    known, hours, _ = with_logged_currents(ship(tmp_path, minutes(0.5), welding))
    assert known.readings == ()


def test_no_log_changes_nothing(tmp_path: Path) -> None:
    bare = replace(ship(tmp_path, minutes(0.5)), logs=())
    assert with_logged_currents(bare) == (bare, {}, [])


def test_her_recorder_and_the_doubts_of_its_logs_come_through(tmp_path: Path) -> None:
    stood = fault("F1", "2026-03-01", "2026-03-02 12:00")
    rows = minutes(0.5)[:60] + minutes(0.1)[-60:]  # nothing from 01:00 to 23:00
    known = ship(tmp_path, [row.replace("legacy", "Legacy") for row in rows], stood)
    _, hours, words = with_logged_currents(known)
    assert "loses 22.02 of its 23.98 hours in gaps" in words[0]
    assert hours["F1"].seconds[-1] == pytest.approx(2 * 59 * 60)
    on_change = replace(known, recorder=Recorder(writes="on change"))
    _, hours, words = with_logged_currents(on_change)
    assert not any("gaps" in one for one in words)
    # 0.5 A is held over the 22 hours in which nothing is written.
    assert hours["F1"].charge[-1] == pytest.approx(0.5 * 23 * HOUR + 0.1 * 59 * 60)
    slow = replace(known, recorder=Recorder(gap=24 * HOUR))
    _, hours, words = with_logged_currents(slow)
    assert hours["F1"].seconds[-1] == pytest.approx(24 * HOUR - 60)
