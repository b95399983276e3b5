"""Faults that stood together, inferred together.

Each fault of a company is looked at in a few cells of its resistance, narrow where it
is likely, and on each conductor that it may be on. What was read is weighed for every
node of the healthy system and every combination of cells of the faults that were
connected at the time.
"""

from collections.abc import Iterator, Sequence
from dataclasses import dataclass

import numpy as np

from corrosion.foundation.types import Array, IntArray
from corrosion.leakage.inference.concurrent import FaultGroup
from corrosion.leakage.inference.elimination import Factor, eliminate, scopes
from corrosion.leakage.inference.grid import SystemGrid
from corrosion.leakage.inference.inverse_cdf import reuse, sample_cell
from corrosion.leakage.inference.joint_likelihood import GriddedFault, joint_likelihood
from corrosion.leakage.inference.likelihood import Instruments
from corrosion.leakage.inference.single import Cells, FaultSamples, fault_posterior
from corrosion.records.ship import System

__all__ = [
    "Joint",
    "Resolution",
    "SearchRegion",
    "joint_posterior",
    "locate",
    "system_grid",
]

_FEWEST = 6  # cells of resistance of one fault, whatever the effort
_TABLE = 4_000_000  # combinations in one table at most: 32 MB
_POINTS = 512  # samples by which it is decided where to look
_UNLIKELY = 1e-3  # a conductor less likely than this is looked at no more
_TAIL = 1e-3  # chance beyond which it is not looked, at either end
_DOUBT = 0.3  # share of the cells that is spread evenly where it is looked
_GOLDEN = 0.6180339887498949
_PAIRED, _CROWDED = (13, 5), (7, 3)  # nodes; where a fault stood beside two or more
_FEW, _GLANCES = (5, 1), 3  # nodes while looking for where to look, and how often


@dataclass(frozen=True, slots=True)
class Resolution:
    """How closely to look.

    Attributes
    ----------
    finest : int
        Cells of resistance of one fault, at most.
    states : int
        Combinations of nodes and cells that a fault is weighed in, at most, as long
        as that leaves it six cells.
    """

    finest: int
    states: int


_COARSE, _FINE = Resolution(12, 20_000), Resolution(24, 60_000)


@dataclass(frozen=True, slots=True)
class SearchRegion:
    """Where to look for one fault.

    Attributes
    ----------
    density : ndarray, shape (grid - 1,)
        How likely each cell of the grid seems, up to a factor; 0: not looked at. [-]
    conductors : ndarray of int
        Positions of those that may be at fault.
    """

    density: Array
    conductors: IntArray


