"""Laws that the whole chain must keep, on a small invented ship."""

from dataclasses import replace
from datetime import date
from functools import cache
from itertools import permutations

import numpy as np
import pandas as pd
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from ships import AC, DC, berth, current, fault, mirrored, ship

import corrosion
from corrosion import Estimate, Ship
from corrosion.inspection.pit_parts import deepest
from corrosion.records.dates import as_written
from corrosion.records.ship import LampSet

TODAY = date(2026, 1, 1)
QUAY = berth(
    "2018-03",
    "2024-05-02",
    "shore earthed",
    earth_cable=0.1,
    shore_side="port",
    shore_distance=3.0,
)
WELDING = current(
    "W", "2020-01-02 10:00:00", "2020-01-06 14:00:00", 20.0, source="welding", zone="AP"
)
FAULTS = (
    fault("A", "2019-05-01", "2020-06", conductor="a", insulation=60.0, good="2019-04"),
    fault("B", "2020-02", conductor="b", insulation=900.0, zone="AS"),
    fault(
        "C",
        "2016",
        "2016",
        system="battery",
        current="dc",
        conductor="+",
        insulation=40.0,
        zone="RUD",
    ),
    WELDING,
)
LIT = replace(AC, lamps=LampSet(volts=127.0, watts=15.0, ratio=2.0))
SHIP = ship(systems=(LIT, DC), faults=FAULTS, berths=(QUAY,))


def estimated(one: Ship, samples: int = 64) -> Estimate:
    return corrosion.estimate(one, samples=samples, seed=1, as_of=TODAY)


@cache
def base() -> Estimate:
    """Return the estimate that all others are held against."""
    return estimated(SHIP)


def by_name(result: Estimate) -> pd.DataFrame:
    numbers = result.zones.set_index("zone").sort_index().select_dtypes("number")
    return numbers.drop(columns="rank")


def same(one: pd.DataFrame, two: pd.DataFrame, rel: float = 1e-9) -> bool:
    # what is spared is the small difference of tens of kilograms: a gram is its grain
    size = 1e-3 + one.abs().to_numpy().max(axis=0)
    gap = np.abs(one.to_numpy() - two.to_numpy()) / size
    return bool((gap < rel).all())


def test_two_runs_with_one_seed_agree_to_the_bit() -> None:
    again = estimated(SHIP)
    pd.testing.assert_frame_equal(again.zones, base().zones, check_exact=True)
    pd.testing.assert_frame_equal(again.faults, base().faults, check_exact=True)
    assert again.totals == base().totals
    other = corrosion.estimate(SHIP, samples=64, seed=2, as_of=TODAY)
    assert other.totals["stray_kg"]["mean"] != base().totals["stray_kg"]["mean"]


@pytest.mark.parametrize("order", [(3, 0, 5, 1, 4, 2), (5, 4, 3, 2, 1, 0)])
def test_permuting_zones_permutes_the_answer(order: tuple[int, ...]) -> None:
    turned = replace(SHIP, zones=tuple(SHIP.zones[k] for k in order))
    result = estimated(turned)
    assert same(by_name(result), by_name(base()))
    assert result.zones["zone"].tolist() == base().zones["zone"].tolist()


@pytest.mark.parametrize("order", list(permutations(range(4)))[5::7])
def test_permuting_faults_permutes_the_answer(order: tuple[int, ...]) -> None:
    result = estimated(replace(SHIP, faults=tuple(FAULTS[k] for k in order)))
    assert same(by_name(result), by_name(base()))
    ours = result.faults.set_index("fault").loc[["A", "B", "C", "W"]]
    numbers = base().faults.set_index("fault").select_dtypes("number")
    assert same(numbers.fillna(0.0), ours[numbers.columns].fillna(0.0))


def test_a_mirrored_ship_has_mirrored_results() -> None:
    result = estimated(mirrored(SHIP))
    assert same(by_name(result), by_name(base()), rel=1e-7)
    assert result.totals["stray_kg"] == pytest.approx(
        base().totals["stray_kg"], rel=1e-9
    )


def test_no_fault_and_no_couple_no_stray_loss() -> None:
    idle = estimated(replace(SHIP, faults=(), berths=()))
    for name in ("stray_kg", "couple_kg", "ceiling_kg", "charge_ah", "water_share"):
        assert set(idle.totals[name].values()) == {0.0}
    assert idle.totals["natural_kg"]["p10"] > 0.0
    assert len(idle.faults) == 0
    assert idle.zones["leading_fault"].isna().all()
    assert (idle.zones["leading_cause"] == "natural").all()


