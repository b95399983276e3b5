"""How much the faults of one ship wander, learned from those that were read twice.

Damp ships wander more than dry ones. Each fault that was read at two hours or more says
by how much the logarithm of its resistance moved, as far as the readings of either hour
tell it; what the table of assumptions says of the scatter is scaled by a factor of the
ship, weighed on a grid.
"""

from collections.abc import Iterator
from itertools import pairwise
from typing import Final

import numpy as np

from corrosion.foundation.sampling import Draws
from corrosion.leakage.conditions import occasions
from corrosion.leakage.inference.evidence import Evidence
from corrosion.leakage.inference.grid import (
    GRID,
    SystemGrid,
    group_grid,
    sample_healthy_system,
)
from corrosion.leakage.inference.instruments import Instruments
from corrosion.leakage.inference.single import fault_posterior
from corrosion.leakage.wander import Wander
from corrosion.records.ship import Ship, System

_POINTS: Final = 61
_REACH: Final = 3.0  # standard deviations of the prior that the grid spans, either way
_NORMAL: Final = (0.15866, 0.5, 0.84134)  # one standard deviation either way
_MANY: Final = 8  # more faults read twice than that: each is looked at less closely
_VAGUE: Final = 1.0  # standard deviation of a resistance that says nothing of a move


def learned_wander(ship: Ship, draws: Draws) -> Wander:
    """Return how the resistance of a ship's faults wanders.

    That of the assumptions, its variances multiplied by the mean of what faults that
    were read twice leave of a factor of the ship; the same where none was.
    """
    base = Wander.of(draws.assumptions)
    moves = [move for system in ship.systems for move in _moves(ship, system, draws)]
    if not moves:
        return base
    seconds, moved, known = np.array(moves).T
    spread = np.log(draws.assumptions["fault_ohm_wander_ship"].geometric_sd)
    z = np.linspace(-_REACH, _REACH, _POINTS)
    times = np.exp(2.0 * spread * z)  # on the variance
    usual = np.array([base.between(gap) for gap in seconds.tolist()]) ** 2
    variance = times[:, None] * usual + known
    density = np.exp(-0.5 * moved**2 / variance) / np.sqrt(2.0 * np.pi * variance)
    slip = 2.0 * draws.value("reading_slip_chance")  # of either says nothing of a move
    chance = (1.0 - slip) * density + slip / np.log(GRID[-1] / GRID[0])
    score = np.log(chance).sum(axis=1) - 0.5 * z**2
    weight = np.exp(score - score.max())
    return base.times(float(times @ weight / weight.sum()))


def _moves(
    ship: Ship, system: System, draws: Draws
) -> Iterator[tuple[float, float, float]]:
    """Yield time between two readings, the move of ln R, and the variance of that."""
    tools = Instruments.of(draws.assumptions)
    places = ship.ground_faults(system.name)
    every = [occasions(ship, ship.faults[k], system) for k in places]
    twice = [read for read in every if len(read) > 1]
    if not twice:
        return
    healthy = sample_healthy_system(system, draws)
    nodes = group_grid(system, *healthy, len(twice) > _MANY)
    for read in twice:
        told = [(at, *_log_ohms(system, nodes, one, tools)) for at, one in read]
        sure = [one for one in told if one[2] < _VAGUE]
        for (early, first, one), (late, second, two) in pairwise(sure):
            yield abs(late - early), second - first, one**2 + two**2


def _log_ohms(
    system: System, nodes: SystemGrid, evidence: Evidence, tools: Instruments
) -> tuple[float, float]:
    """Return median and half the width of ln R, of one hour's readings.

    The width is that of a standard deviation either way: the small chance that a number
    says nothing, which spreads over all resistances, would make a variance of any.
    """
    chance = fault_posterior(system, nodes, evidence, tools).chance.sum(axis=(0, 1))
    cdf = np.concatenate([[0.0], np.cumsum(chance)])
    low, middle, high = np.interp(_NORMAL, cdf / cdf[-1], np.log(GRID)).tolist()
    return middle, 0.5 * (high - low)
