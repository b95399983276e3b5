"""Tests of history.nonlinear_states, with hull.secant: the bent law in the walk."""

from collections.abc import Iterator
from dataclasses import replace
from datetime import date
from typing import Any

import numpy as np
import pytest
from nonlinear_oracle import nonlinear_currents
from ships import AC, ALTERNATING_ALONE, DC, ZONES, berth, current, fault, ship

from corrosion.foundation.assumptions import Assumptions, default_assumptions
from corrosion.foundation.errors import ValidityWarning
from corrosion.foundation.sampling import Draws
from corrosion.foundation.types import Array
from corrosion.history import nonlinear_states as nonlinear_module
from corrosion.history import step_states
from corrosion.history.injected import injected_current
from corrosion.history.inputs import ModelInputs, sample_inputs
from corrosion.history.integrate import integrate_history
from corrosion.history.loss import LossHistory
from corrosion.history.nonlinear_states import NonlinearStates, nonlinear_states
from corrosion.history.paths import CurrentPaths
from corrosion.history.state_networks import leaking_alone
from corrosion.history.time_grid import time_grid_of
from corrosion.history.time_steps import Scenario
from corrosion.hull.nonlinear import newton as bent_module
from corrosion.hull.nonlinear.linear_check import LinearCheck
from corrosion.leakage.fed_system import SystemCurrents
from corrosion.records.dates import as_written
from corrosion.records.ship import LampSet, Ship
from corrosion.wastage.faraday import mass_loss
from corrosion.wastage.fault_charges import CurrentSource

TODAY = date(2026, 1, 1)
QUAY = berth(
    "2018-03",
    "2024-05-02",
    "shore earthed",
    earth_cable=0.1,
    shore_side="port",
    shore_distance=3.0,
)
LEADS = {
    "conductor": QUAY,
    "no conductor": replace(QUAY, earth_cable=None, earth_none=True),
    "isolator": replace(QUAY, galvanic_isolator=True),
    "own": berth("2018-03", "2024-05-02"),
}
LIT = replace(DC, lamps=LampSet(volts=110.0, watts=25.0, ratio=1.0))
ABOARD = fault(
    "C", "2019", "2023", system="battery", current="dc", conductor="+", insulation=4.0
)
WELD = current("W", "2020-01-02 10:00", "2020-01-06", 20.0, zone="AP")
CRACK = current("K", "2021-01", "2022-01", 0.4, zone="RUD", returns="aboard")
LEAK = fault("A", "2019-05", "2021-06", conductor="a", insulation=60.0, good="2019")
SHIP = ship(systems=(AC, LIT), faults=(ABOARD, WELD, CRACK, LEAK), berths=(QUAY,))
HELD = tuple(replace(z, protection=0.01 * (z.side == "port")) for z in ZONES)
SHIPS = {name: replace(SHIP, berths=(lying,)) for name, lying in LEADS.items()} | {
    "protected": replace(SHIP, zones=HELD)
}


def case_of(
    one: Ship, samples: int = 48, table: Assumptions | None = None
) -> ModelInputs:
    draws = Draws(samples, 1, table or ALTERNATING_ALONE)
    return sample_inputs(one, draws, time_grid_of(one, TODAY))


def walked(
    one: Ship, samples: int = 48, table: Assumptions | None = None, block: int = 1024
) -> LossHistory:
    inputs = case_of(one, samples, table)
    return integrate_history([Scenario(inputs, inputs.faults.spans)], block=block)[0]


def seen(
    one: Ship, monkeypatch: pytest.MonkeyPatch
) -> list[
    tuple[
        CurrentPaths,
        int,
        Array,
        list[tuple[SystemCurrents, CurrentSource]],
        list[NonlinearStates],
    ]
]:
    """What a walk asked for, and what it was given, from its middle slabs on."""
    asked: list[Any] = []

    def listen(routes: CurrentPaths, number: int, duration: Array, flows: Any) -> Any:
        given = nonlinear_states(routes, number, duration, flows)
        asked.append((now(routes), number, duration, flows, given))
        return given

    monkeypatch.setattr(step_states, "nonlinear_states", listen)
    walked(one)
    monkeypatch.undo()
    return asked


def now(routes: CurrentPaths) -> CurrentPaths:
    """The routes as they are, while those of the walk go on."""
    kept = CurrentPaths(routes.inputs, routes.rows, routes.epochs)
    kept.turn_to(routes.early, routes.late)
    return kept


