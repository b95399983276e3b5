"""How far paths are from those of a finely cut coating: both demos, a patchy ship."""

from collections.abc import Callable
from datetime import date
from pathlib import Path
from typing import Any

import numpy as np
import pytest
from bench.measuring import Ratios
from history.test_coating_epochs import patchy

from corrosion.foundation.sampling import Draws
from corrosion.foundation.units import YEAR
from corrosion.history import integrate, time_steps
from corrosion.history.coating_epochs import coating_epochs
from corrosion.history.inputs import sample_inputs
from corrosion.history.time_grid import time_grid_of
from corrosion.leakage.logged_currents import with_logged_currents
from corrosion.records.folder.read import read_ship
from corrosion.records.ship import Ship

DATA = Path(__file__).parents[2] / "data"


def patchy_ship(_: str) -> Ship:
    """One zone bare by a fifth, the others by 0.2 %."""
    return patchy("2020-06-01")


def demo(name: str) -> Ship:
    return with_logged_currents(read_ship(DATA / name))[0]


@pytest.mark.parametrize(
    ("name", "ship_of"),
    [("grey-plover", demo), ("saltmarsh", demo), ("a patchy ship", patchy_ship)],
)
def test_no_zone_moves_by_two_per_cent(
    benchmark: Any,
    ratios: Ratios,
    name: str,
    ship_of: Callable[[str], Ship],
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    ship = ship_of(name)
    grid = time_grid_of(ship, date(2026, 6, 1))
    inputs = sample_inputs(ship, Draws(64, 1, ship.assumptions), grid)
    scenarios = [time_steps.Scenario(inputs, inputs.faults.spans)]
    edges = coating_epochs(inputs)
    fine = np.union1d(edges, np.arange(grid.start, grid.moments[-1], 0.25 * YEAR))
    (coarse,) = benchmark.pedantic(integrate.integrate_history, (scenarios,))
    monkeypatch.setattr(time_steps, "coating_epochs", lambda _: fine)
    (exact,) = integrate.integrate_history(scenarios)
    one, two = (history.stray_kg.mean(axis=0) for history in (coarse, exact))
    counts = two > 1e-4 * two.sum()
    worst = float(np.abs(one[counts] / two[counts] - 1.0).max())
    ratios.note(f"paths of {name} over a fine cut [%]", 100.0 * worst, at_most=2.0)
    assert worst < 0.02
