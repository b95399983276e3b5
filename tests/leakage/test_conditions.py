"""Tests of leakage.conditions: what stood around a fault when it was read."""

from dataclasses import replace
from typing import Any

import numpy as np
import pytest
from ships import AC, DC, berth, fault, ship

from corrosion.foundation.assumptions import default_assumptions
from corrosion.leakage.conditions import evidence_for_system, occasions
from corrosion.leakage.dated_states import AFLOAT, berth_at
from corrosion.leakage.doubts import reading_doubts
from corrosion.leakage.earthing import FLOATING, is_earthed, median_earthing
from corrosion.leakage.inference.evidence import Evidence
from corrosion.records.dates import as_written
from corrosion.records.measured import Reading
from corrosion.records.ship import Berth, Fault, Readings, Ship, System

TABLE = default_assumptions()
QUAY = berth("2001", "2005", "shore earthed", earth_cable=0.25, shore_earth=0.5)
YARD = berth("2005", "2006", "shore isolated")


def tie(system: System, at: Berth) -> float:
    return median_earthing(system, at, TABLE).conductance


def evidence_for_fault(one: Ship, me: Fault, system: System) -> Evidence:
    ((_, found),) = occasions(one, me, system)
    return found


def at(text: str) -> float:
    return as_written(text).middle


def test_finds_the_berth_of_a_moment() -> None:
    one = ship(berths=(QUAY, YARD))
    assert berth_at(one, at("2003")) == QUAY
    assert berth_at(one, at("2005-12")) == YARD
    assert berth_at(one, at("2000")) is AFLOAT
    assert berth_at(one, at("2009")) is AFLOAT


def test_an_open_berth_reaches_both_ways_and_the_later_one_wins() -> None:
    always = berth(None, None, "shore isolated")
    one = ship(berths=(always, QUAY))
    assert berth_at(one, at("1980")) == always
    assert berth_at(one, at("2003")) == QUAY
    assert berth_at(one, at("2030")) == always


def test_the_tie_is_shore_earth_and_conductor_in_parallel() -> None:
    ohms = 0.25 * 0.5 / (0.25 + 0.5)
    assert tie(AC, QUAY) == pytest.approx(1.0 / ohms, rel=1e-12)
    bare = replace(QUAY, earth_cable=None, earth_none=True)
    assert tie(AC, bare) == pytest.approx(2.0)
    unknown = replace(bare, shore_earth=None)
    assert tie(AC, unknown) == pytest.approx(1.0 / TABLE.value("shore_earth_ohm"))
    # Blank is unknown, and more likely connected than not.
    blank = replace(bare, earth_none=False)
    assert tie(AC, blank) == pytest.approx(2.0 + 1.0 / TABLE.value("earth_cable_ohm"))


def test_an_isolated_supply_ties_nothing() -> None:
    for other in (YARD, AFLOAT):
        assert not is_earthed(AC, other)
        assert median_earthing(AC, other, TABLE) == FLOATING
    own = replace(AC, fed_from_shore=False)
    assert not is_earthed(own, QUAY)
    assert median_earthing(own, QUAY, TABLE) == FLOATING


def read(name: str, found: str, cleared: str | None = None, **more: Any) -> Fault:
    return fault(name, found, cleared, conductor="a", insulation=500.0, **more)


def test_only_what_certainly_stood_was_connected() -> None:
    me = fault("me", "2003-06-10", "2003-06-20", conductor="b", amps=0.1)
    one = ship(
        faults=(
            me,
            read("stood", "2003-06-01", "2003-07-01"),
            read("still stands", "2003-05-01"),
            read("cleared before", "2003-06-01", "2003-06-05"),
            read("perhaps", "2003", "2004"),
            read("found after", "2003-06-12", "2003-07-01"),
            read("another system", "2003-06-01", system="battery", current="dc"),
            fault("unread", "2003-06-01", conductor="a"),
        )
    )
    assert evidence_for_fault(one, me, AC).others == (("a", 500.0), ("a", 500.0))


def test_a_berth_earths_the_readings_of_its_time() -> None:
    me = fault("me", "2003-06-10", amps=0.1)
    ashore = evidence_for_fault(ship(berths=(QUAY,)), me, AC)
    assert (ashore.tie.at, ashore.tie.conductance) == ("star", tie(AC, QUAY))
    assert evidence_for_fault(ship(), me, AC).tie == FLOATING


def test_a_current_that_returns_ashore_says_nothing_of_the_network_aboard() -> None:
    ashore = fault("me", "2003-06-10", amps=2.0, insulation=90.0, returns="ashore")
    (left,) = evidence_for_fault(ship(), ashore, AC).readings
    assert left == replace(ashore.readings, amps=None)
    (kept,) = evidence_for_fault(ship(berths=(QUAY,)), ashore, AC).readings
    assert kept == ashore.readings


