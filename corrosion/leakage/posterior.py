"""Posterior of a fault on the grid, and samples from it by inverse distribution."""

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from corrosion import basis
from corrosion.basis import Entry
from corrosion.leakage.evidence import Evidence, states
from corrosion.leakage.likelihood import Instruments, terms
from corrosion.leakage.nodes import GRID, Nodes
from corrosion.records.ship import System
from corrosion.types import Array, IntArray

__all__ = ["FaultSamples", "learned", "sampled"]

_STEP = float(np.log(GRID[1] / GRID[0]))
_DIGITS = 64.0  # a uniform number's place within its cell, times this, is spent twice


@dataclass(frozen=True, slots=True, kw_only=True)
class FaultSamples:
    """Samples of faults, a fault a column.

    Attributes
    ----------
    resistance : ndarray, shape (samples, faults)
        Resistance to hull. [Ω]
    pole : ndarray of int, shape (samples, faults)
        Position of the conductor at fault.
    """

    resistance: Array
    pole: IntArray


def _prior(entry: Entry) -> Array:
    """Return the prior density on the grid in log resistance, up to a factor."""
    away = np.log(GRID / entry.median) / np.log(max(entry.spread, 1.01))
    outside = (entry.low > 1.001 * GRID) | (entry.high < 0.999 * GRID)
    return np.where(outside, 0.0, np.exp(-0.5 * away**2))


def _cells(system: System, nodes: Nodes, evidence: Evidence) -> tuple[Array, IntArray]:
    """Return chance by conductor, node and cell, up to a factor; and conductors."""
    instruments = Instruments.stated()
    prior = _prior(basis.entry("fault_ohm"))
    tried = states(system, nodes, evidence)
    density = np.empty((len(tried), len(nodes), len(GRID)))
    density[:] = prior
    for k, state in enumerate(tried):
        for term in terms(state, evidence, instruments):
            density[k] *= term.chance
    cells = 0.5 * (density[..., 1:] + density[..., :-1])
    return cells, np.array([state.conductor for state in tried])


def learned(
    system: System,
    evidence: Sequence[Evidence],
    nodes: Nodes,
    uniform: Array,
    prior: tuple[Array, Array],
) -> IntArray:
    """Return which samples of the prior to keep, drawn by their evidence.

    Parameters
    ----------
    system : System
        The system.
    evidence : sequence of Evidence
        One a fault.
    nodes : Nodes
        Spanning the prior.
    uniform : ndarray, shape (samples,)
        Numbers in (0, 1); capacitance grows with them. [-]
    prior : tuple of ndarray, shape (samples,)
        Capacitance [F] and insulation [Ω] as believed before.

    Returns
    -------
    ndarray of int, shape (samples,)
        Positions in the prior.
    """
    score = np.zeros(len(nodes))
    for each in evidence:
        cells, _ = _cells(system, nodes, each)
        score += np.log(cells.sum(axis=(0, 2)))
    weight = np.exp(score - score.max())[nodes.nearest(*prior)]
    order = np.argsort(prior[0])
    ladder = np.cumsum(weight[order])
    step = np.searchsorted(ladder / ladder[-1], uniform)
    return np.asarray(order[np.minimum(step, len(order) - 1)])


def sampled(
    system: System,
    evidence: Sequence[Evidence],
    nodes: Nodes,
    node: IntArray,
    uniform: Array,
) -> FaultSamples:
    """Sample each fault by inverse distribution at each sample's node.

    Parameters
    ----------
    system : System
        The system.
    evidence : sequence of Evidence
        One a fault.
    nodes : Nodes
        Of capacitance and insulation.
    node : ndarray of int, shape (samples,)
        Node of each sample.
    uniform : ndarray, shape (samples, faults)
        Numbers in (0, 1); resistance grows with them. [-]

    Returns
    -------
    FaultSamples
        Resistance and conductor.
    """
    resistance = np.empty(uniform.shape)
    pole = np.empty(uniform.shape, dtype=np.int64)
    where: dict[Evidence, list[int]] = {}
    for column, each in enumerate(evidence):
        where.setdefault(each, []).append(column)
    at = node[:, None]
    for each, columns in where.items():
        cells, conductors = _cells(system, nodes, each)
        u = uniform[:, columns]
        ladder = np.zeros((len(nodes), len(GRID)))
        np.cumsum(cells.sum(axis=0), axis=1, out=ladder[:, 1:])
        ladder /= ladder[:, -1:]
        rungs = (ladder + np.arange(len(nodes))[:, None]).ravel()
        cell = np.searchsorted(rungs, at + u, side="right") - 1 - at * len(GRID)
        cell = np.clip(cell, 0, len(GRID) - 2)
        low, high = ladder[at, cell], ladder[at, cell + 1]
        within = np.clip((u - low) / np.maximum(high - low, 1e-300), 0.0, 1.0)
        resistance[:, columns] = GRID[cell] * np.exp(within * _STEP)
        rank = np.zeros(u.shape, dtype=np.int64)
        if len(conductors) > 1:
            share = np.cumsum(cells, axis=0)
            spent = (within * _DIGITS) % 1.0 * share[-1, at, cell]
            rank = (spent > share[:-1, at, cell]).sum(axis=0)
        pole[:, columns] = conductors[rank]
    return FaultSamples(resistance=resistance, pole=pole)
