"""Posterior of a fault on the grid, and samples from it by inverse distribution."""

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from functools import lru_cache
from typing import Final

import numpy as np

from corrosion.foundation.assumptions import Assumption
from corrosion.foundation.types import Array, IntArray
from corrosion.leakage.inference.evidence import Evidence, states
from corrosion.leakage.inference.grid import GRID, SceneGrid, SystemGrid
from corrosion.leakage.inference.instruments import Instruments
from corrosion.leakage.inference.inverse_cdf import reuse, sample_cell
from corrosion.leakage.inference.likelihood import reading_likelihoods
from corrosion.records.ship import System

_STEP = float(np.log(GRID[1] / GRID[0]))
GOLDEN: Final = 0.6180339887498949
"""Moves a uniform number to where it was not, hour by hour."""


@dataclass(frozen=True, slots=True, kw_only=True)
class FaultSamples:
    """Samples of faults, a fault a column.

    Arrays are of shape (samples, faults) where no other is said.
    """

    resistance: Array  # resistance to hull [Ω]
    pole: IntArray  # position of the conductor at fault


@dataclass(frozen=True, slots=True, kw_only=True)
class Cells:
    """Posterior of one fault, up to a factor."""

    # shape (conductors, nodes, cells): of each cell between two neighbours of the grid,
    # with the prior of the resistance but without that of the nodes [-]
    chance: Array
    # shape (conductors,): positions of the conductors that may be at fault
    conductors: IntArray


def fault_posterior(
    system: System, nodes: SystemGrid, evidence: Evidence, tools: Instruments
) -> Cells:
    """Return the posterior of one fault on the grid, of its first readings' hour.

    What was read at other hours bears on it through the wandering between them: the
    likelihood there, smoothed by how far the resistance may have wandered.

    Raises LookupFailed if the system has no such conductor. Raises InputError if a
    reading is impossible on this system.
    """
    tried = states(system, nodes, evidence, tools.law)
    chance = hour_chance(system, nodes, evidence, tools)
    further = [
        (
            each.apart,
            hour_chance(system, nodes, each.evidence, tools, evidence.conductor),
        )
        for each in evidence.further
    ]
    return cells_of(chance, further, tools, [each.conductor for each in tried])


def cells_of(
    chance: Array,
    further: Iterable[tuple[float, Array]],
    tools: Instruments,
    conductors: Sequence[int],
) -> Cells:
    """Return the posterior of one fault, given the likelihood of what was read.

    Parameters
    ----------
    chance : ndarray, shape (conductors, nodes, grid)
        At its first hour. [-]
    further : iterable of (float, ndarray)
        At others, and how far the resistance may have wandered to there. [-]
    tools : Instruments
    conductors : sequence of int
        Positions of those that may be at fault.

    Returns
    -------
    Cells
        On the same nodes.
    """
    # density = prior(ln R) times the likelihood of each reading, by conductor and node.
    density = chance * _prior(tools.prior)
    for apart, then in further:
        density *= then @ _blurred(apart).T
    return Cells(
        chance=0.5 * (density[..., 1:] + density[..., :-1]),
        conductors=np.array(conductors),
    )


def state_chance(
    system: System,
    nodes: SystemGrid | SceneGrid,
    evidence: Evidence,
    tools: Instruments,
) -> Array:
    """Return how likely it was read in each state that it may have been read in.

    Shape (states, conductors that may be at fault, nodes, grid), up to a factor. [-]
    """
    return np.array(
        [
            share * hour_chance(system, nodes, one, tools)
            for share, one in evidence.by_state()
        ]
    )


def hour_chance(
    system: System,
    nodes: SystemGrid | SceneGrid,
    evidence: Evidence,
    tools: Instruments,
    named: str | None = None,
) -> Array:
    """Return the likelihood of one hour's readings, up to a factor.

    Shape (conductors that may be at fault, nodes, grid); ``named``: the conductor. [-]
    """
    if evidence.perhaps:
        return np.asarray(state_chance(system, nodes, evidence, tools).sum(axis=0))
    tried = states(system, nodes, evidence, tools.law, named)
    found = np.ones((len(tried), len(nodes), len(GRID)))
    for k, state in enumerate(tried):
        for each in reading_likelihoods(state, evidence, tools):
            found[k] *= each.chance
    return found


@lru_cache(maxsize=32)
def _blurred(sd: float) -> Array:
    """Return what a resistance may have become, a row a resistance of the grid."""
    if sd < 0.5 * _STEP:
        return np.eye(len(GRID))
    x = np.log(GRID)
    kernel = np.exp(-0.5 * ((x[:, None] - x) / sd) ** 2)
    return np.asarray(kernel / kernel.sum(axis=1, keepdims=True))


