"""How an estimate grows with samples, faults and zones; the ships are invented."""

from collections.abc import Callable, Sequence
from functools import partial
from itertools import count as count_from
from typing import Any

import pytest
from bench.grown import AS_OF, by_faults, by_gaugings, by_samples, with_zones
from bench.measuring import Ratios, exponent, least

import corrosion
from corrosion import Estimate, Ship

FRESH = count_from(2)
"""Seeds under which nothing was kept yet but a ship's water."""


def fresh(ship: Ship, samples: int) -> Estimate:
    return corrosion.estimate(ship, samples=samples, as_of=AS_OF, seed=next(FRESH))


@pytest.mark.parametrize(
    ("name", "build", "sizes", "most"),
    [
        ("samples", by_samples, (512, 1024, 2048, 4096), 1.0),
        ("faults", by_faults, (50, 100, 200, 400), 1.0),
        ("gaugings", by_gaugings, (50, 200, 800, 2000), 1.0),
        ("zones", with_zones, (20, 40, 80, 160), 2.0),
    ],
)
def test_growth(
    benchmark: Any,
    ratios: Ratios,
    name: str,
    build: Callable[[int], Ship],
    sizes: Sequence[int],
    most: float,
) -> None:
    if not ratios.measuring:
        sizes = [size // 8 + size // 8 % 2 for size in sizes[:2]]
    times = []
    for size in sizes:
        count = size if name == "samples" else 512 if ratios.measuring else 8
        ship = build(size)
        work = partial(fresh, ship, count)
        work()  # solve the hull's water once
        times.append(least(work, ratios.rounds))
    result = benchmark.pedantic(work)
    assert len(result.faults) == len(ship.faults)
    assert len(result.zones) == len(ship.zones)
    words = f"growth with {name}, {sizes[0]} to {sizes[-1]} [exponent]"
    ratios.note(words, exponent(sizes, times), at_most=most)
