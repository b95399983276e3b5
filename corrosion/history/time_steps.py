"""The scenarios of an integration, and the dates between its steps."""

from collections.abc import Sequence
from dataclasses import dataclass, fields, replace
from itertools import pairwise

import numpy as np

from corrosion.foundation.types import Array
from corrosion.foundation.units import YEAR
from corrosion.history.alike_states import CROWD
from corrosion.history.anodes_in_time import anode_dates, anodes_act
from corrosion.history.coating_epochs import coating_epochs
from corrosion.history.inputs import ModelInputs
from corrosion.leakage.standing_times import FaultIntervals

_CHANGES_A_STEP = 16  # faults that begin or end within one step, at most
_OF_A_CROWD = 64  # the same where so many stand that their states are taken as alike
_CHANGES = 48
_CONSUMED = 0.5 * YEAR  # within which anodes are consumed by no more than they can be


@dataclass(frozen=True, slots=True)
class Scenario:
    """A ship as she was or would have been, and when her faults stood."""

    inputs: ModelInputs  # the ship with everything drawn
    intervals: FaultIntervals  # when the faults stood
    # until this edge between parts of steps it is as the first of the scenarios [s]
    since: float = -np.inf


@dataclass(frozen=True, slots=True)
class TimeSteps:
    """The dates between steps, and those at which current paths are solved anew [s].

    ``epochs`` has an array for each of the ships that the scenarios are about. From one
    of ``breaks`` to the next, states are solved once for all the parts that the edges
    between make.
    """

    edges: Array
    epochs: dict[int, Array]
    breaks: Array

    @property
    def spans(self) -> list[list[float]]:
        """The edges of each step and of its parts [s]."""
        at = np.searchsorted(self.edges, self.breaks).tolist()
        ends = [*at[1:], len(self.edges) - 1]
        return [self.edges[a : b + 1].tolist() for a, b in zip(at, ends, strict=True)]


def side_by_side(scenarios: Sequence[Scenario]) -> list[tuple[ModelInputs, list[int]]]:
    """Return for each scenario a ship that holds it, and where in it its stays are.

    Scenarios that differ from the first in berths alone are one ship, with a stay more
    for each berth that is another: paint, water and steel are the same.
    """
    first = scenarios[0].inputs
    stays = list(first.periods)
    found: list[list[int] | None] = []
    for scenario in scenarios:
        mine = scenario.inputs
        if not _but_for_berths(first, mine):
            found.append(None)
            continue
        numbers = list(range(len(first.periods)))
        for k, (usual, stay) in enumerate(
            zip(first.periods, mine.periods, strict=True)
        ):
            if stay.berth != usual.berth:
                numbers[k] = len(stays)
                stays.append(stay)
        found.append(numbers)
    wide = first if len(stays) == len(first.periods) else replace(first, periods=stays)
    return [
        (scenario.inputs, list(range(len(scenario.inputs.periods))))
        if numbers is None
        else (wide, numbers)
        for scenario, numbers in zip(scenarios, found, strict=True)
    ]


def _but_for_berths(one: ModelInputs, other: ModelInputs) -> bool:
    """Return whether two ships without anodes differ in their berths at most."""
    if one is other or one.ship.anodes:  # anodes are consumed from stay to stay
        return one is other
    pairs = (one, other, {"ship", "periods"}), (one.ship, other.ship, {"berths"})
    return all(
        getattr(a, field.name) is getattr(b, field.name)
        for a, b, differ in pairs
        for field in fields(a)
        if field.name not in differ
    )


def most_standing(scenario: Scenario) -> int:
    """Return how many faults may stand at once."""
    began = np.sort(scenario.intervals.began.min(axis=0))
    ended = np.sort(scenario.intervals.ended.max(axis=0))
    before = np.arange(1, len(began) + 1)  # begun by then, of which some have ended
    return int((before - np.searchsorted(ended, began)).max(initial=0))


def time_steps(each: Sequence[ModelInputs], last: float, standing: int) -> TimeSteps:
    """Return the dates between steps: not too many faults begin or end within one.

    They end at the ``last`` moment that is recorded [s]; ``standing`` is how many
    faults may stand at once. No zone is painted or looked at within a part of one, so
    that what follows is counted from it.
    """
    inputs = each[0]
    time_grid = inputs.time_grid
    start, end = time_grid.start, float(time_grid.moments[-1])
    whens = [
        when.middle
        for fault in inputs.ship.faults
        for when in (fault.found, fault.ended)
        if when is not None and start < when.middle < end
    ]
    ships = {id(one): one for one in each}
    epochs = {name: coating_epochs(one) for name, one in ships.items()}
    works = np.array([work.moment for work in inputs.zones.works])
    paints = [one.zones.paint for one in ships.values()]
    written = np.concatenate(
        [
            works,
            *(dates for paint in paints for dates in (paint.written, paint.seen_at)),
        ]
    )
    inner = np.concatenate(
        [
            written[(written > start) & (written < end)],
            *(paint.unwritten(end) for paint in paints),
        ]
    )
    anodes = [anode_dates(one) for one in ships.values()]
    edges = np.concatenate([time_grid.moments, inner, *epochs.values(), *anodes])
    edges = np.unique(edges)
    changes = np.sort(whens)
    most = _OF_A_CROWD if standing >= CROWD else _CHANGES_A_STEP
    many = [
        changes[a:b][most::most] for a, b in pairwise(np.searchsorted(changes, edges))
    ]
    edges = np.unique(np.concatenate([edges, *many]))
    edges = edges[edges <= last]
    dates = np.array([time_grid.as_of, time_grid.horizon])  # some end there
    fixed = [dates, *epochs.values(), *anodes, *many]
    breaks = _breaks([*ships.values()], edges, np.concatenate(fixed), changes)
    return TimeSteps(edges, epochs, breaks)


def _breaks(
    ships: Sequence[ModelInputs], edges: Array, fixed: Array, changes: Array
) -> Array:
    """Return at which edges paths, faults or anodes have changed since the last [s].

    Paint changes within a coating epoch by no more than its paths serve for.
    """
    consumed = any(anodes_act(ship.ship) for ship in ships)
    breaks: list[float] = []
    for a, b in pairwise(edges.tolist()):
        if (
            not breaks
            or a in fixed
            or (consumed and b - breaks[-1] > _CONSUMED)
            or ((breaks[-1] < changes) & (changes < b)).sum() > _CHANGES
        ):
            breaks.append(a)
    return np.array(breaks)
