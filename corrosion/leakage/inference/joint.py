"""Faults that stood together, inferred together.

Each fault of a group is looked at in a few cells of its resistance, narrow where it
is likely, and on each conductor that it may be on. What was read is weighed for every
node of the healthy system and every combination of cells of the faults that were
connected at the time.
"""

from collections.abc import Iterator
from dataclasses import dataclass

import numpy as np

from corrosion.foundation.types import Array, IntArray
from corrosion.leakage.inference.elimination import Factor
from corrosion.leakage.inference.grid import SystemGrid
from corrosion.leakage.inference.gridded_fault import GriddedFault
from corrosion.leakage.inference.inverse_cdf import reuse, sample_cell
from corrosion.leakage.inference.single import FaultSamples

_GOLDEN = 0.6180339887498949
_POINTS = 512  # samples by which it is decided where to look
_UNLIKELY = 1e-3  # a conductor less likely than this is looked at no more
_TAIL = 1e-3  # chance beyond which it is not looked, at either end
_DOUBT = 0.3  # share of the cells that is spread evenly where it is looked


@dataclass(frozen=True, slots=True)
class SearchRegion:
    """Where to look for one fault."""

    # shape (grid - 1,): how likely each cell of the grid seems, up to a factor; 0:
    # not looked at [-]
    density: Array
    conductors: IntArray  # positions of those that may be at fault


@dataclass(frozen=True, slots=True, kw_only=True)
class Joint:
    """Posterior of a group, up to a factor."""

    nodes: SystemGrid  # of the healthy system
    parts: list[GriddedFault]  # one a fault, with its cells
    given: list[Factor]  # one a fault, given the earlier ones
    # shape (nodes,): logarithm of how well each node explains what was read of all [-]
    evidence: Array

    def sample(self, node: IntArray, uniform: Array) -> FaultSamples:
        """Return samples of the faults by inverse distribution, one after another.

        Parameters
        ----------
        node : ndarray of int, shape (samples,)
            Node of each sample.
        uniform : ndarray, shape (samples, faults)
            Numbers in (0, 1); the resistance of a fault grows with its own, given
            the faults before it. [-]

        Returns
        -------
        FaultSamples
            Resistance and conductor.
        """
        drawn = list(self._one_by_one(node, uniform))
        return FaultSamples(
            resistance=np.column_stack(
                [
                    part.resistance_at(node, cell, within)
                    for part, (_, cell, within, _) in zip(
                        self.parts, drawn, strict=True
                    )
                ]
            ),
            pole=np.column_stack(
                [
                    part.conductors[rank]
                    for part, (*_, rank) in zip(self.parts, drawn, strict=True)
                ]
            ),
        )

    def refine(self, node: IntArray) -> list[SearchRegion]:
        """Return where to look next, having looked here."""
        cdf = np.cumsum(np.exp(self.evidence - self.evidence.max())[node])
        even = (np.arange(_POINTS) + 0.5) / _POINTS
        step = np.searchsorted(cdf / cdf[-1], even)
        nodes = node[np.minimum(step, len(node) - 1)]
        # Even points in as many dimensions as there are faults (multiples of irrational
        # numbers, modulo 1), where random ones would leave gaps in the tails.
        roots = np.sqrt(np.arange(2.0, 2.0 + len(self.parts)))
        uniform = (np.outer(np.arange(_POINTS), roots * _GOLDEN) + 0.5) % 1.0
        found = []
        drawn = self._one_by_one(nodes, uniform)
        for part, (share, *_) in zip(self.parts, drawn, strict=True):
            likely = (share / share.sum(axis=(1, 2), keepdims=True)).mean(axis=0)
            density = part.density(_trimmed(likely.sum(axis=0)))
            # Some cells everywhere it may be: a first look that missed a mode must not
            # make the next one miss it too.
            even = (density > 0.0) / np.count_nonzero(density)
            density = (1.0 - _DOUBT) * density / density.sum() + _DOUBT * even
            kept = likely.sum(axis=1) > _UNLIKELY
            found.append(SearchRegion(density, part.conductors[kept]))
        return found

    def _one_by_one(
        self, node: IntArray, uniform: Array
    ) -> Iterator[tuple[Array, IntArray, Array, IntArray]]:
        """Yield chances, cell, place within and conductor, a fault at a time."""
        rows = np.arange(len(node))
        chosen: list[IntArray] = []
        for k, (part, table) in enumerate(zip(self.parts, self.given, strict=True)):
            by_cell = np.moveaxis(table.chance, 1, -1)
            before = [chosen[fault] for fault in table.scope[1:]]
            share = by_cell[(node, *before)].reshape(
                len(node), len(part.conductors), -1
            )
            total = share.sum(axis=1)
            cell, within = sample_cell(total, uniform[:, k])
            mine = np.cumsum(share[rows, :, cell], axis=1)
            # the conductor, given the cell, by low digits of the same number
            spent = reuse(within) * mine[:, -1]
            rank = (spent[:, None] > mine[:, :-1]).sum(axis=1)
            chosen.append(rank * total.shape[1] + cell)
            yield share, cell, within, rank


def _trimmed(likely: Array) -> Array:
    """Return chances of cells without those of the tails."""
    below = np.cumsum(likely)
    above = np.cumsum(likely[::-1])[::-1]
    return np.where((below > _TAIL) & (above > _TAIL), likely, 0.0)
