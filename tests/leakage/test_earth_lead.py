"""A clamp on the earth lead or round the whole shore cable, as evidence of a fault.

On an earthed quay the current of a fault comes home through the protective conductor
and, beside it, through water and shore earth: of 0.25 Ω beside 1 Ω the lead carries
four fifths, and the whole cable, in which the rest is missing, one fifth.
"""

from dataclasses import replace
from datetime import date
from pathlib import Path
from typing import Any

import numpy as np
import pytest
from records.written import write_ship
from ships import AC, berth, fault, ship

import corrosion
from corrosion import RecordError, read_ship
from corrosion.foundation.assumptions import default_assumptions
from corrosion.leakage.doubts import reading_doubts
from corrosion.records.dates import as_written
from corrosion.records.measured import Reading
from corrosion.records.ship import Ship

QUAY = berth("2021-01", None, "shore earthed", earth_cable=0.25, shore_earth=1.0)
OHMS = 100.0
THROUGH = 440.0 / np.sqrt(3.0) / (OHMS + 0.2)  # phase a, star tied through 0.25 || 1 Ω


def clamped(what: Any, amps: float, minute: int = 10) -> Reading:
    return Reading(
        time=as_written(f"2022-03-02 09:{minute}"), fault="F", clamped=what, amps=amps
    )


def her(*rows: Reading, at: Any = QUAY) -> Ship:
    sure = default_assumptions().override(
        "shore_earth_factor", median=1.0, spread=1.0, why="a test"
    )
    one = fault("F", "2022-03-01 09:00", "2022-03-05 09:00", conductor="a")
    return ship(
        systems=(replace(AC, capacitance=1e-9, insulation=1e9),),
        faults=(one,),
        berths=(at,),
        readings=rows,
        assumptions=sure,
    )


def resistance(folder: Path, one: Ship) -> dict[str, float]:
    write_ship(one, folder)
    found = corrosion.estimate(read_ship(folder), samples=256, as_of=date(2026, 1, 1))
    stated: dict[str, float] = found.to_json()["faults"][0]["resistance_ohm"]
    return stated


@pytest.mark.parametrize(("what", "share"), [("earth lead", 0.8), ("whole cable", 0.2)])
def test_the_fault_is_told_by_what_comes_home(
    what: Any, share: float, tmp_path: Path
) -> None:
    told = resistance(tmp_path / "told", her(clamped(what, share * THROUGH)))
    assert told["p50"] == pytest.approx(OHMS, rel=0.1)
    assert told["p10"] > 0.8 * OHMS
    assert told["p90"] < 1.25 * OHMS


def test_a_lead_and_a_path_in_one_hour_agree(tmp_path: Path) -> None:
    both = her(
        clamped("fault path", THROUGH), clamped("earth lead", 0.8 * THROUGH, minute=20)
    )
    told = resistance(tmp_path / "both", both)
    assert told["p50"] == pytest.approx(OHMS, rel=0.05)


def test_on_a_floating_system_the_lead_says_nothing(tmp_path: Path) -> None:
    floating = replace(QUAY, supply="shore isolated")
    said, unsaid = (
        resistance(tmp_path / name, her(*rows, at=floating))
        for name, rows in (("said", (clamped("earth lead", 2.0),)), ("unsaid", ()))
    )
    assert said["p90"] > 10.0 * said["p10"]
    (doubt,) = reading_doubts(read_ship(tmp_path / "said"))
    assert doubt.startswith("readings.csv:2: clamped: the earth lead carried nothing")
    assert reading_doubts(read_ship(tmp_path / "unsaid")) == []
    assert said["p50"] == pytest.approx(unsaid["p50"], rel=0.5)


def test_a_reading_of_the_shore_cable_is_of_no_system_and_no_round(
    tmp_path: Path,
) -> None:
    lead = Reading(
        time=as_written("2022-03-02 09:10"),
        circuit="shore cable",
        clamped="earth lead",
        amps=0.1,
        current="dc",
    )
    write_ship(replace(her(), readings=(lead,)), tmp_path / "none")
    one = read_ship(tmp_path / "none")
    assert one.readings[0].system is None
    assert one.rounds("power") == ()
    write_ship(replace(her(), readings=(replace(lead, current=None),)), tmp_path / "b")
    with pytest.raises(RecordError, match=r"readings.csv:2: current"):
        read_ship(tmp_path / "b")


@pytest.mark.parametrize(
    ("when", "words"),
    [
        ("2022-02-20 09:00", "lies before fault F was found (2022-03-01 09:00)"),
        ("2022-03-09 09:00", "lies after fault F was cleared (2022-03-05 09:00)"),
    ],
)
def test_a_reading_while_the_fault_did_not_stand_is_a_doubt(
    when: str, words: str, tmp_path: Path
) -> None:
    late = replace(clamped("fault path", 2.0), time=as_written(when))
    write_ship(her(late), tmp_path)
    said = [str(one) for one in read_ship(tmp_path).doubts]
    assert any(f"readings.csv:2: time: {when} {words}" in one for one in said), said
    write_ship(her(clamped("fault path", 2.0)), tmp_path / "right")
    said = [str(one) for one in read_ship(tmp_path / "right").doubts]
    assert not any("readings.csv" in one for one in said)