def by_newton(routes: CurrentPaths, number: int, injected: Array, sample: int) -> Array:
    """What leaves each wetted zone in one state, by the full solution [A]."""
    inputs = routes.inputs
    paint = replace(inputs.hull, bare=routes.paint[sample])
    leaving = nonlinear_currents(
        paint,
        injected,
        inputs.periods[number].berth,
        unknowns=routes.unknowns.rows(np.array([sample])),
        protection=inputs.protection[routes.rows][sample],
    )
    return np.asarray(leaving[routes.wet])


def direct(
    flows: list[tuple[SystemCurrents, CurrentSource]],
) -> Iterator[tuple[SystemCurrents, CurrentSource]]:
    return ((leak, flow) for leak, flow in flows if leak.current == "dc")


@pytest.mark.parametrize("at", sorted(SHIPS))
def test_a_state_leaves_what_the_full_solution_leaves(
    at: str, monkeypatch: pytest.MonkeyPatch
) -> None:
    """Where it bends within 1e-3 of the largest current, else within the bound."""
    bent_worst, kept_worst, many = 0.0, 0.0, 0
    for routes, number, duration, flows, given in seen(SHIPS[at], monkeypatch):
        solved = {}
        for states in given:
            total = states.couple + sum(
                (f.amps.real @ f.transfer)[:, 0] for _, f in direct(states.flows)
            )
            for row, key in enumerate(zip(states.sample, states.stretch, strict=True)):
                solved[key] = total[row]
        couple = routes.solved(number, 0.0).couple
        lasting = np.argwhere(duration > 0.0)
        for sample, stretch in lasting[:: max(1, len(lasting) // 25)]:
            which = np.array([sample]), np.array([stretch])
            lone = [leaking_alone(leak, *which) for leak, _ in flows]
            injected = injected_current(routes, number, lone, which[0])[0]
            full = by_newton(routes, number, injected, sample)
            linear = couple[sample] + sum(
                f.amps[sample, stretch].real @ f.transfer[sample]
                for _, f in direct(flows)
            )
            used = solved.get((sample, stretch))
            many += used is not None
            size = max(np.abs(full).max(), np.abs(linear).max(), 1e-3)
            if used is None:
                kept_worst = max(kept_worst, np.abs(linear - full).max() / size)
            else:
                bent_worst = max(bent_worst, np.abs(used - full).max() / size)
    assert many > 10
    assert bent_worst < 1e-3
    assert kept_worst < 1.05 * default_assumptions().value(
        "linear_bound"
    )  # judged to first order


@pytest.mark.parametrize("at", ["own", "no conductor"])
def test_the_estimated_miss_is_the_true_one_where_it_bends_little(
    at: str, monkeypatch: pytest.MonkeyPatch
) -> None:
    routes = seen(SHIPS[at], monkeypatch)[-1][0]
    number = next(
        k for k, p in enumerate(routes.inputs.periods) if p.berth is SHIPS[at].berths[0]
    )
    straight, solved = routes.straight(number), routes.solved(number, 0.0)
    injected = np.array([0.0, 0.0, 0.0, -0.05, 0.05, 0.0])  # through a poor bond
    linear = solved.per_ampere_over(injected)
    found = straight.linear_error(linear, np.arange(len(linear)))
    for sample in range(0, len(linear), 6):
        full = by_newton(routes, number, injected, sample)
        largest = max(np.abs(linear[sample]).max(), 1e-3)
        true = np.abs(full - linear[sample]).max() / largest
        assert 1e-4 < true < 0.05
        assert found[sample] == pytest.approx(true, rel=0.1)


def bent_everywhere(monkeypatch: pytest.MonkeyPatch) -> None:
    def every(_: LinearCheck, leaving: Array, *__: Any) -> Array:
        return np.full(len(leaving), np.inf)

    monkeypatch.setattr(LinearCheck, "linear_error", every)
    monkeypatch.setattr(
        LinearCheck, "couple_is_nonlinear", lambda _, couple: every(_, couple) > 0.0
    )


def test_small_currents_are_booked_as_by_the_linear_law(
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    quiet = replace(QUAY, earth_couple=1e-5)
    small = (
        replace(WELD, readings=replace(WELD.readings, amps=2e-4)),
        replace(CRACK, readings=replace(CRACK.readings, amps=1e-4)),
        LEAK,
    )
    one = ship(faults=small, berths=(quiet,))
    linear = walked(one)
    assert not linear.nonlinear_seconds.any()
    bent_everywhere(monkeypatch)
    bent = walked(one)
    assert bent.nonlinear_seconds.sum(axis=1).min() > 0.0
    for name in ("stray_kg", "couple_kg", "fault_kg", "charge", "water_charge", "peak"):
        one_way, other = getattr(linear, name), getattr(bent, name)
        assert one_way.any()
        assert other == pytest.approx(one_way, rel=2e-3, abs=1e-4 * one_way.max()), name
    assert bent.natural_kg == pytest.approx(linear.natural_kg, rel=1e-9)
    assert bent.charge == pytest.approx(linear.charge, rel=1e-9)


def test_what_is_charged_adds_up_and_stays_aboard(
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    history = walked(replace(SHIP, systems=(AC, DC)))
    assert history.nonlinear_seconds.any()
    charged = history.fault_kg.sum(axis=1) + history.couple_kg.sum(axis=1)
    assert charged == pytest.approx(history.stray_kg.sum(axis=1), rel=1e-9)
    sums = [
        flow.transfer.sum(axis=2)
        for _, _, _, _, given in seen(SHIPS["own"], monkeypatch)
        for states in given
        for _, flow in direct(states.flows)
    ]
    assert sums
    assert max(np.abs(s).max() for s in sums) < 1e-10


def test_sound_paint_takes_no_more_than_the_couple_can_drive() -> None:
    """Ohm's law for the whole loop: volts over the conductor and the shore earth."""
    zones = tuple(replace(z, bare=1e-5, painted=None) for z in ZONES)
    inputs = case_of(ship(zones=zones, berths=(QUAY,)))
    (history,) = integrate_history([Scenario(inputs, inputs.faults.spans)])
    period = next(p for p in inputs.periods if p.berth is QUAY)
    volts = np.maximum(inputs.paths.couple_at(QUAY), 0.0)  # else nothing is taken
    ohms = 0.1 + inputs.paths.shore_earth_at(QUAY)
    most = mass_loss(volts / ohms * (period.end - period.start))
    assert history.nonlinear_seconds.any()
    assert (history.couple_kg.sum(axis=1) <= most).all()
    assert history.stray_kg.sum(axis=1) == pytest.approx(history.couple_kg.sum(axis=1))


def test_a_block_a_berth_or_a_slab_cut_in_two_changes_nothing(
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    whole = walked(SHIP)
    monkeypatch.setattr(nonlinear_module, "_ROWS", 7)
    blocks = walked(SHIP, block=16)
    assert blocks.stray_kg == pytest.approx(whole.stray_kg, rel=1e-12)
    day = as_written("2020-01-04 06:00")
    halves = replace(QUAY, end=day), replace(QUAY, start=day)
    still = ALTERNATING_ALONE  # a resistance is one of each stay: let none wander
    for name in ("fault_ohm_wander", "fault_ohm_wander_year"):
        still = still.override(name, median=1.0, spread=1.0)
    whole, two = (
        walked(replace(SHIP, berths=lain), table=still) for lain in ((QUAY,), halves)
    )
    assert two.stray_kg == pytest.approx(whole.stray_kg, rel=0.01)
    assert two.nonlinear_seconds.sum() == pytest.approx(
        whole.nonlinear_seconds.sum(), rel=0.01
    )


def test_keeps_the_linear_law_where_nothing_balances_and_says_so(
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    bent = walked(SHIP)
    monkeypatch.setattr(bent_module, "_STEPS", 0)
    with pytest.warns(
        ValidityWarning, match=r"zone .* not be balanced .*invented quay"
    ):
        history = walked(SHIP)
    assert not history.nonlinear_seconds.any()
    assert (history.stray_kg != bent.stray_kg).any()
    monkeypatch.setattr(step_states, "nonlinear_states", lambda *_: [])
    assert (walked(SHIP).stray_kg == history.stray_kg).all()


def test_an_isolator_conducts_what_is_above_its_threshold() -> None:
    strong, weak = (
        ship(
            faults=(current("W", "2020-01-02", "2020-03-02", amps, returns="ashore"),),
            berths=(LEADS["isolator"],),
        )
        for amps in (5.0, 0.02)
    )
    shares = [
        b.water_charge.sum() / b.charge.sum() for b in map(walked, (strong, weak))
    ]
    assert shares[1] == pytest.approx(1.0, rel=1e-3)
    assert shares[0] < 0.9
