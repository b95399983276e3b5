"""What the readings of its faults teach about a healthy system."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass

import numpy as np

from corrosion.foundation.types import Array
from corrosion.leakage.inference.concurrent import crowded, fault_groups, inferred_apart
from corrosion.leakage.inference.evidence import Evidence
from corrosion.leakage.inference.grid import SystemGrid, group_grid
from corrosion.leakage.inference.instruments import Instruments
from corrosion.leakage.inference.joint import SearchRegion
from corrosion.leakage.inference.joint_search import (
    COARSE,
    FINE,
    joint_posterior,
    locate,
    system_grid,
)
from corrosion.leakage.inference.single import (
    Cells,
    fault_posterior,
    log_evidence,
    resample,
)
from corrosion.records.ship import System

_ROUNDS = 2  # the second looks closer, with nodes where the first found the system
_KEPT = 2**23  # numbers of posteriors kept for who draws from them: 64 MiB


@dataclass(frozen=True, slots=True, kw_only=True)
class SystemPosterior:
    """What the readings of its faults teach about a system.

    Arrays are of shape (samples,) where no other is said.
    """

    # capacitance, insulation: each conductor to hull, healthy [F], [Ω]
    capacitance: Array
    insulation: Array
    regions: list[list[SearchRegion]]  # where to look for the faults of each group
    nodes: SystemGrid  # on which ``alone`` is
    # posteriors of faults that were read alone, of as many as are worth keeping
    alone: Mapping[Evidence, Cells]


def infer_system(
    system: System,
    evidence: Sequence[Evidence],
    *,
    uniform: Array,
    capacitance: Array,
    insulation: Array,
    tools: Instruments,
) -> SystemPosterior:
    """Return samples of the healthy system as the readings of its faults teach it.

    Parameters
    ----------
    system, evidence : System, sequence of Evidence
    uniform : ndarray, shape (samples,)
        Numbers in (0, 1); capacitance grows with them. [-]
    capacitance, insulation : ndarray, shape (samples,)
        What was believed before; from `sample_healthy_system`. [F], [Ω]
    tools : Instruments

    Returns
    -------
    SystemPosterior
        Drawn from those given in proportion to how well they explain the readings,
        whatever the faults' resistances; and where to look for faults that stood
        together.
    """
    each_alone = [one for _, one in inferred_apart(evidence, tools)]
    together = fault_groups(system, evidence, tools)
    regions = [
        locate(system, each, capacitance, insulation, tools) for each in together
    ]
    crowd = crowded(evidence) > 0
    credited = np.zeros(len(uniform))
    for number in range(_ROUNDS):
        first = number == 0
        grid = group_grid(system, capacitance, insulation, crowd, coarse=first)
        node = grid.nearest(capacitance, insulation)
        kept: dict[Evidence, Cells] = {}
        explained = np.zeros(len(grid))
        for each in each_alone:
            cells = kept.get(each) or fault_posterior(system, grid, each, tools)
            explained += log_evidence(cells)
            if (len(kept) + 1) * cells.chance.size < _KEPT:
                kept[each] = cells
        score = explained[node]
        for k, group in enumerate(together):
            nodes = system_grid(system, group, capacitance, insulation)
            node = nodes.nearest(capacitance, insulation)
            effort = COARSE if first else FINE
            joint = joint_posterior(system, nodes, group, regions[k], tools, effort)
            score = score + joint.evidence[node]
            regions[k] = joint.refine(node)
        chosen = resample(score - credited, np.argsort(capacitance), uniform)
        capacitance, insulation = capacitance[chosen], insulation[chosen]
        credited = score[chosen]  # those kept have had their due: it counts once
    return SystemPosterior(
        capacitance=capacitance,
        insulation=insulation,
        regions=regions,
        nodes=grid,
        alone=kept,
    )