def grid_place(ohms: Array) -> IntArray:
    """Return the nearest place of resistances on the grid."""
    place = np.rint(np.log(ohms / GRID[0]) / _STEP)
    return np.asarray(np.clip(place, 0, len(GRID) - 1), dtype=np.int64)


def sample_later(
    found: FaultSamples,
    chance: tuple[Array, IntArray],
    apart: float,
    node: IntArray,
    uniform: Array,
) -> Array:
    """Return the resistance at another hour, given that at the first.

    Parameters
    ----------
    found : FaultSamples
        Of one fault, one column.
    chance : tuple of ndarray
        Likelihood of what was read then, shape (conductors, nodes, grid), and the
        conductors. [-]
    apart : float
        Standard deviation of the wandering between the two. [-]
    node : ndarray of int, shape (samples,)
        Node of each sample.
    uniform : ndarray, shape (samples,)
        Numbers in (0, 1). [-]

    Returns
    -------
    ndarray, shape (samples,)
        Drawn from what was read then. [Ω]
    """
    said, conductors = chance
    ohms, pole = found.resistance[:, 0], found.pole[:, 0]
    rank = np.argmax(conductors[None, :] == pole[:, None], axis=1)
    weight = _blurred(max(apart, _STEP))[grid_place(ohms)] * said[rank, node]
    cell, place = sample_cell(weight, uniform)
    return np.asarray(GRID[cell] * np.exp((place - 0.5) * _STEP))


def log_evidence(cells: Cells) -> Array:
    """Return how well each node explains what was read of a fault.

    Parameters
    ----------
    cells : Cells

    Returns
    -------
    ndarray, shape (nodes,)
        Logarithm of the evidence, whatever the fault's resistance. [-]
    """
    return np.asarray(np.log(cells.chance.sum(axis=(0, 2))))


def resample(score: Array, order: IntArray, uniform: Array) -> IntArray:
    """Return which samples of the healthy system to keep, drawn by their evidence.

    Parameters
    ----------
    score : ndarray, shape (samples,)
        Logarithm of the weight of each sample. [-]
    order : ndarray of int, shape (samples,)
        Order in which the samples kept grow with ``uniform``.
    uniform : ndarray, shape (samples,)
        Numbers in (0, 1). [-]

    Returns
    -------
    ndarray of int, shape (samples,)
        Positions of the samples to keep; a sample may be kept many times.
    """
    cdf = np.cumsum(np.exp(score - score.max())[order])
    step = np.searchsorted(cdf / cdf[-1], uniform)
    return np.asarray(order[np.minimum(step, len(order) - 1)])


def sample(cells: Cells, node: IntArray, uniform: Array) -> FaultSamples:
    """Return samples of faults that share a posterior, by inverse distribution.

    Parameters
    ----------
    cells : Cells
    node : ndarray of int, shape (samples,)
        Node of each sample.
    uniform : ndarray, shape (samples, faults)
        Numbers in (0, 1); resistance grows with them. [-]

    Returns
    -------
    FaultSamples
        Resistance and conductor.
    """
    # The resistance first, whatever the conductor; then the conductor, given the cell.
    total = cells.chance.sum(axis=0)
    cdf = np.zeros((len(total), len(GRID)))
    np.cumsum(total, axis=1, out=cdf[:, 1:])
    cdf /= cdf[:, -1:]
    at = node[:, None]
    # All nodes' distributions end to end, that of node n raised by n: one sorted search
    # for all samples instead of one a node.
    raised = (cdf + np.arange(len(total))[:, None]).ravel()
    cell = np.searchsorted(raised, at + uniform, side="right") - 1 - at * len(GRID)
    cell = np.clip(cell, 0, len(GRID) - 2)
    low, high = cdf[at, cell], cdf[at, cell + 1]
    within = np.clip((uniform - low) / np.maximum(high - low, 1e-300), 0.0, 1.0)
    rank = np.zeros(uniform.shape, dtype=np.int64)
    if len(cells.conductors) > 1:
        share = np.cumsum(cells.chance, axis=0)[:, at, cell]
        spent = reuse(within) * share[-1]
        rank = (spent > share[:-1]).sum(axis=0)
    return FaultSamples(
        resistance=GRID[cell] * np.exp(within * _STEP), pole=cells.conductors[rank]
    )


def _prior(entry: Assumption) -> Array:
    """Return the prior density on the grid in log resistance, up to a factor."""
    away = np.log(GRID / entry.median) / np.log(max(entry.geometric_sd, 1.01))
    outside = (entry.low > 1.001 * GRID) | (entry.high < 0.999 * GRID)
    return np.where(outside, 0.0, np.exp(-0.5 * away**2))
