"""How long 1,000 faults take against evaluating their likelihood grid once.

As a plain test it infers a few faults and looks at no clock.
"""

import tracemalloc
from typing import Any

import numpy as np
from bench.measuring import GIBIBYTE, Ratios, least

from corrosion.foundation.assumptions import default_assumptions
from corrosion.foundation.sampling import Draws
from corrosion.foundation.types import Array
from corrosion.leakage.inference.forward_model import (
    FaultHypothesis,
    fault_amps,
    read_volts,
)
from corrosion.leakage.inference.grid import GRID, SystemGrid, sample_healthy_system
from corrosion.leakage.inference.infer import sample_resistances
from corrosion.leakage.inference.instruments import Instruments
from corrosion.records.ship import Readings, System

POWER = System(name="power", kind="ac3", volts=440.0, hertz=60.0)

TOOLS = Instruments.of(default_assumptions())


def _readings(count: int) -> list[Readings]:
    rng = np.random.default_rng(11)
    return [
        Readings(
            conductor="abc"[rng.integers(3)],
            amps=float(rng.uniform(0.01, 1.0)),
            hull_volts=tuple(rng.uniform(5.0, 400.0, 3).tolist()),
            meter=float(rng.choice([3e3, 1e7])),
            insulation=float(10.0 ** rng.uniform(0.0, 5.0)),
        )
        for _ in range(count)
    ]


def _grid_once(readings: list[Readings], nodes: SystemGrid) -> Array:
    """Evaluate the likelihood of every fault on the whole grid, in plain numpy."""
    evidence = np.empty(len(readings))
    for k, one in enumerate(readings):
        conductor = "abc".index(one.conductor or "a")
        state = FaultHypothesis(
            system=POWER, nodes=nodes, conductor=conductor, law=TOOLS.law
        )
        amps, within = fault_amps(state)
        read = np.array(one.hull_volts, dtype=np.float64)[:, None, None]
        volts, spread = read_volts(state, one.meter)
        z = ((one.amps or 0.0) - amps) ** 2 / ((0.03 * amps) ** 2 + 2.5e-5 + within)
        z = z + ((read - volts) ** 2 / ((0.02 * volts) ** 2 + 0.25 + spread)).sum(
            axis=0
        )
        z = z + (np.log((one.insulation or 1.0) / GRID) / 0.14) ** 2
        evidence[k] = np.exp(-0.5 * z).sum()
    return evidence


def test_inference_keeps_pace_with_its_grid(benchmark: Any, ratios: Ratios) -> None:
    count, samples = (1000, 4096) if ratios.measuring else (8, 256)
    draws = Draws(samples, 1, default_assumptions())
    farads, ohms = sample_healthy_system(POWER, draws)
    nodes = SystemGrid.spanning(POWER, farads, ohms)
    readings = _readings(count)
    uniform = np.random.default_rng(3).random((samples, count))
    _grid_once(readings[:50], nodes)  # the network is solved once for both
    evidence = _grid_once(readings, nodes)

    def infer() -> Array:
        return sample_resistances(
            POWER,
            readings,
            uniform=uniform,
            capacitance=farads,
            insulation=ohms,
            tools=TOOLS,
        ).resistance

    found: Array = benchmark.pedantic(infer, rounds=ratios.rounds)
    assert found.shape == (samples, count)
    assert np.isfinite(found).all()
    assert evidence.shape == (count,)
    if not ratios.measuring:
        return
    grid = least(lambda: _grid_once(readings, nodes))
    tracemalloc.start()
    infer()
    _, peak = tracemalloc.get_traced_memory()
    tracemalloc.stop()
    ratio = least(infer) / grid
    ratios.note(f"{count} faults inferred, over their grid", ratio, at_most=5.0)
    ratios.note("  peak [GiB]", peak / GIBIBYTE, at_most=1.0)
