from itertools import combinations

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from corrosion.foundation.errors import InputError
from corrosion.inspection.planning.days import by_days
from corrosion.inspection.planning.plan import (
    Candidates,
    best_plan,
    left_out,
)

KINDS = ("inside", "diver", "dock")


def candidates(seed: int, zones: int = 9) -> Candidates:
    rng = np.random.default_rng(seed)
    return Candidates(
        zones=tuple(f"Z{place}" for place in range(zones)),
        value=np.asarray(rng.integers(0, 50, zones) * 1e-3, np.float64),
        hours=np.asarray(rng.integers(1, 9, zones) * 0.5, np.float64),
        access=tuple(rng.choice(KINDS, zones)),
    )


@settings(deadline=None, max_examples=40)
@given(seed=st.integers(0, 2**32 - 1), hours=st.integers(8, 24))
def test_no_other_set_is_better(seed: int, hours: float) -> None:
    zones = candidates(seed)
    allowed = {"inside", "diver", "dock"}
    plan = best_plan(
        zones, hours=hours * 0.5, allowed=allowed, access_hours={"diver": 2.0}
    )
    diver = np.array(zones.access) == "diver"
    best = 0.0
    for count in range(1, 10):
        for chosen in map(list, combinations(range(9), count)):
            cost = zones.hours[chosen]
            if cost.sum() <= hours * 0.5 and cost[diver[chosen]].sum() <= 2.0:
                best = max(best, float(zones.value[chosen].sum()))
    assert plan.value == pytest.approx(best)
    assert plan.gap == 0.0
    assert plan.hours_used <= hours * 0.5 + 1e-9
    assert plan.hours_used == pytest.approx(zones.hours[plan.chosen].sum())


def test_ninety_six_zones_are_proven_best() -> None:
    plan = best_plan(candidates(1, 96), hours=40.0, allowed={"inside", "diver"})
    assert plan.gap == 0.0
    assert plan.hours_used > 39.0


def test_only_allowed_access_and_zones_with_value() -> None:
    zones = Candidates(
        zones=("A", "B", "C"),
        value=np.array([1.0, 5.0, 0.0]),
        hours=np.array([2.0, 1.0, 1.0]),
        access=("inside", "dock", "inside"),
    )
    plan = best_plan(zones, hours=10.0, allowed={"inside"})
    assert plan.zones == ("A",)
    rest = left_out(zones, plan, np.array([0.5, 0.1, 0.4]))
    assert rest.zones == ("C", "B")
    assert rest.share == pytest.approx(0.5)
    whole = best_plan(zones, hours=10.0, allowed={"inside", "dock"})
    assert whole.zones == ("B", "A")


def test_values_of_nothing_give_an_empty_plan() -> None:
    zones = Candidates(
        zones=("A",), value=np.zeros(1), hours=np.ones(1), access=("inside",)
    )
    plan = best_plan(zones, hours=1.0, allowed={"inside"})
    assert (plan.zones, plan.value, plan.hours_used) == ((), 0.0, 0.0)


@settings(deadline=None, max_examples=20)
@given(seed=st.integers(0, 2**32 - 1))
def test_days_hold_every_zone_and_no_more_than_a_day(seed: int) -> None:
    zones = candidates(seed)
    plan = best_plan(zones, hours=30.0, allowed=KINDS)
    days = by_days(zones, plan, day_hours=3.0)
    assert sum(day.hours for day in days) == pytest.approx(plan.hours_used)
    assert max(day.hours for day in days) <= 3.0
    assert {zone for day in days for zone in day.zones} == set(plan.zones)
    assert [day.day for day in days] == list(range(1, len(days) + 1))
    for day in days:
        for zone in day.zones:
            assert zones.access[zones.zones.index(zone)] == day.access


def test_names_what_is_impossible() -> None:
    zones = candidates(3)
    with pytest.raises(InputError, match="hours must be more than 0, got nan"):
        best_plan(candidates(1), hours=float("nan"), allowed=KINDS)
    with pytest.raises(InputError, match=r"0.1 hours are fewer than the cheapest zone"):
        best_plan(zones, hours=0.1, allowed=KINDS)
    with pytest.raises(InputError, match="no zone can be reached with that access"):
        best_plan(zones, hours=10.0, allowed={"balloon"})
    with pytest.raises(InputError, match=r"day_hours must be > 0 h, got 0 h"):
        by_days(zones, best_plan(zones, hours=9.0, allowed=KINDS), day_hours=0.0)
    with pytest.raises(InputError, match="hours must be more than 0 h, got 0 for zone"):
        Candidates(zones=("A",), value=np.ones(1), hours=np.zeros(1), access=("dock",))
    with pytest.raises(InputError, match="value must be 0 or more, got nan for zone A"):
        Candidates(
            zones=("A",), value=np.array([np.nan]), hours=np.ones(1), access=("dock",)
        )
    with pytest.raises(InputError, match="one value, hours and access for each zone"):
        Candidates(zones=("A",), value=np.ones(2), hours=np.ones(1), access=("dock",))
