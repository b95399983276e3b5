"""Tests of leakage.inference.grid."""

from dataclasses import replace

import numpy as np
import pytest

from corrosion.foundation.assumptions import default_assumptions
from corrosion.foundation.sampling import Draws
from corrosion.leakage.inference.grid import GRID, SystemGrid, sample_healthy_system
from corrosion.records.ship import System

POWER = System(name="power", kind="ac3", volts=440.0, hertz=60.0)
LEGACY = System(name="legacy", kind="dc2", volts=220.0)


def test_grid_is_even_in_the_logarithm() -> None:
    assert (GRID[0], GRID[-1]) == pytest.approx((1e-2, 1e8))
    assert np.diff(np.log10(GRID)) == pytest.approx(0.02)


def test_nodes_span_what_the_return_path_depends_on() -> None:
    farads, ohms = sample_healthy_system(POWER, Draws(1024, 1, default_assumptions()))
    ac, dc = (
        SystemGrid.spanning(POWER, farads, ohms),
        SystemGrid.spanning(LEGACY, farads, ohms),
    )
    assert len(ac.capacitance) > len(ac.insulation) > 1
    assert len(dc.insulation) > len(dc.capacitance) == 1
    assert ac.capacitance[0] < np.quantile(farads, 0.01)
    assert ac.capacitance[-1] > np.quantile(farads, 0.99)


def test_nearest_node_is_the_nearest() -> None:
    farads, ohms = sample_healthy_system(POWER, Draws(256, 1, default_assumptions()))
    nodes = SystemGrid.spanning(POWER, farads, ohms)
    at_c, at_r = nodes.pairs()
    away = np.abs(np.log(farads[:, None] / at_c)) ** 2
    away += np.abs(np.log(ohms[:, None] / at_r)) ** 2
    assert nodes.nearest(farads, ohms).tolist() == away.argmin(axis=1).tolist()


def test_variance_within_a_node_is_that_of_an_even_spread() -> None:
    nodes = SystemGrid((1e-6, 2e-6, 4e-6), (1e5, 1e6))
    slope = 3.0 * np.arange(3.0)[:, None] + 5.0 * np.arange(2.0)
    values = np.repeat(slope.reshape(6, 1), 4, axis=1)
    rng = np.random.default_rng(1)
    across = rng.uniform(-0.5, 0.5, (200_000, 2)) @ [3.0, 5.0]
    assert nodes.variance(values) == pytest.approx(across.var(), rel=0.01)


def test_a_known_system_needs_one_node() -> None:
    nodes = SystemGrid.spanning(POWER, np.full(9, 1e-6), np.full(9, 1e5))
    assert len(nodes) == 1
    assert nodes.variance(np.ones((1, 4))) == pytest.approx(0.0)


def test_draws_surround_what_the_system_states() -> None:
    stated = replace(POWER, capacitance=3e-6, insulation=2e5)
    farads, ohms = sample_healthy_system(stated, Draws(4096, 1, default_assumptions()))
    assert np.median(farads) == pytest.approx(3e-6, rel=1e-3)
    assert np.median(ohms) == pytest.approx(2e5, rel=1e-3)
    unknown, leak = sample_healthy_system(POWER, Draws(4096, 1, default_assumptions()))
    assert np.median(unknown) == pytest.approx(1e-6, rel=1e-3)
    assert np.median(leak) == pytest.approx(5e5, rel=2e-3)
    assert np.log(unknown).std() == pytest.approx(np.log(3.0), rel=0.02)
    assert np.log(farads).std() == pytest.approx(np.log(1.3), rel=0.02)