@dataclass(frozen=True, slots=True, kw_only=True)
class Joint:
    """Posterior of a company, up to a factor.

    Attributes
    ----------
    nodes : SystemGrid
        Of the healthy system.
    parts : list of GriddedFault
        One a fault, with its cells.
    given : list of Factor
        One a fault, given the earlier ones.
    evidence : ndarray, shape (nodes,)
        Logarithm of how well each node explains what was read of all. [-]
    """

    nodes: SystemGrid
    parts: list[GriddedFault]
    given: list[Factor]
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
        walked = list(self._walk(node, uniform))
        return FaultSamples(
            resistance=np.column_stack(
                [
                    part.resistance_at(node, cell, within)
                    for part, (_, cell, within, _) in zip(
                        self.parts, walked, strict=True
                    )
                ]
            ),
            pole=np.column_stack(
                [
                    part.conductors[rank]
                    for part, (*_, rank) in zip(self.parts, walked, strict=True)
                ]
            ),
        )

    def refine(self, node: IntArray) -> list[SearchRegion]:
        """Return where to look next, having looked here.

        Parameters
        ----------
        node : ndarray of int, shape (samples,)
            Nodes of samples of the healthy system.
        """
        ladder = np.cumsum(np.exp(self.evidence - self.evidence.max())[node])
        even = (np.arange(_POINTS) + 0.5) / _POINTS
        step = np.searchsorted(ladder / ladder[-1], even)
        picked = node[np.minimum(step, len(node) - 1)]
        roots = np.sqrt(np.arange(2.0, 2.0 + len(self.parts)))
        uniform = (np.outer(np.arange(_POINTS), roots * _GOLDEN) + 0.5) % 1.0
        found = []
        walked = self._walk(picked, uniform)
        for part, (share, *_) in zip(self.parts, walked, strict=True):
            likely = (share / share.sum(axis=(1, 2), keepdims=True)).mean(axis=0)
            density = part.density(_trimmed(likely.sum(axis=0)))
            even = (density > 0.0) / np.count_nonzero(density)
            density = (1.0 - _DOUBT) * density / density.sum() + _DOUBT * even
            kept = likely.sum(axis=1) > _UNLIKELY
            found.append(SearchRegion(density, part.conductors[kept]))
        return found

    def _walk(
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
            spent = reuse(within) * mine[:, -1]
            rank = (spent[:, None] > mine[:, :-1]).sum(axis=1)
            chosen.append(rank * total.shape[1] + cell)
            yield share, cell, within, rank


def locate(
    system: System,
    company: FaultGroup,
    capacitance: Array,
    insulation: Array,
    tools: Instruments,
) -> list[SearchRegion]:
    """Return where to look for the faults of a company.

    Parameters
    ----------
    system : System
        The system.
    company : tuple of Member
        The faults.
    capacitance, insulation : ndarray, shape (samples,)
        Samples of the healthy system. [F], [Ω]
    tools : Instruments
        How far to trust what was read.
    """
    looks: list[SearchRegion] = []
    nodes = SystemGrid.spanning(system, capacitance, insulation, _FEW)
    node = nodes.nearest(capacitance, insulation)
    for _ in range(_GLANCES):
        looks = joint_posterior(system, nodes, company, looks, tools, _COARSE).refine(
            node
        )
    return looks


def system_grid(
    system: System, company: FaultGroup, capacitance: Array, insulation: Array
) -> SystemGrid:
    """Return nodes of the healthy system, fewer where many faults stood together."""
    crowded = any(len(member.beside) > 1 for member in company)
    counts = _CROWDED if crowded else _PAIRED
    return SystemGrid.spanning(system, capacitance, insulation, counts)


def joint_posterior(
    system: System,
    nodes: SystemGrid,
    company: FaultGroup,
    looks: Sequence[SearchRegion],
    tools: Instruments,
    effort: Resolution = _FINE,
) -> Joint:
    """Return the posterior of faults that stood together.

    Parameters
    ----------
    system : System
        The system.
    nodes : SystemGrid
        Of its capacitance and insulation.
    company : tuple of Member
        The faults.
    looks : sequence of SearchRegion
        Where to look for each; empty: wherever it may be.
    tools : Instruments
        How far to trust what was read.
    effort : Effort, optional
        How closely to look.

    Raises
    ------
    LookupFailed
        If the system has no such conductor.
    InputError
        If a reading is impossible on this system.
    """
    owns = [fault_posterior(system, nodes, member.own, tools) for member in company]
    densities = [own.chance.sum(axis=(0, 1)) for own in owns]
    if looks:
        owns = [_narrowed(own, look) for own, look in zip(owns, looks, strict=True)]
        densities = [look.density for look in looks]
    cells = _cells(effort, len(nodes), company, owns)
    parts = [
        GriddedFault(own, _edges(density, count))
        for own, density, count in zip(owns, densities, cells, strict=True)
    ]
    tables = [Factor((k,), part.chance) for k, part in enumerate(parts)]
    for k, member in enumerate(company):
        if member.beside:
            scope = (k, *member.beside)
            together = [parts[fault] for fault in scope]
            tables.append(
                Factor(
                    scope,
                    joint_likelihood(system, nodes, member.evidence, together, tools),
                )
            )
    given, evidence = eliminate(tables, len(company))
    return Joint(nodes=nodes, parts=parts, given=given, evidence=evidence)


def _narrowed(own: Cells, look: SearchRegion) -> Cells:
    """Return cells on the conductors that are looked at."""
    mine = np.isin(own.conductors, look.conductors)
    return Cells(chance=own.chance[mine], conductors=own.conductors[mine])


def _cells(
    effort: Resolution, nodes: int, company: FaultGroup, owns: Sequence[Cells]
) -> list[int]:
    """Return into how many cells to cut each fault, for the largest of its tables."""
    weighed_in = [(k, *each.beside) for k, each in enumerate(company) if each.beside]
    alike = [effort.finest] * len(company)
    for every, states, fewest in (
        (weighed_in, effort.states, _FEWEST),
        (scopes(weighed_in, len(company)), _TABLE, 2),
    ):
        for scope in every:
            ways = nodes * np.prod([len(owns[fault].conductors) for fault in scope])
            fit = max(fewest, int((states / ways) ** (1.0 / len(scope))))
            for fault in scope:
                alike[fault] = min(alike[fault], fit)
    return alike


def _trimmed(likely: Array) -> Array:
    """Return chances of cells without those of the tails."""
    below = np.cumsum(likely)
    above = np.cumsum(likely[::-1])[::-1]
    return np.where((below > _TAIL) & (above > _TAIL), likely, 0.0)


def _edges(density: Array, cells: int) -> IntArray:
    """Return edges between cells that are alike in chance, but finer at the tails."""
    ladder = np.concatenate([[0.0], np.cumsum(density)])
    levels = 0.5 - 0.5 * np.cos(np.pi * np.arange(1, cells) / cells)
    inner = np.searchsorted(ladder / ladder[-1], levels)
    some = np.flatnonzero(density)
    return np.unique(np.concatenate([[some[0], some[-1] + 1], inner]))
