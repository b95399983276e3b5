"""Tests of history.integrate: the books against sums by another route."""

import os
import signal
import sys
import threading
from dataclasses import replace
from datetime import date
from functools import partial
from typing import Any

import numpy as np
import pytest
from ships import AC, ALTERNATING_ALONE, DC, ZONES, berth, current, fault, ship, zone

from corrosion.foundation import parallel
from corrosion.foundation.assumptions import default_assumptions
from corrosion.foundation.cache import digest
from corrosion.foundation.errors import InputError
from corrosion.foundation.sampling import Draws
from corrosion.foundation.types import Array
from corrosion.foundation.units import YEAR
from corrosion.history import coated_steel, integrate
from corrosion.history import inputs as inputs_module
from corrosion.history import time_steps as steps_module
from corrosion.history.coating_epochs import coating_epochs
from corrosion.history.inputs import ModelInputs, sample_inputs
from corrosion.history.integrate import integrate_history
from corrosion.history.loss import DEPTHS, LossHistory, empty_history
from corrosion.history.natural_rate import natural_factors
from corrosion.history.time_grid import time_grid_of
from corrosion.history.time_steps import Scenario
from corrosion.leakage.standing_times import FaultIntervals
from corrosion.records.dates import as_written
from corrosion.records.ship import Ship
from corrosion.wastage.metals import metal
from corrosion.wastage.natural import loss_depth

TODAY = date(2026, 1, 1)
ACCOUNTS = (
    "natural_sea_kg",
    "natural_inside_kg",
    "faults_kg",
    "couple_kg",
    "spared_kg",
)
QUAY = berth("2018-03", "2024-05-02", "shore earthed", earth_cable=0.1)
SHIP = ship(
    faults=(
        fault("A", "2019-05", "2020-06", conductor="a", insulation=60.0, good="2019"),
        fault("B", "2020-02", conductor="b", insulation=900.0, zone="AS"),
        current("W", "2021-01-02", "2021-02-06", 4.0, zone="AP"),
    ),
    berths=(QUAY,),
)


NEVER_SEEN = tuple(replace(z, bare=None, bare_seen=None) for z in ZONES)


def walked(one: Ship, samples: int = 96) -> tuple[ModelInputs, LossHistory]:
    inputs = sample_inputs(
        one, Draws(samples, 1, ALTERNATING_ALONE), time_grid_of(one, TODAY)
    )
    (history,) = integrate_history([Scenario(inputs, inputs.faults.spans)])
    return inputs, history


CASE, BOOKS = walked(SHIP)


def test_natural_loss_is_the_curve_over_each_piece_of_bare_steel() -> None:
    """By hand: cut the bared area into pieces and age each from when it was bared."""
    inputs, _ = walked(ship(zones=NEVER_SEEN), 16)
    zone, painted = 0, as_written("2015-05").middle
    time_grid = replace(
        inputs.time_grid, moments=np.linspace(painted, inputs.time_grid.as_of, 67)
    )
    inputs = replace(inputs, time_grid=time_grid)
    (history,) = integrate_history([Scenario(inputs, inputs.faults.spans)])
    law = inputs.zones.paint.law
    initial, life = (np.asarray(x)[:, 0] for x in (law.initial, law.life))
    edges = np.linspace(painted, time_grid.as_of, 4001)
    share = np.array([law.share(t - painted)[:, 0] for t in edges])
    assert (share[-1] > initial).all()
    age = (time_grid.as_of - 0.5 * (edges[1:] + edges[:-1])) / YEAR
    late = (np.diff(share, axis=0) * loss_depth("immersed", age)[:, None]).sum(axis=0)
    whole = (time_grid.as_of - painted) / YEAR
    lost = late + initial * loss_depth("immersed", whole)
    factor = natural_factors(inputs, inputs.periods[0].berth, slice(None))
    lost = lost * factor[:, zone] * inputs.zones.natural[:, zone]
    assert (life > 0.0).all()
    inner = inputs.zones.inner[:, zone] * (time_grid.as_of - painted)
    gone = history.mean[:, -1, zone] - history.mean[:, 0, zone] - inner
    assert gone == pytest.approx(lost, rel=0.03)
    assert not history.stray_kg.any()