def test_contradictory_readings_are_named_by_line_and_fault() -> None:
    # 60 V through 20 ohms would be 3 A; the clamp says a milliampere.
    torn = fault("F9", "2003-06-10", system="battery", current="dc", line=7)
    torn = replace(
        torn,
        readings=Readings(
            conductor="+", amps=0.001, insulation=20.0, hull_volts=(60.0, -50.0)
        ),
    )
    words = reading_doubts(ship(faults=(torn,)))
    assert words
    assert all(each.startswith("faults.csv:7: ") for each in words)
    assert all(": fault F9: " in each for each in words)


def test_sound_readings_are_not_doubted() -> None:
    one = ship(faults=(read("A", "2003"), fault("W", "2003", source="welding", amps=9)))
    assert reading_doubts(one) == []
    assert reading_doubts(ship(systems=(DC,))) == []


@pytest.mark.parametrize(("beside", "torn"), [(7, True), (9, False)])
def test_a_crowd_is_doubted_once_and_not_by_every_reading(
    beside: int, torn: bool
) -> None:
    # 440 V drive no 9 A through any one fault: what others carried, nobody knows.
    days = (f"2003-05-{k + 1:02d}" for k in range(beside))
    others = tuple(fault(f"F{day}", day, standing=True, amps=0.1) for day in days)
    me = fault("me", "2003-06-10 10:00", amps=9.0, conductor="b")
    words = reading_doubts(ship(faults=(*others, me)))
    assert any("no fault on b" in each for each in words) is torn
    assert any("were read while others stood" in each for each in words) is not torn


def test_faults_of_a_system_say_which_of_them_stood_together() -> None:
    one = ship(
        faults=(
            read("first", "2003-06-01", "2003-07-01"),
            fault("welding", "2003-06-05", source="welding", amps=9),
            fault("unread", "2003-06-02"),
            read("another system", "2003-06-01", system="battery", current="dc"),
            fault("last", "2003-06-10", "2003-06-20", conductor="b", amps=0.1),
        )
    )
    said = evidence_for_system(one, AC)
    found = said.evidence
    assert said.places == [0, 2, 4]
    assert said.moment == [None, None, None]
    assert [each.beside for each in found] == [(), (0,), (0, 1)]
    assert all(each.others == () for each in found)
    assert found[2].readings == (one.faults[4].readings,)


def test_readings_of_other_hours_count_in_the_state_of_their_hour() -> None:
    me = fault("me", "2003-06-10", conductor="a", amps=0.057)
    one = replace(
        ship(berths=(QUAY,), faults=(me, read("stood", "2003-01-01", "2003-06-12"))),
        readings=(
            Reading(
                time=as_written("2006-06-10 09:10"),
                fault="me",
                volts=120.0,
                conductor="b",
                meter=3e3,
            ),
            Reading(
                time=as_written("2006-06-10 09:20"),
                fault="me",
                amps=0.2,
                clamped="feeder",
            ),
            Reading(
                time=as_written("2006-06-11 09:20"),
                fault="me",
                amps=5.0,
                clamped="earth lead",
            ),
            Reading(time=as_written("2006-06-10 09:20"), fault="other", amps=9.0),
        ),
    )
    (_, own), (when, later), (_, lead) = occasions(one, me, AC)
    assert own.tie.at == "star"
    assert own.others == (("a", 500.0),)
    assert later.tie == FLOATING
    assert later.others == ()
    assert when == pytest.approx(at("2006-06-10 09:10"), abs=600.0)
    assert [r.hull_volts for r in later.readings] == [(None, 120.0, None), ()]
    assert (later.seen, later.seen_sd) == pytest.approx((0.9, 0.1))
    assert [r.amps for r in lead.readings] == [None]  # it says nothing of the fault
    (found, *_) = evidence_for_system(one, AC).evidence
    day, years = found.further[0].apart, found.further[1].apart
    assert np.log(2.0) < day < years < np.log(4.0) * 1.1


def test_a_sign_against_its_conductor_is_a_doubt() -> None:
    torn = fault("F", "2003-06-10", system="battery", current="dc", line=3)
    torn = replace(torn, readings=Readings(conductor="+", amps=-0.00001))
    (words,) = reading_doubts(ship(faults=(torn,)))
    assert words.startswith("faults.csv:3: amps: fault F: -1e-05 A on conductor +")
    right = replace(torn, readings=Readings(conductor="-", amps=-0.00001))
    assert reading_doubts(ship(faults=(right,))) == []
