"""The danger line: when it stands, when it does not, and which amperes it names."""

import re
from dataclasses import replace
from datetime import date
from typing import Any

import numpy as np
import pytest
from ships import AC, berth, fault, ship

from corrosion import estimate
from corrosion.inspection.cautions import DANGER
from corrosion.inspection.dangers import holes, without_holes
from corrosion.presentation.answers.dangers import dangers_on, touched_on
from corrosion.presentation.answers.plan import gauging_plan
from corrosion.records.dates import as_written
from corrosion.records.ship import Gauging, Ship

DAY = date(2026, 1, 1)


def lying(ohms: float = 1500.0, **more: Any) -> Ship:
    """Return a ship at an earthed quay with one standing fault that was tested."""
    facts: dict[str, Any] = {"shore_earth": 2.0}
    cleared = more.pop("cleared", None)
    extra = more.pop("fault", {})
    one = fault("F1", "2025-12-01", cleared, conductor="a", insulation=ohms, **extra)
    stay = berth("2020", None, "shore earthed", **(facts | more))
    return ship(berths=(stay,), faults=(one,))


def named(one: Ship) -> list[str | None]:
    return [row["fault"] for row in dangers_on(one, DAY, samples=64)]


@pytest.mark.parametrize(
    ("more", "danger"),
    [
        ({"earth_none": True}, True),
        ({}, True),  # blank: not known
        ({"earth_cable": 1.4}, True),
        ({"earth_cable": 1.0}, False),
        ({"earth_cable": 0.1}, False),
        ({"earth_none": True, "ohms": 60e3}, False),  # some 4 mA
        ({"earth_none": True, "cleared": "2025-12-20"}, False),
        ({"fault": {"isolated": as_written("2025-12-20")}}, False),
    ],
)
def test_a_standing_fault_meets_an_earthed_supply(
    more: dict[str, Any], danger: bool
) -> None:
    assert named(lying(**more)) == ["F1"] * danger


def test_a_floating_system_and_her_own_supply_raise_no_hull() -> None:
    afloat = lying(earth_none=True)
    own = replace(afloat, berths=(berth("2020", None),))
    inboard = replace(afloat, systems=(replace(AC, fed_from_shore=False),))
    assert named(own) == named(inboard) == []


def test_the_hull_that_is_raised_is_a_danger_whatever_the_conductor() -> None:
    # 440 V star to earth, 254 V: a solid fault through 20 Ω of shore earth and 0.9 Ω
    # of conductor, held to what does not trip, some 10 A: about 9 V; without the
    # conductor 127 to 254 V.
    solid = lying(0.5, earth_cable=0.9, shore_earth=20.0)
    assert named(solid) == []
    far = lying(0.5, earth_none=True, shore_earth=20.0)
    (row,) = dangers_on(far, DAY, samples=256)
    volts = float(row["text"].split("hull raised by ")[1].split(" V")[0])
    assert 100.0 < volts < 254.0


def test_the_words_name_berth_fault_and_what_to_do_first() -> None:
    (row,) = dangers_on(lying(earth_none=True), DAY, samples=64)
    assert row["text"].startswith(DANGER)
    found = re.search(r"F1 stands, about ([\d.]+) A here; no protective", row["text"])
    assert found is not None
    assert (row["berth"], row["zone"]) == ("an invented quay", None)
    assert float(found[1]) == pytest.approx(254.0 / 1500.0, rel=0.1)


def test_the_estimate_names_the_same_as_the_light_way() -> None:
    one = lying(earth_none=True)
    result = estimate(one, samples=64, as_of=DAY)
    assert result.to_json()["dangers"] == dangers_on(one, DAY, samples=64)
    now = touched_on(one, DAY, samples=64)
    assert now["power"]["as_she_stands"] > now["power"]["healthy"]
    # Tied to earth with nothing else to hull a body carries 254 V over 1,000 Ω.
    assert now["power"]["as_she_stands"] == pytest.approx(254.0, rel=0.05)


def hole(zone: str, when: str, thickness: float = 0.0, **more: Any) -> Gauging:
    return Gauging(zone=zone, date=as_written(when), thickness=thickness, **more)


def test_a_hole_leaves_the_plan_and_stands_as_a_danger() -> None:
    good = tuple(hole(z, "2024-05", 0.0093) for z in ("FP", "AS"))
    one = ship(gaugings=(*good, hole("FP", "2025-06", kind="least")))
    result = estimate(one, samples=64, as_of=DAY)
    (row,) = result.to_json()["dangers"]
    assert (row["zone"], row["fault"]) == ("FP", None)
    assert "FP is holed (0 mm on 2025-06)" in row["text"]
    plan = gauging_plan(result, hours=500.0, access={"inside", "diver", "dock"})
    assert "FP" not in plan["zones"]
    whole = estimate(replace(one, gaugings=good), samples=64, as_of=DAY)
    assert np.array_equal(whole.outlook.left, result.outlook.left)
    planned = gauging_plan(whole, hours=500.0, access={"inside", "diver", "dock"})
    assert "FP" in planned["zones"]


def test_a_hole_stands_until_the_least_that_is_found_is_something() -> None:
    one = hole("FP", "2025-06", kind="least")
    mean = hole("FP", "2025-07", 0.009)
    closed = hole("FP", "2025-08", 0.009, kind="least")
    again = hole("FP", "2025-09", kind="least")
    for rows, stands in (
        ((one,), [one]),
        ((one, mean), [one]),
        ((one, mean, closed), []),
        ((one, closed, again), [again]),
    ):
        assert list(holes(ship(gaugings=rows))) == stands
    assert without_holes(ship(gaugings=(one, mean))).gaugings == (mean,)
