"""Tests of history.depth: pits that paint does not fill, and works on plates."""

from dataclasses import replace
from datetime import date
from typing import Literal, get_args

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from ships import ZONES, ship

from corrosion.foundation.assumptions import default_assumptions
from corrosion.foundation.sampling import Draws
from corrosion.foundation.types import Array
from corrosion.history.depth import DepthLoss
from corrosion.history.inputs import ModelInputs, sample_inputs
from corrosion.history.integrate import integrate_history
from corrosion.history.time_grid import time_grid_of
from corrosion.history.time_steps import Scenario
from corrosion.inspection.pit_parts import deepest
from corrosion.records.dates import as_written
from corrosion.records.ship import Work, WorkKind
from corrosion.wastage.works import PlateWork

TODAY = date(2026, 1, 1)
PLAIN = tuple(replace(z, bare=None, bare_seen=None) for z in ZONES)
MM = 1e-3


def drawn(*works: Work, samples: int = 64) -> ModelInputs:
    one = replace(ship(zones=PLAIN), works=works)
    draws = Draws(samples, 1, default_assumptions())
    return sample_inputs(one, draws, time_grid_of(one, TODAY))


INPUTS = drawn()
ALL = np.ones((64, len(PLAIN)), dtype=np.bool_)


def worn(depth: DepthLoss, spot: float, inner: float = 0.0) -> None:
    """Take some mm off bare spots and off the inner face; the mean a tenth of it."""
    each = np.ones_like(depth.mean) * MM
    depth.add(
        (0.1 * spot * each, 0.0 * each),
        (spot * each, 0.0 * each),
        inner * each,
        np.full_like(each, 0.1),
    )


def deep(depth: DepthLoss) -> Array:
    new = depth.worn + depth._new_pit(np.full_like(depth.mean, 0.1))
    return np.asarray(np.maximum(depth.pit, new))


def test_paint_fills_no_pit_and_stops_it_while_it_holds() -> None:
    depth = DepthLoss(INPUTS, slice(None))
    worn(depth, 1.0)
    before = deep(depth)
    depth.paint(ALL, np.full_like(depth.mean, 0.1))
    assert deep(depth) == pytest.approx(before)
    worn(depth, 0.01, inner=0.1)
    zones = INPUTS.zones
    failed = 0.1 * zones.pit_paint > zones.pit_place
    assert 0.02 < failed.mean() < 0.4
    grown = deep(depth) - before
    assert grown[~failed] == pytest.approx(0.1 * MM)
    # where its own spot lost a hundredth more, it goes on as it went
    last = before[failed] * (1.01**0.65 - 1.0)
    assert grown[failed] == pytest.approx(0.1 * MM + last, rel=1e-4)


def test_new_pits_deepen_as_a_power_of_the_loss() -> None:
    """A tenth of a millimetre: 10^0.35 times as deep over the loss as a millimetre."""
    few, many = (DepthLoss(INPUTS, slice(None)) for _ in range(2))
    worn(few, 0.1)
    worn(many, 1.0)
    assert many.since_as_pits == pytest.approx(many.since)
    assert few.since_as_pits == pytest.approx(few.since * 10.0**0.35)
    assert deep(few) == pytest.approx(deep(many) * 10.0**-0.65)


def test_a_new_pit_may_overtake_an_old_one() -> None:
    depth = DepthLoss(INPUTS, slice(None))
    worn(depth, 0.1)
    depth.paint(ALL, np.full_like(depth.mean, 0.1))
    old = depth.pit.copy()
    worn(depth, 1.0)
    assert (deep(depth) > old).all()
    assert np.median(deep(depth) / old) > 3.0


steps = st.lists(
    st.tuples(st.sampled_from(["wear", "paint", "fill"]), st.floats(0.0, 0.5)),
    min_size=1,
    max_size=12,
)