def test_what_is_charged_adds_up_to_the_stray_loss() -> None:
    unlit = estimated(replace(SHIP, systems=(AC, DC)))
    history = unlit.history
    charged = history.fault_kg.sum(axis=1) + history.couple_kg.sum(axis=1)
    stray = history.stray_kg.sum(axis=1)
    assert charged == pytest.approx(stray, rel=1e-9, abs=1e-12)
    assert history.charged.sum() == pytest.approx(history.fault_kg.sum(axis=1).mean())


def test_the_ceiling_is_above_every_direct_current_charge() -> None:
    faults = base().faults.set_index("fault")
    for name in ("C", "W"):
        row = faults.loc[name]
        assert row["kg_mean"] <= row["ceiling_kg_mean"] * (1.0 + 1e-9)
    assert (base().history.fault_kg[:, 3] <= 20.0 * 100.2 * 1.2e-3).all()


@given(hours=st.floats(1.0, 2000.0))
@settings(deadline=None, max_examples=3)
def test_a_longer_fault_takes_no_less(hours: float) -> None:
    until = as_written("2020-01-06 14:00:00")
    later = replace(
        until,
        text="later",
        earliest=until.earliest + hours * 3600.0,
        latest=until.latest + hours * 3600.0,
    )
    longer = estimated(
        replace(SHIP, faults=(*FAULTS[:3], replace(WELDING, cleared=later)))
    )
    assert (longer.history.fault_kg[:, 3] >= base().history.fault_kg[:, 3]).all()
    assert (longer.history.charge[:, 3] > base().history.charge[:, 3]).all()


def test_twice_the_current_is_twice_the_stray_loss() -> None:
    readings = [replace(WELDING.readings, amps=a) for a in (0.05, 0.1)]
    one, two = (
        estimated(
            replace(SHIP, berths=(), faults=(replace(WELDING, readings=r),))
        ).history.stray_kg
        for r in readings
    )
    assert np.abs(one).max() > 0.0  # zone by zone: the sum of a return aboard is nil
    # So small that no zone's balance is driven to nothing.
    assert two == pytest.approx(2.0 * one, rel=1e-6, abs=1e-9 * np.abs(one).max())


@pytest.mark.parametrize("cut", ["2020-01-02 11:00:00", "2020-01-05 23:59:59"])
def test_splitting_a_fault_in_two_changes_nothing(cut: str) -> None:
    at = as_written(cut)
    whole = replace(WELDING, returns="ashore")
    halves = (
        replace(whole, cleared=at),
        replace(whole, fault="W2", found=at),
    )
    one, two = (
        estimated(replace(SHIP, berths=(), faults=rows), 1024)
        for rows in ((whole,), halves)
    )
    # Dates to the second; the clamp is drawn twice, so its mean is what must agree.
    for name in ("stray_kg", "charge_ah", "ceiling_kg", "natural_kg"):
        assert two.totals[name]["mean"] == pytest.approx(
            one.totals[name]["mean"], rel=2e-4
        )
    joined = two.history.seconds.sum(axis=1)
    assert joined == pytest.approx(one.history.seconds[:, 0], abs=2.0)


def test_splitting_a_berth_in_two_changes_nothing() -> None:
    halves = (
        replace(QUAY, end=as_written("2021")),
        replace(QUAY, start=as_written("2021")),
    )
    two = estimated(replace(SHIP, berths=halves), 512)
    one = estimated(SHIP, 512)
    for name in ("stray_kg", "couple_kg"):
        assert two.totals[name]["mean"] == pytest.approx(
            one.totals[name]["mean"], rel=1e-3
        )


def test_adding_a_fault_leaves_what_was_drawn_for_the_others() -> None:
    more = estimated(
        replace(SHIP, faults=(*FAULTS, current("Z", "2021", "2021", 0.1, zone="FS")))
    )
    assert (more.history.seconds[:, :4] == base().history.seconds).all()
    assert (more.inputs.faults.amps[:, 3] == base().inputs.faults.amps[:, 3]).all()
    assert (more.inputs.zones.natural == base().inputs.zones.natural).all()


def test_the_deepest_pit_never_shrinks() -> None:
    result, time_grid = base(), base().inputs.time_grid
    deep = np.array(
        [
            deepest(result.inputs, result.history, at)
            for at in range(len(time_grid.moments))
        ]
    )
    assert (np.diff(deep, axis=0) >= -1e-9).all()
    painted = result.inputs.zones.paint.written
    assert ((painted > time_grid.start) & (painted < time_grid.as_of)).any()
