"""What 2,400 panels cost beside a dense solution of the same size by LAPACK."""

import tracemalloc
from collections.abc import Callable
from time import perf_counter
from typing import Any

import numpy as np
import pytest
from hull.bodies import spheroid

from corrosion.hull.panels import group_resistance, resistance_matrix
from corrosion.types import Array

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


@pytest.mark.parametrize("work", [dense, zones, zones_lopsided, panel_by_panel])
def test_bench_panels(benchmark: Any, work: Callable[[], Array]) -> None:
    assert np.isfinite(benchmark(work)).all()


def least_time(work: Callable[[], object], rounds: int = 3) -> float:
    times = []
    for _ in range(rounds):
        start = perf_counter()
        work()
        times.append(perf_counter() - start)
    return min(times)


def test_takes_little_more_than_lapack(request: pytest.FixtureRequest) -> None:
    if not request.config.getoption("benchmark_enable"):
        pytest.skip("times are measured with --benchmark-enable only")
    beside = least_time(dense)
    for work in (zones, zones_lopsided, panel_by_panel):
        ratio = least_time(work) / beside
        print(f"{work.__name__}: {ratio:.2f} times LAPACK")  # noqa: T201 - to be seen
        assert ratio < 4.0


def test_stays_within_memory() -> None:
    tracemalloc.start()
    try:
        resistance_matrix(LOPSIDED, 0.3)
        peak = tracemalloc.get_traced_memory()[1]
    finally:
        tracemalloc.stop()
    assert peak < 1.5 * 2**30
