"""The grid on which faults are inferred, and the nodes of the healthy system.

The grid runs over the resistance of the fault: 10 mΩ to 100 MΩ, 50 points a decade,
so that one step (4.7 %) is about the spread of the best pair of instruments. A node
is one pair of the healthy system's capacitance and insulation, standing for all
values that are nearest to it.
"""

from dataclasses import dataclass, replace
from typing import Final, cast

import numpy as np

from corrosion.foundation.sampling import Draws
from corrosion.foundation.types import Array, IntArray
from corrosion.foundation.units import MICROFARAD
from corrosion.records.ship import System

GRID: Final[Array] = np.geomspace(1e-2, 1e8, 501)
"""Resistances at which a fault is tried. [Ω]"""

_MANY, _FEW = 13, 5  # nodes of the unknown that drives the return path, of the other
_TAIL = 0.005  # share of the samples beyond the first and the last node, each


@dataclass(frozen=True, slots=True)
class SystemGrid:
    """Pairs of healthy capacitance and insulation, evenly spaced by logarithm."""

    capacitance: tuple[float, ...]  # each conductor to hull [F]
    insulation: tuple[float, ...]  # each conductor to hull [Ω]

    @classmethod
    def spanning(
        cls,
        system: System,
        capacitance: Array,
        insulation: Array,
        counts: tuple[int, int] = (_MANY, _FEW),
    ) -> "SystemGrid":
        """Return nodes that span samples of a system's capacitance and insulation.

        Parameters
        ----------
        system : System
            Direct current returns through the insulation alone, alternating current
            mostly through the capacitance: that one gets more nodes.
        capacitance, insulation : ndarray, shape (samples,)
            Samples. [F], [Ω]
        counts : tuple of int, optional
            How many of the one that matters most, and how many of the other.
        """
        dc = system.current == "dc"
        many, few = counts
        return cls(
            _spaced(capacitance, 1 if dc else many),
            _spaced(insulation, many if dc else few),
        )

    def __len__(self) -> int:
        return len(self.capacitance) * len(self.insulation)

    def pairs(self) -> tuple[Array, Array]:
        """Return capacitance [F] and insulation [Ω] of every node, shape (nodes,)."""
        farads, ohms = np.meshgrid(self.capacitance, self.insulation, indexing="ij")
        return farads.ravel(), ohms.ravel()

    def nearest(self, capacitance: Array, insulation: Array) -> IntArray:
        """Return the node nearest to each sample, shape (samples,)."""
        row = _nearest(np.array(self.capacitance), capacitance)
        return row * len(self.insulation) + _nearest(
            np.array(self.insulation), insulation
        )

    def variance(self, values: Array) -> Array:
        """Return how much values vary within the reach of each node.

        Parameters
        ----------
        values : ndarray, shape (nodes, grid)
            Smooth in capacitance and insulation.

        Returns
        -------
        ndarray, shape (nodes, grid)
            Variance over a node's reach, uniform in index. [unit of values squared]
        """
        cube = values.reshape(len(self.capacitance), len(self.insulation), -1)
        total = np.zeros_like(cube)
        for axis in (0, 1):
            if cube.shape[axis] > 1:
                slope = cast("Array", np.gradient(cube, axis=axis))
                total += slope**2 / 12.0
        return total.reshape(values.shape)


@dataclass(frozen=True, slots=True)
class SceneGrid:
    """Some states of a system, each with other faults that stood in it."""

    # capacitance, insulation: each conductor to hull, healthy, a state each [F], [Ω]
    capacitance: tuple[float, ...]
    insulation: tuple[float, ...]
    # what other faults connect to the hull, by conductor, a state each [S]
    load: tuple[tuple[float, ...], ...]

    def __len__(self) -> int:
        return len(self.capacitance)

    def pairs(self) -> tuple[Array, Array]:
        """Return capacitance [F] and insulation [Ω] of every state, shape (states,)."""
        return np.array(self.capacitance), np.array(self.insulation)

    def variance(self, values: Array) -> Array:
        """Return how much values vary within a state: not at all."""
        return np.zeros_like(values)

    def turned(self, conductor: int) -> "SceneGrid":
        """Return the same with a conductor first."""
        load = tuple(row[conductor:] + row[:conductor] for row in self.load)
        return replace(self, load=load)


def group_grid(
    system: System,
    capacitance: Array,
    insulation: Array,
    crowd: bool,
    *,
    coarse: bool = False,
) -> SystemGrid:
    """Return nodes that span samples of a system, fewer where a crowd stands.

    There each fault is read beside others of its own, so that no prediction serves
    two of them, and the work is bounded by looking less closely at the healthy system;
    ``coarse``: at the first look, which the second sets right.
    """
    counts = ((5, 3), (5, 1)) if crowd else ((_MANY, _FEW), (7, 3))
    return SystemGrid.spanning(system, capacitance, insulation, counts[coarse])


def sample_healthy_system(system: System, draws: Draws) -> tuple[Array, Array]:
    """Return samples of what is believed of a healthy system before any reading.

    Parameters
    ----------
    system : System
        What it states is taken as the median, the basis table where it states none.
    draws : Draws
        Random numbers; the block is called ``system NAME``.

    Returns
    -------
    capacitance, insulation : ndarray, shape (samples,)
        Each conductor to hull. [F], [Ω]
    """
    u = draws.block(f"system {system.name}", 2)
    if system.capacitance is None:
        farads = draws.lognormal("hull_capacitance_uf", u[:, 0]) * MICROFARAD
    else:
        farads = system.capacitance * draws.lognormal("capacitance_factor", u[:, 0])
    if system.insulation is None:
        return farads, draws.lognormal("insulation_ohm", u[:, 1])
    return farads, system.insulation * draws.lognormal("insulation_factor", u[:, 1])


def _spaced(samples: Array, count: int) -> tuple[float, ...]:
    low, middle, high = np.quantile(samples, [_TAIL, 0.5, 1.0 - _TAIL])
    if count == 1 or high <= low * (1.0 + 1e-6):
        return (float(middle),)
    return tuple(np.geomspace(low, high, count).tolist())


def _nearest(points: Array, values: Array) -> IntArray:
    edges = np.sqrt(points[1:] * points[:-1])
    return np.asarray(np.searchsorted(edges, values), dtype=np.int64)
