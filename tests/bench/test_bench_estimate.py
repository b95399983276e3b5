"""What the main job costs beside its own draws and one pass of its own products.

With ``--benchmark-enable`` and ``CORROSION_BENCH_SAMPLES=4096`` at the size that
people use; a few samples otherwise, so that it keeps running as a test.
"""

import os
import subprocess
import sys
from pathlib import Path
from time import process_time
from typing import Any

import numpy as np
import pytest

import corrosion
from corrosion import Estimate, Ship
from corrosion.leakage.timeline import FAULT_COLUMNS
from corrosion.records.ship import WETTED
from corrosion.sampling import Draws

ROOT = Path(__file__).parents[2]
PLOVER = ROOT / "data" / "grey-plover"
SAMPLES = int(os.environ.get("CORROSION_BENCH_SAMPLES", "256"))
GIBIBYTE = 2**30


@pytest.fixture(scope="module")
def plover() -> Ship:
    ship = corrosion.read_ship(PLOVER)
    corrosion.estimate(ship, samples=8)  # solve the hull's water once
    return ship


def whole(ship: Ship) -> Estimate:
    return corrosion.estimate(ship, samples=SAMPLES, seed=1)


def draws_and_products(ship: Ship) -> float:
    """Draw every block, invert each sample's water once, multiply faults through it."""
    draws = Draws(SAMPLES, 1)
    for fault in ship.faults:
        draws.block(f"fault {fault.fault}", len(FAULT_COLUMNS))
    for zone in ship.zones:
        draws.block(f"zone {zone.zone}", 7)
    for k in range(len(ship.berths)):
        draws.block(f"berth {k} dates", 2)
    wet = sum(zone.exposure in WETTED for zone in ship.zones)
    base = np.eye(wet) + draws.block("paths", 1)[:, :, None]
    routes = np.linalg.inv(base)
    amps = draws.block("wastage", len(ship.faults))
    through = np.repeat(routes[:, :1], len(ship.faults), axis=1)
    return float((amps[:, None, :] @ through).sum())


def test_bench_estimate(benchmark: Any, plover: Ship) -> None:
    result = benchmark(whole, plover)
    assert result.samples == SAMPLES
    assert result.totals["stray_kg"]["mean"] > 0.0


def test_bench_draws_and_products(benchmark: Any, plover: Ship) -> None:
    assert np.isfinite(benchmark(draws_and_products, plover))


def test_ratio_to_the_floor(request: pytest.FixtureRequest, plover: Ship) -> None:
    if not request.config.getoption("benchmark_enable"):
        pytest.skip("times are measured with --benchmark-enable only")
    times = []
    for work in (whole, draws_and_products):
        start = process_time()
        work(plover)
        times.append(process_time() - start)
    ratio = times[0] / times[1]
    said = f"{SAMPLES} samples: {times[0]:.2f} s of processor, {ratio:.0f} x the floor"
    print(said)  # noqa: T201 - to be seen
    assert ratio < 200.0


def test_peak_memory_is_below_a_gibibyte(request: pytest.FixtureRequest) -> None:
    pytest.importorskip("resource")  # not on every system
    if not request.config.getoption("benchmark_enable"):
        pytest.skip("memory is measured with --benchmark-enable only")
    code = (
        "import corrosion, resource\n"
        f"ship = corrosion.read_ship({str(PLOVER)!r})\n"
        f"corrosion.estimate(ship, samples={max(SAMPLES, 4096)})\n"
        "print(resource.getrusage(resource.RUSAGE_SELF).ru_maxrss)"
    )
    done = subprocess.run(
        [sys.executable, "-c", code],
        capture_output=True,
        text=True,
        check=True,
        env={**os.environ, "PYTHONPATH": str(ROOT)},
    )
    unit = 1 if sys.platform == "darwin" else 1024
    peak = int(done.stdout) * unit
    print(f"peak {peak / GIBIBYTE:.2f} GiB")  # noqa: T201 - to be seen
    assert peak < GIBIBYTE
