"""What the main job costs: time, memory, beside its own draws, and in the hull."""

from dataclasses import replace
from functools import partial
from itertools import count as count_from
from threading import Lock
from time import thread_time
from typing import Any

import numpy as np
import pytest
from bench.measuring import GIBIBYTE, ROOT, Ratios, by_the_wall, least, peak_bytes

import corrosion
from corrosion import Estimate, Ship
from corrosion.foundation.assumptions import default_assumptions
from corrosion.foundation.defaults import SAMPLES
from corrosion.foundation.sampling import Draws
from corrosion.leakage.standing_times import FAULT_COLUMNS
from corrosion.records.ship import WETTED

PLOVER = ROOT / "data" / "grey-plover"
FRESH = count_from(2)
"""Seeds under which nothing was kept yet but her water."""


def samples(ratios: Ratios) -> int:
    return SAMPLES if ratios.measuring else 16


@pytest.fixture(scope="module")
def plover() -> Ship:
    ship = corrosion.read_ship(PLOVER)
    corrosion.estimate(ship, samples=8)  # solve the hull's water once
    return ship


def draws_and_products(ship: Ship, count: int) -> float:
    """Draw every block, invert each sample's water once, multiply faults through it."""
    draws = Draws(count, 1, default_assumptions())
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


def test_an_estimate_beside_its_draws_and_products(
    benchmark: Any, ratios: Ratios, plover: Ship
) -> None:
    count = samples(ratios)

    def whole() -> Estimate:
        return corrosion.estimate(plover, samples=count, seed=next(FRESH))

    result: Estimate = benchmark.pedantic(whole, rounds=ratios.rounds)
    assert result.samples == count
    assert result.totals["stray_kg"]["mean"] > 0.0
    floor = least(lambda: draws_and_products(plover, count), ratios.rounds)
    assert floor > 0.0
    if ratios.measuring:
        taken = least(whole, 2)
        waited = benchmark.stats.stats.min
        ratios.note(f"grey-plover, {count} samples [s waited]", waited, at_most=1.5)
        ratios.note("  the same [s of processor]", taken)
        ratios.note("  times the numpy floor of its draws and products", taken / floor)
        many = partial(corrosion.estimate, plover, samples=4096, seed=next(FRESH))
        ratios.note("  4096 samples [s waited]", by_the_wall(many, 1), at_most=4.0)


def another_test(ship: Ship) -> Ship:
    """Return the ship with the insulation test of one fault read otherwise."""
    at = next(k for k, one in enumerate(ship.faults) if one.readings.insulation)
    read = ship.faults[at].readings
    ohms = 1.5 * float(read.insulation or 1.0)
    changed = replace(ship.faults[at], readings=replace(read, insulation=ohms))
    return replace(ship, faults=(*ship.faults[:at], changed, *ship.faults[at + 1 :]))


def test_what_is_kept_is_not_reckoned_again(
    benchmark: Any, ratios: Ratios, plover: Ship
) -> None:
    """The same again, a gauging less, a fault changed: over a first estimate."""
    cold, seconds = [], dict.fromkeys(("again", "gauging", "fault"), np.inf)
    changed = {
        "again": plover,
        "gauging": replace(plover, gaugings=plover.gaugings[1:]),
        "fault": another_test(plover),
    }
    for _ in range(ratios.rounds):
        more: dict[str, Any] = {"samples": samples(ratios), "seed": next(FRESH)}
        cold.append(least(partial(corrosion.estimate, plover, **more), 1))
        for name, ship in changed.items():
            once = least(partial(corrosion.estimate, ship, **more), 1)
            seconds[name] = min(seconds[name], once)
    result = benchmark.pedantic(corrosion.estimate, (plover,), more)
    assert result.samples == samples(ratios)
    first = min(cold)
    ratios.note("  again, over a first one", seconds["again"] / first, at_most=0.67)
    ratios.note("  another gauging, over it", seconds["gauging"] / first, at_most=0.4)
    ratios.note("  another fault, over it", seconds["fault"] / first, at_most=0.53)


def test_error_of_the_headline(benchmark: Any, ratios: Ratios, plover: Ship) -> None:
    """Over seeds, beside what is told, and against what 6.1 s bought at first."""
    count = samples(ratios)
    seeds = range(3, 15 if ratios.measuring else 5)
    work = partial(corrosion.estimate, plover, samples=count)
    found = [work(seed=seed) for seed in seeds]
    result: Estimate = benchmark.pedantic(work, kwargs={"seed": seeds[0]})
    first = result.outlook.order[0]
    every = np.array([one.outlook.chance_ahead for one in found])
    points = 100.0 * every[:, first].std(ddof=1)
    assert every.shape == (len(seeds), len(plover.zones))
    ratios.note("error of the headline over seeds [points]", points, at_most=1.0)
    errors = np.array([one.outlook.chance_error for one in found])
    apart = np.sqrt((every.var(axis=0, ddof=1)).mean() / np.square(errors).mean())
    ratios.note("  of all zones, over what is told (rms)", apart, at_most=1.3)
    again = by_the_wall(partial(work, seed=seeds[0]), ratios.rounds)
    gained = 6.1 * 4.0**2 / max(again * points**2, 1e-9)
    ratios.note("  6.1 s x (4 points)² over time x its square", gained, at_least=30.0)


def test_peak_memory(benchmark: Any, ratios: Ratios) -> None:
    words = ["corrosion", "estimate", str(PLOVER), "--samples", str(samples(ratios))]
    code = f"import sys\nfrom corrosion.__main__ import main\nsys.argv={words}\nmain()"
    peak: float = benchmark.pedantic(peak_bytes, (code,))
    assert peak > 0.0
    ratios.note("  peak of the command [GiB]", peak / GIBIBYTE, at_most=1.0)


def test_share_of_the_hull(
    benchmark: Any,
    ratios: Ratios,
    plover: Ship,
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    spent: list[float] = []
    lock = Lock()

    def timed(place: str) -> None:
        module, _, name = place.rpartition(".")
        work = getattr(__import__(module, fromlist=[name]), name)

        def watched(*arguments: Any, **more: Any) -> Any:
            start = thread_time()
            try:
                return work(*arguments, **more)
            finally:
                with lock:
                    spent.append(thread_time() - start)

        monkeypatch.setattr(place, watched)

    for place in (
        "corrosion.hull.model.water_body",
        "corrosion.history.paths.network",
        "corrosion.history.paths.transfer",
    ):
        timed(place)

    def whole() -> Estimate:
        return corrosion.estimate(plover, samples=samples(ratios), seed=next(FRESH))

    taken = least(lambda: benchmark.pedantic(whole), 1)
    assert len(spent) > 2
    ratios.note(
        "  share of it spent in the hull's water", sum(spent) / taken, at_most=0.1
    )
