"""Tests of joint_likelihood against the solver."""

import numpy as np
import pytest
from leakage.systems import POWER, TOOLS
from scipy.integrate import quad
from scipy.stats import norm

from corrosion.foundation.types import IntArray
from corrosion.leakage.inference.evidence import Evidence
from corrosion.leakage.inference.grid import GRID, SystemGrid
from corrosion.leakage.inference.gridded_fault import GriddedFault
from corrosion.leakage.inference.joint_likelihood import joint_likelihood
from corrosion.leakage.inference.single import Cells, fault_posterior
from corrosion.leakage.network import solve
from corrosion.records.ship import Readings

KNOWN = SystemGrid((1.4e-6,), (4e5,))


def _part(edges: list[int], *conductors: int) -> GriddedFault:
    chance = np.ones((len(conductors), 1, len(GRID) - 1))
    return GriddedFault(
        Cells(chance=chance, conductors=np.array(conductors)), np.array(edges)
    )


def test_cells_hold_what_the_grid_has_in_them() -> None:
    own = fault_posterior(POWER, KNOWN, Evidence.of(Readings(insulation=300.0)), TOOLS)
    part = GriddedFault(own, np.array([200, 320, 330, 400]))
    assert part.chance.shape == (1, 9)
    assert part.chance[0, 4] == pytest.approx(own.chance[1, 0, 320:330].sum())
    density = part.density(np.array([1.0, 3.0, 0.0]))
    assert density[200:320].sum() == pytest.approx(1.0)
    assert density[320:330].sum() == pytest.approx(3.0)
    assert density[:200].sum() + density[330:].sum() == pytest.approx(0.0)
    assert density[325] / density[321] == pytest.approx(
        own.chance[0, 0, 325] / own.chance[0, 0, 321]
    )


def test_places_within_a_cell_follow_the_faults_own_posterior() -> None:
    own = fault_posterior(POWER, KNOWN, Evidence.of(Readings(insulation=300.0)), TOOLS)
    part = GriddedFault(own, np.array([300, 324, 340]))
    n = 2000
    within = (np.arange(n) + 0.5) / n
    node: IntArray = np.zeros(n, dtype=np.int64)
    found = part.resistance_at(node, node, within)
    assert np.all((found > GRID[300]) & (found < GRID[324]))
    assert np.all(np.diff(found) > 0.0)
    share = own.chance[0, 0, 300:320].sum() / own.chance[0, 0, 300:324].sum()
    assert np.mean(found < GRID[320]) == pytest.approx(share, abs=1e-3)


@pytest.mark.parametrize(("mine", "other"), [("a", "a"), ("b", "a"), ("c", "b")])
def test_every_reading_is_likeliest_at_the_truth(mine: str, other: str) -> None:
    edges = [150, 210, 212, 240, 242, 300]
    faults = [(other, GRID[241]), (mine, GRID[211])]
    solved = solve(POWER, faults, meter=3e3, lamps=True)
    volts = np.abs(solved.hull_volts)
    parts = [_part(edges, "abc".index(mine)), _part(edges, "abc".index(other))]
    for readings in (
        Readings(amps=float(abs(solved.fault_amps[1]))),
        Readings(hull_volts=(float(volts[0]), None, float(volts[2])), meter=3e3),
    ):
        chance = joint_likelihood(POWER, KNOWN, Evidence.of(readings), parts, TOOLS)
        assert chance.shape == (1, 5, 5)
        assert chance[0, 1, 3] > 0.9 * chance[0].max()


def test_a_narrow_cell_has_the_likelihood_of_one_fault_beside_a_known_one() -> None:
    # The other is so narrow that it is a point; a slip and a factor are left out.
    solved = solve(POWER, [("b", GRID[241]), ("a", GRID[211])], lamps=True)
    amps = float(abs(solved.fault_amps[1]))
    read = 1.04 * amps
    parts = [_part([211, 212], 0), _part([241, 242], 1)]
    off, near = (
        joint_likelihood(POWER, KNOWN, Evidence.of(Readings(amps=each)), parts, TOOLS)[
            0, 0, 0
        ]
        for each in (read, amps)
    )
    ends = [
        abs(solve(POWER, [("b", o), ("a", r)], lamps=True).fault_amps[1])
        for o in GRID[241:243]
        for r in GRID[211:213]
    ]
    low, high = min(ends), max(ends)

    def mean(each: float) -> float:
        width = np.hypot(np.log(1.03) * np.clip(each, low, high), 0.005)
        return float(quad(lambda x: norm.pdf(each, x, width), low, high)[0])

    expected = read * mean(read) / (amps * mean(amps))
    assert off / near == pytest.approx(expected, rel=0.02)


def test_what_lies_in_a_wide_cell_lends_nothing_to_its_neighbour() -> None:
    solved = solve(POWER, [("b", 2e3), ("a", GRID[271])], lamps=True)
    read = Evidence.of(Readings(amps=float(abs(solved.fault_amps[1]))))
    parts = [_part([0, 255, 262, 280, 500], 0), _part([264, 266], 1)]
    chance = joint_likelihood(POWER, KNOWN, read, parts, TOOLS)[0, :, 0]
    assert chance[0] < 2.0 * TOOLS.slip
    assert chance[2] > 100.0 * chance[0]


def test_lamps_are_weighed_by_where_the_fault_is_in_its_cell() -> None:
    seen = Evidence.of(Readings(lamps=("out", "bright", "bright")))
    chance = np.ones((1, 1, len(GRID) - 1))
    chance[..., 250:] = 1e-9  # surely low
    wide = GriddedFault(
        Cells(chance=chance, conductors=np.array([0])), np.array([0, 500])
    )
    other = _part([400, 402], 1)
    assert joint_likelihood(POWER, KNOWN, seen, [wide, other], TOOLS)[0, 0, 0] > 0.9
    flat = _part([0, 500], 0)
    half = joint_likelihood(POWER, KNOWN, seen, [flat, other], TOOLS)[0, 0, 0]
    assert half == pytest.approx(0.5, abs=0.1)


def test_a_meter_loads_the_conductor_that_it_is_held_to() -> None:
    # Narrow cells again; the likelihood of two readings far out is that of one volt.
    parts = [_part([211, 212], 0), _part([241, 242], 1)]
    shown = [
        abs(solve(POWER, [("b", o), ("a", r)], meter=3e3, lamps=True).hull_volts[2])
        for o in GRID[241:243]
        for r in GRID[211:213]
    ]
    low, high = min(shown), max(shown)

    def mean(each: float) -> float:
        width = np.hypot(np.log(1.02) * np.clip(each, low, high), 0.5)
        return float(quad(lambda x: norm.pdf(each, x, width), low, high)[0])

    one, two = (
        joint_likelihood(
            POWER,
            KNOWN,
            Evidence.of(Readings(hull_volts=(None, None, each), meter=3e3)),
            parts,
            TOOLS,
        )[0, 0, 0]
        - TOOLS.slip
        for each in (0.95 * low, 1.05 * high)
    )
    expected = 0.95 * low * mean(0.95 * low) / (1.05 * high * mean(1.05 * high))
    assert one / two == pytest.approx(expected, rel=1e-4)