def test_charge_is_current_times_the_time_that_a_fault_stood() -> None:
    seconds, amps = BOOKS.seconds[:, 2], np.abs(CASE.faults.amps[:, 2])
    assert BOOKS.charge[:, 2] == pytest.approx(amps * seconds, rel=1e-12)
    spans = CASE.faults.spans
    stood = np.minimum(spans.ended, CASE.time_grid.as_of) - spans.began
    assert BOOKS.seconds == pytest.approx(stood)


def test_scenarios_side_by_side_lose_what_each_loses_alone() -> None:
    """In fresh water, on another supply, painted anew, and with no fault."""
    spans = CASE.faults.spans
    none = replace(spans, ended=spans.began)
    fresh, apart = (
        replace(
            CASE,
            periods=[
                replace(one, berth=replace(one.berth, **changed))
                for one in CASE.periods
            ],
        )
        for changed in ({"salinity": 1.0}, {"supply": "shore isolated"})
    )
    anew = replace(CASE, zones=CASE.zones.with_paint(0, as_written("2012").middle))
    scenarios = [
        Scenario(CASE, spans),
        Scenario(CASE, none),
        Scenario(fresh, spans),
        Scenario(apart, spans),
        Scenario(anew, spans),
    ]
    together = integrate_history(scenarios)
    for scenario, mine in zip(scenarios, together, strict=True):
        (alone,) = integrate_history([scenario], causes=True)
        for name in (*DEPTHS, "multiplied", "spot", "fault_kg", *ACCOUNTS):
            one, other = getattr(mine, name), getattr(alone, name)
            assert one == pytest.approx(other, rel=1e-9, abs=1e-14), name
        now = int(np.searchsorted(alone.moments, CASE.time_grid.as_of))
        for name, account in alone.causes.items():  # part by part, as in all at once
            whole = getattr(alone, f"{name}_kg")
            assert account[:, now] == pytest.approx(whole, rel=1e-12)
    base, _, fresh_lost, apart_lost, _ = together
    assert (apart_lost.natural_kg == base.natural_kg).all()
    assert (fresh_lost.natural_kg != base.natural_kg).any()


def test_what_a_fault_is_charged_is_faradays_share_of_what_crossed() -> None:
    zones = tuple(replace(z, bare=0.003) for z in ZONES)  # much of it through paint
    stray = current("W", "2021-01-02", "2021-02-06", 4.0, returns="ashore")
    _, history = walked(ship(zones=zones, faults=(stray,)))
    crossed = history.water_charge[:, 0]
    assert crossed == pytest.approx(history.charge[:, 0], rel=1e-9)
    # Iron(II): 55.845 g for two moles of electrons.
    kg = crossed * 55.845e-3 / 2.0 / 96485.33212
    assert history.fault_kg[:, 0] / kg == pytest.approx(1.0, abs=2e-5)


def test_books_are_the_same_whatever_the_block() -> None:
    (history,) = integrate_history([Scenario(CASE, CASE.faults.spans)], block=17)
    for name in ("mean", "natural_kg", "stray_kg", "couple_kg", "fault_kg", "charge"):
        assert getattr(history, name) == pytest.approx(
            getattr(BOOKS, name), rel=1e-10, abs=1e-15
        )
    assert history.charged == pytest.approx(BOOKS.charged, rel=1e-10, abs=1e-15)


def test_scenarios_share_their_numbers() -> None:
    spans = CASE.faults.spans
    none = FaultIntervals(began=spans.found, found=spans.found, ended=spans.found)
    same, idle = integrate_history([Scenario(CASE, spans), Scenario(CASE, none)])
    # States are cut where either scenario's faults begin or end: the same but for sums.
    assert same.stray_kg == pytest.approx(BOOKS.stray_kg, rel=1e-9, abs=1e-15)
    assert same.mean == pytest.approx(BOOKS.mean, rel=1e-12)
    assert not idle.charge.any()
    assert not idle.fault_kg.any()
    assert (idle.natural_kg == BOOKS.natural_kg).all()
    assert not idle.faults_kg.any()
    assert not same.kept_kg.any()
    assert not same.given_up_kg.any()


