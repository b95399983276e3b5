"""Readings that cannot all be true of one fault, named."""

from functools import lru_cache
from itertools import combinations

import numpy as np

from corrosion.foundation.assumptions import Assumptions, default_assumptions
from corrosion.foundation.sampling import Draws
from corrosion.leakage.inference.evidence import Evidence, states
from corrosion.leakage.inference.grid import SystemGrid, sample_healthy_system
from corrosion.leakage.inference.instruments import Instruments
from corrosion.leakage.inference.likelihood import reading_likelihoods
from corrosion.records.ship import Readings, System

_APART = 16.0  # squared standard deviations at which readings contradict


def contradictions(
    system: System,
    readings: Readings | Evidence,
    *,
    assumptions: Assumptions | None = None,
) -> tuple[str, ...]:
    """Return which readings of one fault contradict each other, in words.

    One sentence for each reading that no fault on this system gives, and for each pair
    that no one fault gives, to within four standard deviations of the instruments;
    empty where all agree.
    """
    evidence = Evidence.of(readings)
    table = assumptions or default_assumptions()
    nodes = _nodes(system, table)
    instruments = Instruments.of(table)
    tried = [
        list(reading_likelihoods(state, evidence, instruments))
        for state in states(system, nodes, evidence, instruments.law)
    ]
    count = len(tried[0])
    labels = [term.label for term in tried[0]]

    def least(*which: int) -> float:
        joint = [sum((row[k].distance for k in which), np.zeros(1)) for row in tried]
        return float(min(each.min() for each in joint))

    conductors = "any conductor" if evidence.conductor is None else evidence.conductor
    place = f"{conductors} of {system.name}"
    alone = [least(k) for k in range(count)]
    found = [
        f"{labels[k]}: no fault on {place} gives that, whatever its resistance "
        f"(off by {np.sqrt(alone[k]):.0f} standard deviations)"
        for k in range(count)
        if alone[k] > _APART
    ]
    sound = [k for k in range(count) if alone[k] <= _APART]
    for i, j in combinations(sound, 2):
        apart = least(i, j)
        if apart > _APART:
            found.append(
                f"{labels[i]} and {labels[j]} contradict each other: no one fault "
                f"gives both (off by {np.sqrt(apart):.0f} standard deviations)"
            )
    if not found and count > 2 and least(*range(count)) > _APART + 2.0 * count:
        found.append(f"{'; '.join(labels)}: taken together, no one fault gives all")
    return tuple(found)


@lru_cache(maxsize=8)
def _nodes(system: System, table: Assumptions) -> SystemGrid:
    """Return where a system's capacitance and insulation are tried, kept."""
    healthy = sample_healthy_system(system, Draws(512, 1, table))
    return SystemGrid.spanning(system, *healthy, (5, 2))
