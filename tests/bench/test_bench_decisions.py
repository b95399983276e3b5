"""What deciding costs beside one estimate: isolation, gaugings, a plan."""

from dataclasses import replace
from functools import partial
from time import process_time
from typing import Any

import pytest
from bench.grown import AS_OF, gauged, with_zones
from bench.measuring import ROOT, Ratios, by_the_wall, least

import corrosion
from corrosion import Ship
from corrosion.foundation.defaults import SAMPLES
from corrosion.presentation.answers.isolation import isolation_result
from corrosion.presentation.answers.plan import gauging_plan

LIMITS = (1.0, 4.0, 8.0, 24.0, 48.0, 168.0, 720.0, 2160.0)


@pytest.fixture(scope="module")
def plover() -> Ship:
    ship = corrosion.read_ship(ROOT / "data" / "grey-plover")
    corrosion.estimate(ship, samples=8)  # solve the hull's water once
    return ship


def samples(ratios: Ratios) -> int:
    return SAMPLES if ratios.measuring else 16


def test_isolation_curve_of_eight_limits(
    benchmark: Any, ratios: Ratios, plover: Ship
) -> None:
    whole = partial(corrosion.estimate, plover, samples=samples(ratios), as_of=AS_OF)
    start = process_time()
    result = whole()
    once = process_time() - start
    rows = benchmark.pedantic(isolation_result, (result, LIMITS))["limits"]
    curve = process_time() - start - once
    saved = [row["saved_kg"]["mean"] for row in rows]
    assert len(rows) == len(LIMITS)
    assert saved == sorted(saved, reverse=True)
    words = "isolation curve of 8 limits, in estimates"
    ratios.note(words, curve / once, at_most=8.0)


def test_weighting_by_500_gaugings(
    benchmark: Any, ratios: Ratios, plover: Ship
) -> None:
    more: dict[str, Any] = {"samples": samples(ratios), "as_of": AS_OF}
    ship = gauged(plover, 500 if ratios.measuring else 40)
    result = benchmark.pedantic(corrosion.estimate, (ship,), more)
    assert result.calibration.measured is not None
    without, weighted = (
        least(partial(corrosion.estimate, one, **more), ratios.rounds)
        for one in (replace(ship, gaugings=()), ship)
    )
    words = "with 500 gaugings over without"
    ratios.note(words, weighted / without, at_most=1.2)


def test_a_plan_of_96_zones(benchmark: Any, ratios: Ratios) -> None:
    ship = with_zones(96 if ratios.measuring else 12)
    result = corrosion.estimate(
        ship, samples=512 if ratios.measuring else 16, as_of=AS_OF
    )

    def plan() -> dict[str, object]:
        return gauging_plan(result, hours=40.0, access=("inside", "diver", "dock"))

    answer = benchmark.pedantic(plan)
    assert 0.0 < answer["hours_used"] <= 40.0
    ratios.note("plan of 96 zones [s]", by_the_wall(plan, ratios.rounds), at_most=1.0)
