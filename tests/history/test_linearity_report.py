"""Tests of history.linearity_report: states, charge, words, and the hull's answer."""

from dataclasses import replace
from datetime import date

import numpy as np
import pytest
from nonlinear_oracle import linear_error
from ships import ALTERNATING_ALONE, DC, ZONES, berth, current, fault, ship

import corrosion
from corrosion import Ship
from corrosion.foundation.sampling import Draws
from corrosion.foundation.units import HOUR
from corrosion.history.inputs import ModelInputs, sample_inputs
from corrosion.history.integrate import integrate_history
from corrosion.history.linearity_report import (
    dc_states,
    linearity_error,
    linearity_sentence,
)
from corrosion.history.time_grid import time_grid_of
from corrosion.history.time_steps import Scenario
from corrosion.hull.nonlinear import newton as bent_module
from corrosion.presentation.answers.hull import hull_result
from corrosion.presentation.terminal.texts import text_of
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


def inputs(one: Ship) -> ModelInputs:
    return sample_inputs(
        one, Draws(128, 1, ALTERNATING_ALONE), time_grid_of(one, TODAY)
    )


def quay(one: ModelInputs) -> float:
    (period,) = (p for p in one.periods if p.berth.supply == "shore earthed")
    return linearity_error(one, period)


def test_states_are_the_direct_currents_that_stood_together() -> None:
    one = inputs(ship(berths=(QUAY,), faults=(WELD, BESIDE, ALTERNATING)))
    (period,) = (p for p in one.periods if p.berth.supply == "shore earthed")
    states = dc_states(one, period)
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
        one = inputs(ship(systems=(battery,), faults=(grounded,)))
        states = [dc_states(one, p) for p in one.periods]
        stood = np.concatenate([s.injected[s.active[:, 0]] for s in states])[0]
        assert stood[0] > 0.0
        assert stood.sum() == pytest.approx(0.0, abs=1e-9)
        taken.append(stood[3] / stood[0])
    assert taken[0] > -0.4  # the share of the cables in way of it
    assert taken[1] < -0.9


def test_the_worst_state_is_that_of_the_polarisation() -> None:
    one = inputs(ship(berths=(QUAY,), faults=(WELD, ALTERNATING)))
    found = quay(one)
    injected = np.array([20.0, 0, 0, 0, 0, 0])
    assert found == pytest.approx(linear_error(one.hull, injected, QUAY), rel=0.02)
    held_back = 0.05 > found > 0.04  # the shore earth polarises
    free = one.ship.assumptions.override("earth_limit_a", median=50.0, why="a test")
    assert held_back
    assert quay(inputs(replace(one.ship, assumptions=free))) > 0.05
    held = tuple(replace(z, protection=0.02 * (z.side == "port")) for z in ZONES)
    assert quay(inputs(replace(one.ship, zones=held))) > 2.0 * found


def test_says_which_law_was_used_and_for_how_long() -> None:
    heavy = current(
        "W", "2020-03-01 08:00", "2020-03-01 18:00", 200.0, returns="ashore"
    )
    lain = (berth("2019-01-01", "2020-01-01"), replace(QUAY, earth_couple=0.0))
    one = inputs(ship(berths=lain, faults=(heavy,)))
    (history,) = integrate_history([Scenario(one, one.faults.spans)])
    said = linearity_sentence(one, history.nonlinear_seconds)
    assert said == (
        "polarisation was taken as linear where that errs by less than 10 %, and as "
        "nonlinear (Tafel) elsewhere: 10 hours in the mean"
    )
    quiet = linearity_sentence(one, np.zeros((128, len(one.periods))))
    assert quiet == "polarisation was taken as linear throughout"


def test_what_cannot_be_balanced_counts_as_no_miss(
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    one = inputs(ship(berths=(QUAY,), faults=(WELD,)))
    monkeypatch.setattr(bent_module, "_STEPS", 0)
    assert quay(one) == 0.0
    assert np.isnan(linear_error(one.hull, np.array([20.0, 0, 0, 0, 0, 0]), QUAY))


def test_the_estimate_says_it_and_what_no_zone_covers() -> None:
    zones = tuple(z for z in ZONES if z.zone != "FP")
    one = ship(zones=zones, berths=(QUAY,))
    result = corrosion.estimate(one, samples=16, as_of=TODAY)
    assert sum("was taken as linear" in line for line in result.warnings) == 1
    assert any("of the wetted surface" in line for line in result.warnings)


def test_the_hull_says_it_for_each_berth() -> None:
    dock = berth("2021-01-01", "2021-03-01", lies="dock")
    one = ship(berths=(QUAY, berth("2021-03-01", None), dock), faults=(WELD,))
    found = hull_result(one, samples=32, as_of=TODAY)
    first, second, last = (row["linear_error"] for row in found["berths"])
    assert first == pytest.approx(quay(inputs(one)), rel=1e-3)  # fewer samples
    assert second == 0.0
    assert last is None
    assert "Linear error" in text_of("hull", found, 200)
