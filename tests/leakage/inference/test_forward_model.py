"""Tests of leakage.inference.forward_model against the solver, node by node."""

from dataclasses import replace

import numpy as np
import pytest

from corrosion.foundation.assumptions import default_assumptions
from corrosion.leakage.earthing import Tie
from corrosion.leakage.filament import LampLaw
from corrosion.leakage.inference.forward_model import (
    FaultHypothesis,
    fault_amps,
    picture_chance,
    read_volts,
)
from corrosion.leakage.inference.grid import GRID, SystemGrid
from corrosion.leakage.inference.lamp_observation import (
    observation_probability,
    pattern_codes,
)
from corrosion.leakage.lamp_load import conductor_volts_with_lamps
from corrosion.leakage.network import solve
from corrosion.leakage.neutral_point import healthy_admittance
from corrosion.records.ship import LampSet, Picture, System

LAW = LampLaw.of(None)
NODES = SystemGrid((1e-6, 3e-6), (1e5, 1e6))
POWER = System(
    name="power",
    kind="ac3",
    volts=440.0,
    hertz=60.0,
    lamps=LampSet(volts=127.0, watts=15.0, ratio=2.0),
)
STATE = FaultHypothesis(
    system=POWER, nodes=NODES, conductor=1, law=LAW, others=(("a", 5e3),)
)
AT_NODE = replace(POWER, capacitance=3e-6, insulation=1e5)  # the third pair


@pytest.mark.parametrize("cell", [0, 248, 250, 253, 500])
def test_predictions_are_the_solver_at_each_node(cell: int) -> None:
    close = 1e-9 if cell % 5 == 0 else 1e-4  # the others follow by cubics
    faults = [("b", GRID[cell]), ("a", 5e3)]
    solved = solve(AT_NODE, faults, meter=3e3, lamps=True)
    amps, _ = fault_amps(STATE)
    assert amps[2, cell] == pytest.approx(abs(solved.fault_amps[0]), rel=close)
    volts, _ = read_volts(STATE, 3e3)
    assert volts[:, 2, cell] == pytest.approx(np.abs(solved.hull_volts), rel=close)


def test_a_fault_on_another_conductor_is_the_same_turned_round() -> None:
    seen: tuple[Picture, ...] = ("bright", "dim", "even")
    for k, name in enumerate("abc"):
        faults = [(name, GRID[300]), ("b", 5e3)]
        solved = solve(AT_NODE, faults, lamps=True)
        state = replace(STATE, conductor=k, others=(("b", 5e3),))
        amps, _ = fault_amps(state)
        assert amps[2, 300] == pytest.approx(abs(solved.fault_amps[0]), rel=1e-9)
        volts, _ = read_volts(state, 1e12)
        assert volts[:, 2, 300] == pytest.approx(np.abs(solved.hull_volts), rel=1e-6)
        lit, _ = picture_chance(replace(state, others=()), seen, 0.14)
        first = (*seen[k:], *seen[:k])
        same, _ = picture_chance(replace(STATE, conductor=0, others=()), first, 0.14)
        assert lit == pytest.approx(same)


def test_direct_current_keeps_its_sign() -> None:
    legacy = System(name="legacy", kind="dc2", volts=220.0)
    nodes = SystemGrid((1e-6,), (1e4,))
    plus, _ = fault_amps(
        FaultHypothesis(system=legacy, nodes=nodes, conductor=0, law=LAW)
    )
    minus, _ = fault_amps(
        FaultHypothesis(system=legacy, nodes=nodes, conductor=1, law=LAW)
    )
    assert np.all(plus > 0.0)
    assert minus == pytest.approx(-plus)


def test_an_earthed_star_point_drives_the_fault() -> None:
    earthed = replace(STATE, tie=Tie("star", 1.0), others=())
    amps, _ = fault_amps(earthed)
    middle = 250  # 1 kΩ
    assert amps[2, middle] == pytest.approx(440.0 / np.sqrt(3.0) / GRID[250], rel=2e-2)