def test_a_lone_fault_is_charged_what_vanishes_without_it() -> None:
    one = ship(faults=SHIP.faults[2:])
    inputs, history = walked(one, 32)
    spans = inputs.faults.spans
    none = FaultIntervals(began=spans.found, found=spans.found, ended=spans.found)
    _, idle = integrate_history([Scenario(inputs, spans), Scenario(inputs, none)])
    gone, given_up = idle.kept_kg.sum(axis=1), idle.given_up_kg.sum(axis=1)
    assert gone.min() > 0.0
    assert given_up.min() > 0.0  # it returns aboard, and spares where it enters
    assert history.fault_kg[:, 0] == pytest.approx(gone, rel=1e-6)
    assert history.fault_spared_kg[:, 0] == pytest.approx(given_up, rel=1e-6)
    assert history.spared_kg.sum(axis=1) == pytest.approx(given_up, rel=1e-6)
    assert history.charged.sum() == pytest.approx(gone.mean(), rel=1e-6)


def test_accounts_add_up_to_the_thickness_lost() -> None:
    """The identities, in every sample and zone, through the whole integration."""
    guarded = tuple(replace(z, protection=0.02 * (k == 1)) for k, z in enumerate(ZONES))
    for one in (SHIP, replace(SHIP, zones=guarded)):
        inputs, history = walked(one, 32)
        now = int(np.searchsorted(inputs.time_grid.moments, inputs.time_grid.as_of))
        plate = inputs.hull.body.area * [metal(z.metal).density for z in one.zones]
        lost = history.mean[:, now] * plate
        assert history.lost_kg == pytest.approx(lost, rel=1e-9, abs=1e-9)
        accounts = (
            history.natural_sea_kg
            - history.protection_spared_kg
            + history.faults_kg
            + history.couple_kg
            + history.own_metals_kg
            - history.spared_kg
            + history.natural_inside_kg
        )
        assert accounts == pytest.approx(lost, rel=1e-9, abs=1e-9)
        assert history.faults_kg.sum(axis=1) == pytest.approx(
            history.fault_kg.sum(axis=1), rel=1e-9
        )
        for name in ("faults_kg", "couple_kg", "spared_kg", "protection_spared_kg"):
            assert (getattr(history, name) >= 0.0).all(), name


def test_finer_steps_change_little(monkeypatch: pytest.MonkeyPatch) -> None:
    steps = steps_module.time_steps  # how fine they are must not matter

    def finer(*given: Any) -> Any:
        coarse = steps(*given)
        more = np.arange(coarse.edges[0], coarse.edges[-1], 0.5 * YEAR)
        edges = np.unique([*coarse.edges, *more])
        return replace(coarse, edges=edges, breaks=edges[:-1])

    monkeypatch.setattr(integrate, "time_steps", finer)
    often = partial(coating_epochs, factor=1.01, look=0.5 * YEAR)
    monkeypatch.setattr(steps_module, "coating_epochs", often)
    (fine,) = integrate_history([Scenario(CASE, CASE.faults.spans)])
    for name, rel in (
        ("natural_kg", 0.01),
        ("stray_kg", 0.05),
        ("couple_kg", 0.05),
        ("mean", 0.01),
        ("since", 0.06),
    ):
        one, two = (getattr(b, name).mean(axis=0) for b in (BOOKS, fine))
        assert one == pytest.approx(two, rel=rel, abs=1e-3 * np.abs(two).max()), name


