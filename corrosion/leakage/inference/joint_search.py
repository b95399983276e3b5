"""Where to look for faults that stood together, and their posterior there."""

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from corrosion.foundation.types import Array, IntArray
from corrosion.leakage.inference.concurrent import FaultGroup
from corrosion.leakage.inference.elimination import Factor, eliminate, scopes
from corrosion.leakage.inference.grid import SystemGrid
from corrosion.leakage.inference.gridded_fault import GriddedFault
from corrosion.leakage.inference.instruments import Instruments
from corrosion.leakage.inference.joint import Joint, SearchRegion
from corrosion.leakage.inference.joint_likelihood import joint_likelihood
from corrosion.leakage.inference.single import Cells, fault_posterior
from corrosion.records.ship import System

_FEWEST = 6  # cells of resistance of one fault, whatever the effort
_TABLE = 4_000_000  # combinations in one table at most: 32 MB
_PAIRED, _CROWDED = (13, 5), (7, 3)  # nodes; where a fault stood beside two or more
_FEW, _GLANCES = (5, 1), 3  # nodes while looking for where to look, and how often


@dataclass(frozen=True, slots=True)
class Resolution:
    """How closely to look."""

    finest: int  # cells of resistance of one fault, at most
    # combinations of nodes and cells that a fault is weighed in, at most, as long as
    # that leaves it six cells
    states: int


COARSE, FINE = Resolution(12, 20_000), Resolution(24, 60_000)


def locate(
    system: System,
    group: FaultGroup,
    capacitance: Array,
    insulation: Array,
    tools: Instruments,
) -> list[SearchRegion]:
    """Return where to look for the faults of a group.

    Parameters
    ----------
    system, group : System, tuple of Member
    capacitance, insulation : ndarray, shape (samples,)
        Samples of the healthy system. [F], [Ω]
    tools : Instruments
    """
    regions: list[SearchRegion] = []
    nodes = SystemGrid.spanning(system, capacitance, insulation, _FEW)
    node = nodes.nearest(capacitance, insulation)
    for _ in range(_GLANCES):
        regions = joint_posterior(system, nodes, group, regions, tools, COARSE).refine(
            node
        )
    return regions


def system_grid(
    system: System, group: FaultGroup, capacitance: Array, insulation: Array
) -> SystemGrid:
    """Return nodes of the healthy system, fewer where many faults stood together."""
    crowded = any(len(member.beside) > 1 for member in group)
    counts = _CROWDED if crowded else _PAIRED
    return SystemGrid.spanning(system, capacitance, insulation, counts)


def joint_posterior(
    system: System,
    nodes: SystemGrid,
    group: FaultGroup,
    regions: Sequence[SearchRegion],
    tools: Instruments,
    effort: Resolution = FINE,
) -> Joint:
    """Return the posterior of faults that stood together.

    ``regions``: where to look for each; empty: wherever it may be.

    Raises LookupFailed if the system has no such conductor. Raises InputError if a
    reading is impossible on this system.
    """
    owns = [fault_posterior(system, nodes, member.own, tools) for member in group]
    densities = [own.chance.sum(axis=(0, 1)) for own in owns]
    if regions:
        owns = [
            _narrowed(own, region) for own, region in zip(owns, regions, strict=True)
        ]
        densities = [region.density for region in regions]
    cells = _cells(effort, len(nodes), group, owns)
    parts = [
        GriddedFault(own, _edges(density, count))
        for own, density, count in zip(owns, densities, cells, strict=True)
    ]
    tables = [Factor((k,), part.chance) for k, part in enumerate(parts)]
    for k, member in enumerate(group):
        if member.beside:
            scope = (k, *member.beside)
            together = [parts[fault] for fault in scope]
            table = joint_likelihood(system, nodes, member.evidence, together, tools)
            if table.ndim > 1:  # else nothing was read that depends on the others
                tables.append(Factor(scope, table))
    given, evidence = eliminate(tables, len(group))
    return Joint(nodes=nodes, parts=parts, given=given, evidence=evidence)


def _narrowed(own: Cells, region: SearchRegion) -> Cells:
    """Return cells on the conductors that are looked at."""
    mine = np.isin(own.conductors, region.conductors)
    return Cells(chance=own.chance[mine], conductors=own.conductors[mine])


def _cells(
    effort: Resolution, nodes: int, group: FaultGroup, owns: Sequence[Cells]
) -> list[int]:
    """Return into how many cells to cut each fault, for the largest of its tables."""
    weighed_in = [(k, *each.beside) for k, each in enumerate(group) if each.beside]
    alike = [effort.finest] * len(group)
    for every, states, fewest in (
        (weighed_in, effort.states, _FEWEST),
        (scopes(weighed_in, len(group)), _TABLE, 2),
    ):
        for scope in every:
            ways = nodes * np.prod([len(owns[fault].conductors) for fault in scope])
            fit = max(fewest, int((states / ways) ** (1.0 / len(scope))))
            for fault in scope:
                alike[fault] = min(alike[fault], fit)
    return alike


def _edges(density: Array, cells: int) -> IntArray:
    """Return edges between cells that are alike in chance, but finer at the tails."""
    cdf = np.concatenate([[0.0], np.cumsum(density)])
    levels = 0.5 - 0.5 * np.cos(np.pi * np.arange(1, cells) / cells)
    inner = np.searchsorted(cdf / cdf[-1], levels)
    some = np.flatnonzero(density)
    return np.unique(np.concatenate([[some[0], some[-1] + 1], inner]))
