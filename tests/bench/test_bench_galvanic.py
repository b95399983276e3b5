"""What 1,024 samples of the network of metals cost, cold and from a near state."""

from typing import Any

import numpy as np
from bench.measuring import Ratios
from threadpoolctl import (  # type: ignore[import-untyped]  # it carries no types
    threadpool_limits,
)
from trial_hull import RUDDER, SEA, injected, network, zincs

from corrosion.hull.nonlinear.galvanic import GalvanicNetwork, solve_galvanic

DRAWN = np.random.default_rng(1).standard_normal((6, 1024))


def state(bare: float) -> GalvanicNetwork:
    return network(
        samples=1024,
        natural=0.043 * 1.6 ** DRAWN[0],
        oxygen=1.0 + 2.0 ** DRAWN[1],
        limit=5.0 ** DRAWN[2],
        earth_ohm=2.5 ** DRAWN[3],
        bare=bare * 1.5 ** DRAWN[4],
        into=(DRAWN[5] * 10.0 ** DRAWN[0])[:, None] * injected(RUDDER, 1.0),
        anodes=zincs(SEA, 5),
        neighbour=160.0,
        earth="copper earth",
    )


def test_a_thousand_samples_within_a_third_of_a_second(
    benchmark: Any, ratios: Ratios
) -> None:
    cold, near = state(0.05), state(0.06)
    with threadpool_limits(1):
        before = solve_galvanic(cold).potential
        found = benchmark.pedantic(solve_galvanic, (cold,))
        if ratios.measuring:
            from time import process_time  # noqa: PLC0415 - only where it is measured
            from timeit import timeit  # noqa: PLC0415

            took = (
                timeit(lambda: solve_galvanic(cold), timer=process_time, number=3) / 3.0
            )
            ratios.note("galvanic network, cold [s of processor]", took, at_most=0.3)
            took = (
                timeit(
                    lambda: solve_galvanic(near, before), timer=process_time, number=3
                )
                / 3.0
            )
            ratios.note("galvanic network, warm [s of processor]", took, at_most=0.1)
    assert found.rounds <= 20
    assert solve_galvanic(near, before).rounds <= 8
