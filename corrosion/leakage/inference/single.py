"""Posterior of a fault on the grid, and samples from it by inverse distribution."""

from collections.abc import Iterable
from dataclasses import dataclass

import numpy as np

from corrosion.foundation import assumptions
from corrosion.foundation.assumptions import Assumption
from corrosion.foundation.types import Array, IntArray
from corrosion.leakage.inference.evidence import Evidence, states
from corrosion.leakage.inference.grid import GRID, SystemGrid
from corrosion.leakage.inference.likelihood import Instruments, reading_likelihoods
from corrosion.records.ship import System

__all__ = [
    "Cells",
    "FaultSamples",
    "fault_posterior",
    "log_evidence",
    "resample",
    "sample",
]

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


@dataclass(frozen=True, slots=True, kw_only=True)
class Cells:
    """Posterior of one fault, up to a factor.

    Attributes
    ----------
    chance : ndarray, shape (conductors, nodes, cells)
        Of each cell between two neighbours of the grid, with the prior of the
        resistance but without that of the nodes. [-]
    conductors : ndarray of int, shape (conductors,)
        Positions of the conductors that may be at fault.
    """

    chance: Array
    conductors: IntArray


def fault_posterior(system: System, nodes: SystemGrid, evidence: Evidence) -> Cells:
    """Return the posterior of one fault on the grid.

    Parameters
    ----------
    system : System
        The system.
    nodes : SystemGrid
        Of its capacitance and insulation.
    evidence : Evidence
        What was read.

    Returns
    -------
    Cells
        Posterior.

    Raises
    ------
    LookupFailed
        If the system has no such conductor.
    InputError
        If a reading is impossible on this system.
    """
    instruments = Instruments.stated()
    tried = states(system, nodes, evidence)
    density = np.empty((len(tried), len(nodes), len(GRID)))
    density[:] = _prior(assumptions.entry("fault_ohm"))
    for k, state in enumerate(tried):
        for term in reading_likelihoods(state, evidence, instruments):
            density[k] *= term.chance
    return Cells(
        chance=0.5 * (density[..., 1:] + density[..., :-1]),
        conductors=np.array([state.conductor for state in tried]),
    )


def log_evidence(posteriors: Iterable[Cells]) -> Array:
    """Return how well each node explains what was read of any number of faults.

    Parameters
    ----------
    posteriors : iterable of Cells
        One a fault, on the same nodes; their evidence multiplies.

    Returns
    -------
    ndarray, shape (nodes,), or (1,) without faults
        Logarithm of the evidence, whatever the faults' resistances. [-]
    """
    scores = [np.log(one.chance.sum(axis=(0, 2))) for one in posteriors]
    return np.sum(scores, axis=0) if scores else np.zeros(1)


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
    ladder = np.cumsum(np.exp(score - score.max())[order])
    step = np.searchsorted(ladder / ladder[-1], uniform)
    return np.asarray(order[np.minimum(step, len(order) - 1)])


def sample(cells: Cells, node: IntArray, uniform: Array) -> FaultSamples:
    """Return samples of faults that share a posterior, by inverse distribution.

    Parameters
    ----------
    cells : Cells
        The posterior.
    node : ndarray of int, shape (samples,)
        Node of each sample.
    uniform : ndarray, shape (samples, faults)
        Numbers in (0, 1); resistance grows with them. [-]

    Returns
    -------
    FaultSamples
        Resistance and conductor.
    """
    total = cells.chance.sum(axis=0)
    ladder = np.zeros((len(total), len(GRID)))
    np.cumsum(total, axis=1, out=ladder[:, 1:])
    ladder /= ladder[:, -1:]
    at = node[:, None]
    rungs = (ladder + np.arange(len(total))[:, None]).ravel()
    cell = np.searchsorted(rungs, at + uniform, side="right") - 1 - at * len(GRID)
    cell = np.clip(cell, 0, len(GRID) - 2)
    low, high = ladder[at, cell], ladder[at, cell + 1]
    within = np.clip((uniform - low) / np.maximum(high - low, 1e-300), 0.0, 1.0)
    rank = np.zeros(uniform.shape, dtype=np.int64)
    if len(cells.conductors) > 1:
        share = np.cumsum(cells.chance, axis=0)[:, at, cell]
        spent = (within * _DIGITS) % 1.0 * share[-1]
        rank = (spent > share[:-1]).sum(axis=0)
    return FaultSamples(
        resistance=GRID[cell] * np.exp(within * _STEP), pole=cells.conductors[rank]
    )


def _prior(entry: Assumption) -> Array:
    """Return the prior density on the grid in log resistance, up to a factor."""
    away = np.log(GRID / entry.median) / np.log(max(entry.geometric_sd, 1.01))
    outside = (entry.low > 1.001 * GRID) | (entry.high < 0.999 * GRID)
    return np.where(outside, 0.0, np.exp(-0.5 * away**2))