@given(steps=steps)
@settings(deadline=None, max_examples=40)
def test_the_deepest_pit_never_falls_but_by_welding_or_renewal(
    steps: list[tuple[str, float]],
) -> None:
    depth = DepthLoss(INPUTS, slice(None))
    share, last = np.full_like(depth.mean, 0.1), np.zeros_like(depth.mean)
    for what, amount in steps:
        if what == "wear":
            worn(depth, amount, inner=0.2 * amount)
        elif what == "paint":
            depth.paint(ALL, share)
        else:
            depth.repair(work("pits filled"), share)
        assert (deep(depth) >= last - 1e-12).all()
        last = deep(depth)


def work(
    kind: WorkKind | Literal["pits left"], share: float = 1.0, gain: float = 0.0
) -> PlateWork:
    every = np.ones(len(PLAIN), dtype=np.bool_)
    return PlateWork(
        moment=0.0,
        work=kind,
        zones=every,
        share=share,
        gain=np.full(len(PLAIN), gain),
    )


def test_works_do_what_they_say() -> None:
    share = np.full((64, len(PLAIN)), 0.1)

    def after(done: PlateWork) -> tuple[DepthLoss, Array]:
        depth = DepthLoss(INPUTS, slice(None))
        worn(depth, 1.0, inner=0.5)
        depth.paint(ALL, share)
        worn(depth, 0.2)
        depth.repair(done, share)
        return depth, deep(depth)

    _, untouched = after(work("pits filled", share=0.0))
    _, filled = after(work("pits filled"))
    assert filled == pytest.approx(untouched)
    welded, left = after(work("pits welded"))
    assert (left < untouched).all()
    # nor is a spot left that was worn deeper than the plate about it
    assert welded.worn == pytest.approx(welded.mean)
    assert welded.since == pytest.approx(np.zeros_like(welded.since))
    assert np.isneginf(welded.pit).all()
    assert (left >= welded.mean - 1e-12).all()  # the plate about them is as it was
    new, gone = after(work("renewed", gain=1.0 * MM))
    assert new.mean == pytest.approx(-1.0 * MM)  # a millimetre thicker than as built
    assert gone == pytest.approx(np.full_like(gone, -1.0 * MM))
    part, same = after(work("renewed", share=0.5))
    assert part.mean == pytest.approx(0.5 * (0.12 + 0.5) * MM)
    assert same == pytest.approx(untouched)  # the deepest pit may be in what is left
    doubled, _ = after(work("doubler", gain=8.0 * MM))
    assert doubled.mean == pytest.approx((0.62 - 8.0) * MM)


def test_a_yard_that_welds_a_few_pits_welds_the_deepest() -> None:
    share = np.full((64, len(PLAIN)), 0.1)
    third = INPUTS.zones.pit_left  # of the plate, as surveyors judge
    built = np.array([zone.built for zone in PLAIN])
    spread = np.quantile(third / built, [0.1, 0.5, 0.9], axis=0)
    assert spread.mean(axis=1) == pytest.approx([0.26, 0.33, 0.42], abs=0.02)
    depth = DepthLoss(INPUTS, slice(None))
    worn(depth, 0.8)
    before = deep(depth)
    depth.repair(work("pits welded", share=0.01), share)
    after, shallow = deep(depth), before < third
    assert 0.1 < shallow.mean() < 0.9
    seen = INPUTS.zones.pit_place >= 0.01
    # one was welded: a pit of a third was there
    assert after[shallow & seen] == pytest.approx(third[shallow & seen])
    assert (after[~shallow] <= before[~shallow] + 1e-12).all()
    # but for the one in ten that lies where nobody sees it
    lots = INPUTS.draws.block("welded 0", 2 * len(PLAIN))
    unseen = lots[:, : len(PLAIN)] < 0.1
    found = ~shallow & seen
    assert 0.02 < unseen[found].mean() < 0.25
    whole = np.array([zone.built for zone in PLAIN])
    most = np.where(unseen, np.minimum(before, whole), third)
    level = depth.worn  # the plate about them
    assert after[found] == pytest.approx(np.maximum(most, level)[found])
    # of those left one lies where paint fails sooner than at a place chosen at random
    deeper = found & (before > 1.5 * third)
    place, drawn = depth.place[deeper], lots[:, len(PLAIN) :][deeper]
    assert (place <= drawn + 1e-12).all()
    assert (place < 0.7 * drawn).mean() > 0.2
    plan = DepthLoss(INPUTS, slice(None))
    worn(plan, 0.8)
    plan.repair(replace(work("pits welded", share=0.01), moment=4e9), share)
    assert deep(plan)[shallow & seen] == pytest.approx(before[shallow & seen])


