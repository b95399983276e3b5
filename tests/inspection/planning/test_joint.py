"""Tests of planning.joint: sets whose readings tell of one another."""

from itertools import combinations

import numpy as np
import pytest

from corrosion.foundation.types import Array
from corrosion.inspection.planning.joint import (
    further_hours,
    joint_plan,
    worth_alone,
)
from corrosion.inspection.planning.plan import Candidates
from corrosion.inspection.planning.value import Prospect

RNG = np.random.default_rng(7)
SAMPLES = 2000
TWIN, LONE, FAR = (RNG.standard_normal(SAMPLES) for _ in range(3))


def known(*margins: Array) -> Prospect:
    margin = np.stack(margins, axis=1)
    zones = margin.shape[1]
    return Prospect(
        margin=margin,
        signal=margin,
        sd=np.full(zones, 0.3),
        consequence=np.full(zones, 3.0),
        renewal=0.5,
        again=0.05,
    )


def candidates(one: Prospect) -> Candidates:
    zones = len(one.sd)
    return Candidates(
        zones=tuple(f"Z{k}" for k in range(zones)),
        value=worth_alone(one),
        hours=np.ones(zones),
        access=("inside",) * zones,
    )


def test_of_two_alike_one_is_gauged_and_then_another() -> None:
    """Twins are worth most alone; with hours for two, one of them and the third."""
    one = known(0.3 + TWIN, 0.3 + TWIN, 0.5 + LONE)
    zones = candidates(one)
    assert np.argsort(-zones.value)[:2].tolist() in ([0, 1], [1, 0])
    plan = joint_plan(one, zones, hours=2.0, allowed={"inside"})
    assert len({"Z0", "Z1"} & set(plan.zones)) == 1
    assert "Z2" in plan.zones
    value = one.worth(plan.chosen.tolist()).sum()
    assert plan.value == pytest.approx(value)
    for pair in map(list, combinations(range(3), 2)):
        assert one.worth(pair).sum() <= plan.value * (1.0 + 1e-9)


def test_zones_apart_add_up() -> None:
    one = known(0.3 + TWIN, 0.5 + LONE, 0.8 + FAR)
    zones = candidates(one)
    plan = joint_plan(one, zones, hours=3.0, allowed={"inside"})
    assert plan.value == pytest.approx(zones.value.sum(), rel=0.02)


def test_more_hours_gain_until_nothing_is_left() -> None:
    one = known(0.3 + TWIN, 0.3 + TWIN, 0.5 + LONE, 0.8 + FAR)
    zones = candidates(one)
    plan = joint_plan(one, zones, hours=1.0, allowed={"inside"})
    rows = further_hours(one, zones, plan, hours=1.0, allowed={"inside"})
    assert [row[0] for row in rows] == [11.0, 21.0, 31.0, 41.0]
    assert all(gain >= 0.0 for *_, gain in rows)
    whole = one.worth([0, 1, 2, 3]).sum()
    assert rows[-1][1] == pytest.approx(whole)
    assert plan.value + sum(row[2] for row in rows) == pytest.approx(whole)