def test_pictures_of_a_solid_fault_and_of_none() -> None:
    state = replace(STATE, others=())
    solid, _ = picture_chance(state, ("bright", "out", "bright"), 0.14)
    assert solid[:, 0] == pytest.approx(1.0, abs=0.1)  # but for an uneven eye
    assert solid[:, -1] == pytest.approx(0.0)
    alike, _ = picture_chance(state, ("even", "even", "even"), 0.14)
    assert alike[:, 0] == pytest.approx(0.0)
    assert np.all(alike[:, -1] > 0.5)


def test_words_count_by_their_order() -> None:
    state = replace(STATE, others=())
    one, blind = picture_chance(state, ("bright", "dim", "bright"), 0.14)
    same, _ = picture_chance(state, ("even", "dim", "even"), 0.14)
    assert one == pytest.approx(same)
    # Of 64 pictures written down at random three have this order, before merging.
    assert blind == pytest.approx(3 / 64, rel=0.3)
    single, _ = picture_chance(state, (None, "out", None), 0.14)
    assert np.all(np.diff(single[2]) <= 1e-12)


def test_chances_of_all_pictures_add_up() -> None:
    legacy = System(
        name="legacy", kind="dc2", volts=220.0, lamps=LampSet(volts=220.0, watts=25.0)
    )
    state = FaultHypothesis(
        system=legacy, nodes=SystemGrid((1e-6,), (1e5,)), conductor=0, law=LAW
    )
    orders: list[tuple[Picture, Picture]] = [
        ("out", "out"),
        ("even", "even"),
        ("out", "bright"),
        ("bright", "out"),
        ("dim", "bright"),
        ("bright", "dim"),
    ]
    chances = [picture_chance(state, pair, 0.14) for pair in orders]
    assert sum(chance for chance, _ in chances) == pytest.approx(1.0)
    assert sum(blind for _, blind in chances) == pytest.approx(1.0)


@pytest.mark.parametrize("first", ["dim", "even", "out"])
def test_a_picture_weighs_what_it_does_if_all_resistances_are_looked_at(
    first: Picture,
) -> None:
    other: Picture = "even" if first == "even" else "bright"
    seen = (first, other, other)
    healthy = healthy_admittance(AT_NODE, capacitance=3e-6, insulation=1e5)
    y = np.full((len(GRID), 3), healthy)
    y[:, 0] += 1.0 / GRID
    volts, _ = conductor_volts_with_lamps(POWER.star_volts, y, POWER.lamps, law=LAW)
    assert POWER.lamps is not None
    codes = pattern_codes(POWER.lamps, np.abs(volts).T, 0.14, LAW)
    every = observation_probability(seen, LAW)[codes].mean(axis=-1)
    found, _ = picture_chance(replace(STATE, others=(), conductor=0), seen, 0.14)
    assert found[2].sum() == pytest.approx(every.sum(), rel=0.05)
    assert np.abs(found[2] - every).mean() < 0.005


def test_what_is_kept_of_one_basis_table_is_not_used_with_another() -> None:
    seen: tuple[Picture, ...] = ("even", "even", "even")
    kinder = default_assumptions().override(
        "lamp_light_ratio", median=6.0, spread=1.0, why="test"
    )
    before, _ = picture_chance(replace(STATE, others=()), seen, 0.14)
    state = replace(STATE, others=(), law=LampLaw.of(kinder))
    after, _ = picture_chance(state, seen, 0.14)
    assert after.sum() > 1.1 * before.sum()


def test_an_earthed_conductor_is_turned_with_the_fault() -> None:
    single = System(name="one", kind="ac1", volts=230.0, hertz=50.0)
    nodes = SystemGrid((1e-9,), (1e9,))
    earthed = Tie("b", 1e3)
    at = int(np.argmin(np.abs(GRID - 230.0)))
    for conductor, expected in ((0, 230.0 / GRID[at]), (1, 0.0)):
        state = FaultHypothesis(
            system=single, nodes=nodes, conductor=conductor, law=LAW, tie=earthed
        )
        amps, _ = fault_amps(state)
        assert amps[0, at] == pytest.approx(expected, rel=1e-4, abs=1e-5)
