"""The scenarios of an integration, and the dates between its steps."""

from collections.abc import Sequence
from dataclasses import dataclass
from itertools import pairwise

import numpy as np

from corrosion.foundation.types import Array
from corrosion.history.anodes_in_time import anode_dates
from corrosion.history.coating_epochs import coating_epochs
from corrosion.history.inputs import ModelInputs
from corrosion.leakage.standing_times import FaultIntervals

__all__ = ["Scenario", "TimeSteps", "most_standing", "time_steps"]

_CHANGES_A_STEP = 16  # beginnings and ends of faults, at most


@dataclass(frozen=True, slots=True)
class Scenario:
    """A ship as she was or would have been, and when her faults stood.

    Attributes
    ----------
    inputs : ModelInputs
        The ship with everything drawn.
    intervals : FaultIntervals
        When the faults stood.
    """

    inputs: ModelInputs
    intervals: FaultIntervals


@dataclass(frozen=True, slots=True)
class TimeSteps:
    """The dates between steps, and those at which current paths are solved anew [s].

    ``epochs`` has an array for each of the ships that the scenarios are about.
    """

    edges: Array
    epochs: dict[int, Array]


def most_standing(scenario: Scenario) -> int:
    """Return how many faults may stand at once."""
    began = np.sort(scenario.intervals.began.min(axis=0))
    ended = np.sort(scenario.intervals.ended.max(axis=0))
    before = np.arange(1, len(began) + 1)  # begun by then, of which some have ended
    return int((before - np.searchsorted(ended, began)).max(initial=0))


def time_steps(scenarios: Sequence[Scenario], last: float) -> TimeSteps:
    """Return the dates between steps: not too many faults begin or end within one.

    They end at the ``last`` moment that is recorded [s]. No zone is painted or looked
    at within one, so that what follows is counted from it.
    """
    inputs = scenarios[0].inputs
    time_grid = inputs.time_grid
    start, end = time_grid.start, float(time_grid.moments[-1])
    whens = [
        when.middle
        for fault in inputs.ship.faults
        for when in (fault.found, fault.ended)
        if when is not None and start < when.middle < end
    ]
    ships = {id(s.inputs): s.inputs for s in scenarios}
    epochs = {name: coating_epochs(each) for name, each in ships.items()}
    works = np.array([work.moment for work in inputs.zones.works])
    paints = [each.zones.paint for each in ships.values()]
    written = np.concatenate(
        [works, *(dates for each in paints for dates in (each.written, each.seen_at))]
    )
    inner = np.concatenate(
        [
            written[(written > start) & (written < end)],
            *(paint.unwritten(end) for paint in paints),
        ]
    )
    anodes = [anode_dates(each) for each in ships.values()]
    edges = np.concatenate([time_grid.moments, inner, *epochs.values(), *anodes])
    edges = np.unique(edges)
    changes = np.sort(whens)
    many = [
        changes[a:b][_CHANGES_A_STEP::_CHANGES_A_STEP]
        for a, b in pairwise(np.searchsorted(changes, edges))
    ]
    edges = np.unique(np.concatenate([edges, *many]))
    return TimeSteps(edges[edges <= last], epochs)
