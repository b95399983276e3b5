"""What 2,400 panels cost beside a dense solution of the same size by LAPACK."""

import tracemalloc
from collections.abc import Callable
from typing import Any

import numpy as np
import pytest
from bench.measuring import GIBIBYTE, Ratios, by_the_wall
from hull.bodies import spheroid

from corrosion.foundation.types import Array
from corrosion.hull.water.boundary_elements import group_resistance, resistance_matrix

BODY = spheroid(50.0, 5.0, 80, 30)
LOPSIDED = BODY + np.array([0.0, 3.0, 0.0])
GROUP = np.arange(2400) // 100


def dense() -> Array:
    rng = np.random.default_rng(1)
    matrix = rng.random((2400, 2400)) + 2400.0 * np.eye(2400)
    return np.asarray(np.linalg.solve(matrix, rng.random(2400)))


def zones() -> Array:
    return group_resistance(BODY, GROUP, 0.3).matrix


def zones_lopsided() -> Array:
    return group_resistance(LOPSIDED, GROUP, 0.3).matrix


def panel_by_panel() -> Array:
    return resistance_matrix(BODY, 0.3)


@pytest.mark.parametrize("work", [zones, zones_lopsided, panel_by_panel])
def test_takes_little_more_than_lapack(
    benchmark: Any, ratios: Ratios, work: Callable[[], Array]
) -> None:
    found: Array = benchmark.pedantic(work)
    assert np.isfinite(found).all()
    if ratios.measuring:
        ratio = by_the_wall(work) / by_the_wall(dense)
        name = work.__name__.replace("_", " ")
        ratios.note(f"2,400 panels over LAPACK: {name}", ratio, at_most=4.0)


def test_stays_within_memory(benchmark: Any, ratios: Ratios) -> None:
    tracemalloc.start()
    try:
        benchmark.pedantic(resistance_matrix, (LOPSIDED, 0.3))
        peak = tracemalloc.get_traced_memory()[1]
    finally:
        tracemalloc.stop()
    assert peak < 1.5 * GIBIBYTE
    ratios.note("  peak [GiB]", peak / GIBIBYTE, at_most=1.5)