def test_states_solved_once_an_epoch_are_as_good_as_once_a_part(
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    steps = steps_module.time_steps

    def part_by_part(*given: Any) -> Any:
        coarse = steps(*given)
        assert len(coarse.breaks) < 0.5 * len(coarse.edges)
        return replace(coarse, breaks=coarse.edges[:-1])

    monkeypatch.setattr(integrate, "time_steps", part_by_part)
    (fine,) = integrate_history([Scenario(CASE, CASE.faults.spans)])
    for name in ("natural_kg", "stray_kg", "couple_kg", "mean", "since"):
        one, two = (getattr(b, name).mean(axis=0) for b in (BOOKS, fine))
        assert one == pytest.approx(two, rel=2e-3, abs=1e-4 * np.abs(two).max()), name


def test_records_every_moment_and_never_gives_metal_back() -> None:
    mean = BOOKS.mean
    assert (np.diff(mean, axis=1) >= -1e-12).all()
    assert ((BOOKS.bare > 0.0) & (BOOKS.bare <= 1.0)).all()


def test_a_dry_place_is_out_of_the_waters_reach() -> None:
    inside = SHIP.zone_index("BLG")
    assert not BOOKS.stray_kg[:, inside].any()
    assert (BOOKS.natural_kg[:, inside] > 0.0).all()


def test_a_tidal_zone_conducts_for_its_share_of_the_time() -> None:
    loss = []
    for exposure in ("immersed", "tidal"):
        wet = zone("FP", (0, 24), "port", exposure=exposure)
        far = ship(zones=(wet, *ZONES[1:]), berths=(QUAY,))
        loss.append(walked(far, 16)[1].couple_kg[:, 0].mean())
    assert 0.4 < loss[1] / loss[0] < 0.75


def test_systems_of_another_frequency_find_their_own_paths() -> None:
    amps = []
    for hertz in (50.0, 400.0):
        one = ship(
            systems=(replace(AC, hertz=hertz), DC),
            faults=(fault("A", "2019", "2020", conductor="a", amps=1.0),),
        )
        _, history = walked(one, 16)
        amps.append((history.water_charge / history.charge).mean())
    assert amps[1] > amps[0]  # the skin of the plate is thinner, more goes by water


def test_the_future_is_not_charged() -> None:
    late = replace(SHIP, faults=SHIP.faults[1:2])  # still standing
    inputs, history = walked(late, 16)
    assert (
        history.seconds[:, 0] <= inputs.time_grid.as_of - inputs.time_grid.start
    ).all()
    ahead = inputs.time_grid.moments > inputs.time_grid.as_of
    assert ahead.sum() >= 11
    assert (np.diff(history.mean[:, ahead].mean(axis=(0, 2))) > 0.0).all()


def test_small_holidays_draw_more_than_the_mean_of_bare_steel() -> None:
    # Two disks on one voltage, by hand: density ~ 1 / (r + πρa/4), radii of the basis.
    direct = walked(
        ship(faults=(current("W", "2021-01", "2022-01", 3.0, returns="ashore"),))
    )
    alternating = current(
        "W", "2021-01", "2022-01", 3.0, current="ac", returns="ashore"
    )
    rubbed = walked(ship(faults=(alternating,)))
    for (inputs, history), interface in (
        (direct, case_interface(direct[0], 0.0)),
        (rubbed, case_interface(rubbed[0], 60.0)),
    ):
        patch, holiday = (
            interface + np.pi / 4 * 0.25 * default_assumptions().value(row)
            for row in ("bare_patch_radius_m", "holiday_radius_m")
        )
        zone_at = inputs.ship.zone_index("AP")
        area = inputs.hull.body.area[zone_at]
        bare = inputs.zones.bare(as_written("2021-07").middle, slice(None))[:, zone_at]
        stray = history.stray_kg[:, zone_at]
        evenly = stray / (7870.0 * area * bare)
        spot = history.taken_spot[:, zone_at]
        share = (spot / evenly) / (patch / holiday)
        assert np.median(share) == pytest.approx(1.0, abs=0.02)


def case_interface(inputs: ModelInputs, hertz: float) -> Array:
    return inputs.paths.interface_at(hertz)


def test_a_higher_frequency_dissolves_a_smaller_share() -> None:
    # The routes differ with frequency as well: compare what each dissolves of what
    # crossed the water, which the law of the share alone decides.
    shares = []
    for hertz in (60.0, 240.0):
        fast = replace(AC, hertz=hertz)
        leak = fault("A", "2019-05", "2021-06", conductor="a", good="2019-04", amps=2.0)
        _, history = walked(ship(systems=(fast,), faults=(leak,), berths=(QUAY,)))
        shares.append((history.fault_kg / history.water_charge).mean())
    assert shares[1] / shares[0] == pytest.approx(0.5, rel=0.1)


def test_who_follows_the_walk_changes_no_digit_and_sees_its_end() -> None:
    shares: list[float] = []
    (history,) = integrate_history(
        [Scenario(CASE, CASE.faults.spans)], on_progress=shares.append
    )
    assert (history.mean == BOOKS.mean).all()
    assert (history.charged == BOOKS.charged).all()
    assert shares == sorted(shares)
    assert shares[-1] == 1.0


class _ChangedMyMind(BaseException):
    """Not an Exception, as a page's own signs to stop are not."""


def test_who_follows_the_walk_can_stop_it(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(parallel, "_LOOK", 0.01)
    steps: list[tuple[float, float]] = []
    step = integrate._add_step  # counted, to see that what was not begun is not done

    def counted(*given: Any) -> None:
        steps.append(given[2])
        step(*given)

    def refuse(share: float) -> None:
        raise _ChangedMyMind(str(share))

    monkeypatch.setattr(integrate, "_add_step", counted)
    with pytest.raises(_ChangedMyMind, match=r"0\.\d"):
        integrate_history(
            [Scenario(CASE, CASE.faults.spans)], on_progress=refuse, block=1
        )
    assert len(steps) < CASE.draws.samples


@pytest.mark.skipif(sys.platform != "linux", reason="children are had on Linux alone")
@pytest.mark.parametrize("killed", [False, True])
def test_serial_threads_and_children_agree_to_the_bit(
    monkeypatch: pytest.MonkeyPatch, *, killed: bool
) -> None:
    """Inputs and losses; a child that is killed midway leaves its rows half done."""
    day, here = time_grid_of(SHIP, TODAY), os.getpid()
    scenarios = [
        Scenario(CASE, CASE.faults.spans),
        Scenario(CASE, replace(CASE.faults.spans, ended=CASE.faults.spans.began)),
    ]
    step, empty, histories = integrate._add_step, empty_history, []

    def counted(*given: Any, **more: Any) -> LossHistory:
        histories.append(empty(*given, **more))
        return histories[-1]

    def dying(*given: Any) -> None:
        step(*given)
        if killed and os.getpid() != here and given[2][0] > day.as_of - 5 * YEAR:
            os.kill(os.getpid(), signal.SIGKILL)

    def found(cores: int, *, children: bool) -> str:
        monkeypatch.setattr(parallel, "_CORES", cores)
        monkeypatch.setitem(parallel._allowed, "children", children)
        drawn = sample_inputs(SHIP, CASE.draws, day)
        return digest([drawn, integrate_history(scenarios, causes=True, block=40)])

    monkeypatch.setenv("CORROSION_KEEP", "no")
    monkeypatch.setattr(integrate, "_FEW", 16)
    monkeypatch.setattr(integrate, "_add_step", dying)
    monkeypatch.setattr(integrate, "empty_history", counted)
    monkeypatch.setattr(threading, "active_count", lambda: 1)
    serial = found(1, children=False)
    assert found(2, children=False) == serial
    assert len(histories) == 2 * len(scenarios)
    assert found(2, children=True) == serial
    blocks = -(-CASE.draws.samples // 40)
    assert len(histories) == (3 + blocks * killed) * len(scenarios)


def test_what_fails_in_a_block_is_raised(monkeypatch: pytest.MonkeyPatch) -> None:
    def broken(*_given: Any) -> None:
        msg = "no natural loss"
        raise ValueError(msg)

    monkeypatch.setattr(coated_steel, "natural_charge", broken)
    with pytest.raises(ValueError, match="no natural loss"):
        integrate_history([Scenario(CASE, CASE.faults.spans)])


def test_more_zones_than_can_be_solved_are_refused_at_once() -> None:
    rows = tuple(
        zone(f"Z{k}", (0.0, 24.0), "port") for k in range(inputs_module.ZONES_MOST + 1)
    )
    one = ship(zones=rows)
    with pytest.raises(InputError, match=r"401 zones: .* takes 400 at most"):
        sample_inputs(one, Draws(8, 1, one.assumptions), time_grid_of(one, TODAY))
