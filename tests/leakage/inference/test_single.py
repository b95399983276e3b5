"""Tests of leakage.inference.single: the arithmetic of inverse distribution."""

import numpy as np
import pytest
from leakage.systems import TOOLS

from corrosion.foundation.assumptions import default_assumptions
from corrosion.foundation.sampling import sample_lognormal
from corrosion.foundation.types import Array
from corrosion.leakage.inference.evidence import Evidence, Occasion
from corrosion.leakage.inference.grid import GRID, SystemGrid
from corrosion.leakage.inference.instruments import Instruments
from corrosion.leakage.inference.single import (
    Cells,
    FaultSamples,
    fault_posterior,
    log_evidence,
    resample,
    sample,
    sample_later,
)
from corrosion.records.ship import Readings, System

POWER = System(name="power", kind="ac3", volts=440.0, hertz=60.0)


def _even(count: int) -> Array:
    return (np.arange(count) + 0.5)[:, None] / count


def test_one_cell_is_filled_evenly_in_the_logarithm() -> None:
    chance = np.zeros((1, 2, 500))
    chance[0, 1, 120] = 3.0
    chance[0, 0, 7] = 1.0
    cells = Cells(chance=chance, conductors=np.array([2]))
    node = np.ones(1000, dtype=np.int64)
    found = sample(cells, node, _even(1000))
    place = np.log(found.resistance[:, 0] / GRID[120]) / np.log(GRID[121] / GRID[120])
    assert place == pytest.approx(_even(1000)[:, 0], abs=1e-9)
    assert set(found.pole[:, 0]) == {2}
    other = sample(cells, 0 * node, _even(1000)).resistance
    assert np.all((other > GRID[7]) & (other < GRID[8]))


def test_conductors_share_a_cell_by_their_chance() -> None:
    chance = np.zeros((3, 1, 500))
    chance[:, 0, 200] = [1.0, 0.0, 3.0]
    cells = Cells(chance=chance, conductors=np.array([0, 1, 2]))
    pole = sample(cells, np.zeros(6400, dtype=np.int64), _even(6400)).pole
    assert np.bincount(pole[:, 0]) / 6400 == pytest.approx([0.25, 0.0, 0.75], abs=0.01)


def test_resistance_grows_with_the_uniform_number() -> None:
    nodes = SystemGrid((1e-6, 2e-6), (1e5, 1e6))
    cells = fault_posterior(POWER, nodes, Evidence.of(Readings(amps=0.2)), TOOLS)
    found = sample(cells, np.full(500, 3), _even(500)).resistance
    assert np.all(np.diff(found[:, 0]) > 0.0)


def test_nothing_read_is_the_prior_cut_at_its_limits() -> None:
    nodes = SystemGrid((1e-6,), (1e5,))
    cells = fault_posterior(POWER, nodes, Evidence.of(Readings(conductor="a")), TOOLS)
    entry = default_assumptions()["fault_ohm"]
    found = sample(cells, np.zeros(4001, dtype=np.int64), _even(4001)).resistance[:, 0]
    quartiles = sample_lognormal(entry, np.array([0.25, 0.5, 0.75]))
    assert np.quantile(found, [0.25, 0.5, 0.75]) == pytest.approx(quartiles, rel=1e-3)
    assert np.log(found).std() == pytest.approx(np.log(entry.geometric_sd), rel=0.01)
    narrow = default_assumptions().override(
        "fault_ohm", median=50.0, spread=1.2, why="test"
    )
    blank = Evidence.of(Readings(conductor="a"))
    cells = fault_posterior(POWER, nodes, blank, Instruments.of(narrow))
    found = sample(cells, np.zeros(4001, dtype=np.int64), _even(4001)).resistance[:, 0]
    assert np.log(found).std() == pytest.approx(np.log(1.2), rel=0.02)


def test_samples_are_kept_by_their_evidence() -> None:
    chance = np.zeros((1, 2, 500))
    chance[0, :, 3] = [1.0, 3.0]
    cells = Cells(chance=chance, conductors=np.array([0]))
    score = 2.0 * log_evidence(cells)
    assert score[1] - score[0] == pytest.approx(2.0 * np.log(3.0))
    node = np.repeat([0, 1], 500)
    chosen = resample(score[node], np.arange(1000), _even(4000)[:, 0])
    assert (node[chosen] == 1).mean() == pytest.approx(0.9)  # 3 squared to 1
    assert np.all(np.diff(chosen) >= 0)


def test_no_evidence_keeps_every_sample() -> None:
    chosen = resample(np.zeros(1000), np.arange(1000), _even(1000)[:, 0])
    assert chosen.tolist() == list(range(1000))


def test_another_day_bears_on_the_first_through_the_wandering() -> None:
    # A test of another day: the two in quadrature about it, where the prior is wide.
    nodes = SystemGrid((1e-6,), (1e5,))
    flat = default_assumptions().override("fault_ohm", median=2e3, spread=50.0)
    tools = Instruments.of(flat)
    other = Evidence.of(Readings(insulation=2e3))
    apart = 0.9
    evidence = Evidence(
        readings=(Readings(conductor="a"),),
        further=(Occasion(9.0, apart, other),),
    )
    cells = fault_posterior(POWER, nodes, evidence, tools)
    found = sample(cells, np.zeros(4001, dtype=np.int64), _even(4001)).resistance[:, 0]
    low, middle, high = np.quantile(np.log(found), [0.1587, 0.5, 0.8413])
    assert middle == pytest.approx(np.log(2e3), abs=0.05)
    expected = np.hypot(apart, tools.insulation_tester)
    assert 0.5 * (high - low) == pytest.approx(expected, rel=0.05)


def test_the_hour_after_is_drawn_given_the_first() -> None:
    nodes, n = SystemGrid((1e-6,), (1e5,)), 4000
    said = np.ones((1, 1, len(GRID)))
    first = FaultSamples(
        resistance=np.full((n, 1), 500.0), pole=np.zeros((n, 1), dtype=np.int64)
    )
    node = np.zeros(n, dtype=np.int64)
    assert len(nodes) == 1
    later = sample_later(first, (said, np.array([0])), 0.7, node, _even(n)[:, 0])
    assert np.median(later) == pytest.approx(500.0, rel=0.03)
    assert np.log(later).std() == pytest.approx(0.7, rel=0.03)
