"""One fault in a few cells of its resistance, each as its own posterior has it."""

from dataclasses import dataclass

import numpy as np

from corrosion.foundation.types import Array, IntArray
from corrosion.leakage.inference.grid import GRID
from corrosion.leakage.inference.single import Cells, sample


@dataclass(frozen=True, slots=True)
class GriddedFault:
    """One fault in cells that each hold some of the grid's."""

    own: Cells  # posterior from what depends on this fault alone
    edges: IntArray  # shape (cells + 1,): positions on the grid, ascending

    @property
    def conductors(self) -> IntArray:
        """Positions of the conductors that may be at fault."""
        return self.own.conductors

    @property
    def chance(self) -> Array:
        """From what depends on this fault alone, shape (nodes, conductors · cells)."""
        summed = self._summed(self.own.chance)
        return np.moveaxis(summed, 0, 1).reshape(summed.shape[1], -1)

    def edge_weight(self) -> Array:
        """Return what share each cell's lower edge has in it, shape (cells,)."""
        own = self.own.chance.sum(axis=(0, 1)) + np.finfo(np.float64).tiny
        lower, upper = own[self.edges[:-1]], own[self.edges[1:] - 1]
        return np.asarray(lower / (lower + upper))

    def density(self, worth: Array) -> Array:
        """Return a worth of each cell spread over the grid's as its own posterior.

        Parameters
        ----------
        worth : ndarray, shape (cells,)
            Of each cell. [-]

        Returns
        -------
        ndarray, shape (grid - 1,)
            Of each cell of the grid; 0 outside. [-]
        """
        own = self.own.chance.sum(axis=(0, 1)) + np.finfo(np.float64).tiny
        found = np.zeros(len(own))
        inside = slice(self.edges[0], self.edges[-1])
        found[inside] = own[inside] * np.repeat(
            worth / self._summed(own), np.diff(self.edges)
        )
        return found

    def load(self, count: int) -> Array:
        """Return conductor to hull, shape (conductors · edges, count) [S]."""
        on = np.eye(count)[self.conductors]
        return np.repeat(on, len(self.edges), axis=0) * self.conductance()[:, None]

    def conductance(self) -> Array:
        """Return that of the fault at every edge, shape (conductors · edges,) [S]."""
        return np.tile(1.0 / GRID[self.edges], len(self.conductors))

    def _summed(self, grid: Array) -> Array:
        """Return sums over each cell of something on the grid's, last axis."""
        return np.add.reduceat(
            grid[..., : self.edges[-1]], self.edges[:-1], axis=-1, dtype=np.float64
        )

    def resistance_at(self, node: IntArray, cell: IntArray, within: Array) -> Array:
        """Return resistances at a place within cells, as its own posterior has it.

        Parameters
        ----------
        node, cell : ndarray of int, shape (samples,)
            Node and cell of each sample.
        within : ndarray, shape (samples,)
            Numbers in [0, 1]. [-]

        Returns
        -------
        ndarray, shape (samples,)
            Resistance. [Ω]
        """
        total = self.own.chance.sum(axis=0)
        cdf = np.zeros((len(total), len(GRID)))
        np.cumsum(total, axis=1, out=cdf[:, 1:])
        low, high = (cdf[node, self.edges[cell + k]] / cdf[node, -1] for k in (0, 1))
        only = Cells(chance=total[None], conductors=np.zeros(1, dtype=np.int64))
        uniform = low + within * (high - low)
        return sample(only, node, uniform[:, None]).resistance[:, 0]
