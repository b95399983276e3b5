"""Tests of history.linearity_report: states, charge, words, and the hull's answer."""

from dataclasses import replace
from datetime import date

import numpy as np
import pytest
from ships import DC, ZONES, berth, current, fault, ship

import corrosion
from corrosion import Ship
from corrosion.estimate import set_clock
from corrosion.foundation.sampling import Draws
from corrosion.foundation.units import HOUR
from corrosion.history.inputs import Case, prepare
from corrosion.history.integrate import keep_books
from corrosion.history.linearity_report import (
    Bend,
    bend_at,
    direct_states,
    interface_words,
)
from corrosion.hull.nonlinear import newton as bent_module
from corrosion.hull.nonlinear.currents import linear_error
from corrosion.presentation.answers.hull import crossing
from corrosion.presentation.terminal import hull_text
from corrosion.records.ship import LampSet

TODAY = date(2026, 1, 1)
QUAY = berth(
    "2020-01-01",
    "2021-01-01",
    "shore earthed",
    earth_cable=0.1,
    shore_earth=0.8,
    earth_couple=0.3,
)
WELD = current(
    "W",
    "2020-03-01 08:00",
    "2020-03-01 18:00",
    20.0,
    returns="ashore",
    good="2020-03-01 08:00",
)
BESIDE = replace(
    current("B", "2020-03-01 12:00", "2020-03-02 12:00", 2.0, zone="AS"),
    returns="aboard",
)
ALTERNATING = fault("A", "2020-03-01 08:00", "2020-04-01 08:00", amps=50.0)


def case(one: Ship) -> Case:
    return prepare(one, Draws(128, 1), set_clock(one, TODAY))


def quay(one: Case) -> Bend:
    (period,) = (p for p in one.periods if p.berth.supply == "shore earthed")
    return bend_at(one, period)


def test_states_are_the_direct_currents_that_stood_together() -> None:
    one = case(ship(berths=(QUAY,), faults=(WELD, BESIDE, ALTERNATING)))
    (period,) = (p for p in one.periods if p.berth.supply == "shore earthed")
    states = direct_states(one, period)
    assert not states.active[:, 2].any()
    together = {
        tuple(row[:2].tolist()): hours
        for row, hours in zip(states.active, states.seconds / HOUR, strict=True)
        if row.any()
    }
    assert together == pytest.approx(
        {(True, False): 4.0, (True, True): 6.0, (False, True): 18.0}, abs=0.05
    )
    assert states.seconds.sum() / HOUR == pytest.approx(366 * 24.0, abs=24.0)
    both = states.injected[states.active[:, :2].all(axis=1)][0]
    assert both.sum() == pytest.approx(20.0, rel=0.01)  # what returns ashore
    assert both[3] == pytest.approx(2.0 * (1.0 - one.cables[3]), rel=0.01)
    assert both[0] == pytest.approx(20.0 - 2.0 * one.cables[0], rel=0.01)
    idle = states.injected[~states.active.any(axis=1)]
    assert len(idle)
    assert not idle.any()


def test_what_the_lamps_give_back_leaves_at_the_switchboard() -> None:
    grounded = fault(
        "D",
        "2020-03-01",
        "2020-04-01",
        system="battery",
        current="dc",
        conductor="+",
        insulation=10.0,
    )
    taken = []
    for lamps in (None, LampSet(volts=110.0, watts=25.0, ratio=1.0)):
        battery = replace(DC, lamps=lamps)
        one = case(ship(systems=(battery,), faults=(grounded,)))
        states = [direct_states(one, p) for p in one.periods]
        stood = np.concatenate([s.injected[s.active[:, 0]] for s in states])[0]
        assert stood[0] > 0.0
        assert stood.sum() == pytest.approx(0.0, abs=1e-9)
        taken.append(stood[3] / stood[0])
    assert taken[0] > -0.4  # the share of the cables in way of it
    assert taken[1] < -0.9


def test_the_worst_state_is_that_of_the_polarisation() -> None:
    one = case(ship(berths=(QUAY,), faults=(WELD, ALTERNATING)))
    found = quay(one)
    assert found.faults == ("W",)
    injected = np.array([20.0, 0, 0, 0, 0, 0])
    assert found.error == pytest.approx(
        linear_error(one.hull, injected, QUAY), rel=0.02
    )
    assert found.error > 0.05
    held = tuple(replace(z, protection=0.02 * (z.side == "port")) for z in ZONES)
    assert quay(case(replace(one.ship, zones=held))).error > 2.0 * found.error


def words(one: Case) -> str:
    (books,) = keep_books(one, [one.faults.spans])
    return interface_words(one, books.bent)


def test_says_which_law_was_used_berth_by_berth() -> None:
    heavy = current(
        "W", "2020-03-01 08:00", "2020-03-01 18:00", 200.0, returns="ashore"
    )
    lain = (berth("2019-01-01", "2020-01-01"), replace(QUAY, earth_couple=0.0))
    there = words(case(ship(berths=lain, faults=(heavy,))))
    assert "more than 10 % of the largest zone's, and as bending elsewhere: " in there
    assert "10 hours in the mean at an invented quay from 2020-01-01, where" in there
    assert there.endswith("% while the direct current of W stood")
    alone = words(case(ship(berths=(replace(QUAY, earth_couple=0.02),))))
    assert alone.startswith("the interface of bare steel and water was taken as linear")
    assert "while the couple with the shore earth stood alone" in alone
    none = words(case(ship()))
    assert none.endswith("no direct current stood for which it matters")


def test_says_that_only_some_samples_bend() -> None:
    one = case(ship(berths=(QUAY,)))
    some = np.zeros((128, len(one.periods)))
    (number,) = (
        k for k, p in enumerate(one.periods) if p.berth.supply == "shore earthed"
    )
    some[:16, number] = 40.0 * HOUR
    there = interface_words(one, some)
    assert there.endswith(
        "an invented quay from 2020-01-01, in samples in which it resists more than in "
        "the middle"
    )
    assert "elsewhere: 5 hours in the mean at" in there


def test_what_cannot_be_balanced_counts_as_no_miss(
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    one = case(ship(berths=(QUAY,), faults=(WELD,)))
    monkeypatch.setattr(bent_module, "_STEPS", 0)
    assert quay(one).error == 0.0
    assert np.isnan(linear_error(one.hull, np.array([20.0, 0, 0, 0, 0, 0]), QUAY))


def test_the_estimate_says_it_and_what_no_zone_covers() -> None:
    zones = tuple(z for z in ZONES if z.zone != "FP")
    one = ship(zones=zones, berths=(QUAY,))
    result = corrosion.estimate(one, samples=16, as_of=TODAY)
    assert sum("was taken as linear" in line for line in result.warnings) == 1
    assert any("of the wetted surface" in line for line in result.warnings)


def test_the_hull_says_it_for_each_berth() -> None:
    dock = berth("2021-01-01", "2021-03-01", afloat=False)
    one = ship(berths=(QUAY, berth("2021-03-01", None), dock), faults=(WELD,))
    found = crossing(one, samples=32, as_of=TODAY)
    first, second, last = (row["linear_error"] for row in found["berths"])
    assert first > 0.05
    assert second == 0.0
    assert last is None
    assert "bend" in hull_text(found)