def test_a_yard_that_leaves_a_plate_leaves_no_deeper_pit_but_in_one_of_ten() -> None:
    share = np.full((64, len(PLAIN)), 0.1)
    depth = DepthLoss(INPUTS, slice(None))
    worn(depth, 0.8)
    before, most = deep(depth), INPUTS.zones.pit_left
    depth.repair(work("pits left"), share)
    after, deeper = deep(depth), before > most
    assert 0.1 < deeper.mean() < 0.9
    assert after[~deeper] == pytest.approx(before[~deeper])
    kept = after > most + 1e-12
    assert after[kept] == pytest.approx(before[kept])
    assert after[deeper & ~kept] == pytest.approx(most[deeper & ~kept])
    assert kept[deeper].mean() == pytest.approx(0.1, abs=0.05)


def test_what_a_weld_left_goes_on_as_a_pit_of_its_depth() -> None:
    """By hand: K d^0.65 is as deep as what was left, half by another d, half by K."""
    share, lost = np.full((64, len(PLAIN)), 0.1), 0.8
    depth = DepthLoss(INPUTS, slice(None))
    worn(depth, lost)
    factor = deep(depth) / lost**0.65
    depth.repair(work("pits welded", share=0.01), share)
    depth.paint(ALL, share)
    left = depth.pit.copy()
    by_law = (left / factor) ** (1.0 / 0.65)
    worn(depth, 0.1)
    failed = 0.1 * INPUTS.zones.pit_paint > depth.place
    half = np.sqrt(lost * by_law)
    expected = left * ((half + 0.1) / half) ** 0.65
    third = np.isclose(left, INPUTS.zones.pit_left) & failed
    assert third.sum() > 20
    assert depth.pit[third] == pytest.approx(expected[third], rel=1e-6)
    assert depth.pit[~failed] == pytest.approx(left[~failed])


@pytest.mark.parametrize("kind", [k for k in get_args(WorkKind) if "anode" not in k])
def test_works_through_the_whole_integration(kind: WorkKind) -> None:
    day = as_written("2020-06-01")
    done = Work(date=day, zone="FP", work=kind, thickness=0.012, counts=True)
    moments = np.array([day.earliest - 1.0, day.latest + 9e4, 1.7e9])
    found = []
    for works in ((), (done,)):
        inputs = drawn(*works, samples=32)
        grid = replace(inputs.time_grid, moments=moments, as_of=float(moments[-1]))
        inputs = replace(inputs, time_grid=grid)
        (history,) = integrate_history([Scenario(inputs, inputs.faults.spans)])
        each = [deepest(inputs, history, at) for at in range(3)]
        found.append((history, np.array(each)))
    (plain, pits), (worked, after) = found
    assert after[0] == pytest.approx(pits[0])
    assert worked.mean[:, :, 1:] == pytest.approx(plain.mean[:, :, 1:], rel=0.01)
    change = (worked.mean - plain.mean)[:, 1, 0]
    built = PLAIN[0].built
    if kind in ("painted", "pits filled"):
        assert after[1, :, 0] == pytest.approx(after[0, :, 0], rel=0.02)
        assert np.abs(change).max() < 1e-5
    elif kind == "pits welded":
        assert (after[1, :, 0] < after[0, :, 0]).all()
        assert np.median(after[1, :, 0] / after[0, :, 0]) < 0.7
    elif kind == "renewed":
        assert worked.mean[:, 1, 0] == pytest.approx(built - 0.012, abs=2e-5)
        assert (after[2, :, 0] < pits[2, :, 0]).all()
        plate = 7870.0 * inputs.hull.body.area[0]  # what was renewed is lost as well
        assert (worked.lost_kg[:, 0] > plain.mean[:, 0, 0] * plate).all()
    else:
        assert change == pytest.approx(-0.012, abs=1e-5)
