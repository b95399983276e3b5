"""The integration through time: step by step, from amperes to metal, sample by sample.

Time is cut at fixed dates into steps, and each step into the stays at one berth. Within
a stay the faults that may have stood are cut into states in which nothing changes. What
a step takes is added up before the next begins, so that memory stays flat however long
the records are. Samples are independent of one another and go in blocks.

Scenarios go side by side through the same steps and states, so that what one loses and
another keeps is held against each other zone by zone and state by state.
"""

from collections.abc import Callable, Sequence
from dataclasses import dataclass, field, replace
from functools import partial
from itertools import pairwise
from threading import Event

import numpy as np
from threadpoolctl import (  # type: ignore[import-untyped]  # it carries no types
    threadpool_limits,
)

from corrosion.foundation.parallel import at_once, zeros
from corrosion.foundation.types import Array
from corrosion.history.accumulate import (
    LossAccumulator,
    StepBegun,
)
from corrosion.history.compared import StepMass, compare
from corrosion.history.inputs import ModelInputs
from corrosion.history.loss import LossHistory, empty_history
from corrosion.history.paths import CurrentPaths
from corrosion.history.protected_paths import ProtectedPaths, current_paths
from corrosion.history.step_states import Step
from corrosion.history.time_steps import (
    Scenario,
    TimeSteps,
    most_standing,
    side_by_side,
    time_steps,
)
from corrosion.leakage.time_intervals import constant_intervals, distinct_states

_BLOCK = 512  # samples integrated together at most: more take memory and save no time
_FEW = 128  # fewer are not worth another worker
_STANDING = 2**16  # samples times faults that may stand at once in a block, at most


@dataclass(frozen=True, slots=True)
class _Progress:
    """What share of time each block has done, and whether they shall all stop."""

    done: Array
    stop: Event = field(default_factory=Event)


@dataclass(frozen=True, slots=True)
class _Block:
    """A block of samples: its rows, its number, and whom it tells."""

    rows: slice
    number: int
    progress: _Progress


def integrate_history(
    scenarios: Sequence[Scenario],
    moments: Array | None = None,
    *,
    causes: bool = False,
    on_progress: Callable[[float], None] | None = None,
    block: int = _BLOCK,
) -> list[LossHistory]:
    """Integrate the loss through time for each scenario, sharing what does not change.

    Parameters
    ----------
    scenarios : sequence of Scenario
        Of the same samples and stays; what the others keep and give up is counted
        against the first.
    moments : ndarray, optional
        At which of the time grid's moments the state is recorded; None: all. [s]
    causes : bool, optional
        Whether the accounts of mass are recorded at every moment as well.
    on_progress : callable, optional
        Called from time to time with the finished fraction, 0 to 1, in the thread of
        the caller. An exception raised in it cancels the integration and propagates.
    block : int, optional
        Samples that are integrated together, at most; no number depends on it.

    Returns
    -------
    list of LossHistory
        One a scenario, from the same random numbers, so that a scenario that changes
        nothing changes no digit.
    """
    inputs = scenarios[0].inputs
    samples = inputs.draws.samples
    recorded = inputs.time_grid.moments if moments is None else moments
    histories = [empty_history(s.inputs, recorded, causes=causes) for s in scenarios]
    ships = side_by_side(scenarios)
    standing = most_standing(scenarios[0])
    steps = time_steps([ship for ship, _ in ships], float(recorded[-1]), standing)
    # the same wherever it runs
    few = min(-(-samples // 2), _STANDING // max(1, standing))
    size = min(block, max(_FEW, few))
    rows = [slice(a, min(a + size, samples)) for a in range(0, samples, size)]
    progress = _Progress(zeros((len(rows),)))
    work = partial(_integrate_block, scenarios, histories, (steps, ships))

    def again(block: _Block) -> list[Array]:  # of what a child has left half done
        for s, history in zip(scenarios, histories, strict=True):
            none = empty_history(s.inputs, recorded, causes=causes)
            history.take_over(none, block.rows)
        return work(block)

    def tell() -> None:
        if on_progress is not None:
            on_progress(float(progress.done.mean()))

    with threadpool_limits(1, user_api="blas"):
        sums = at_once(
            work,
            [_Block(some, k, progress) for k, some in enumerate(rows)],
            apart=True,
            again=again,
            tell=tell,
            stop=progress.stop.set,
        )
    return [
        replace(kept, charged=np.sum([block[k] for block in sums], axis=0) / samples)
        for k, kept in enumerate(histories)
    ]


def _integrate_block(
    scenarios: Sequence[Scenario],
    histories: Sequence[LossHistory],
    cut: tuple[TimeSteps, Sequence[tuple[ModelInputs, list[int]]]],
    block: _Block,
) -> list[Array]:
    """Take a block of samples through time; return each scenario's ``charged`` sum.

    One that is stopped leaves an unfinished history, which nobody is given.
    """
    if block.progress.stop.is_set():
        return []
    steps, ships = cut
    by_ship = {
        name: current_paths(ship, block.rows, steps.epochs[name])
        for name, ship in {id(ship): ship for ship, _ in ships}.items()
    }
    lanes = [(by_ship[id(ship)], numbers) for ship, numbers in ships]
    losses = [
        LossAccumulator(
            s.inputs, s.intervals, history, block.rows, compared=len(scenarios) > 1
        )
        for s, history in zip(scenarios, histories, strict=True)
    ]
    before = float(steps.edges[0])
    since = np.array([each.since for each in scenarios])
    for at, edges in enumerate(steps.spans, 1):
        if block.progress.stop.is_set():
            break
        going = _apart(losses, since, (edges[0], edges[-1]))
        some = [losses[k] for k in going], [lanes[k] for k in going]
        for mine in {id(paths): paths for paths, _ in some[1]}.values():
            mine.turn_to(*edges)
        _add_step(*some, edges, block.rows)
        _add_parts(some[0], edges, before)
        before = edges[-2]
        block.progress.done[block.number] = at / len(steps.spans)
    _apart(losses, since, (float(steps.edges[-1]), np.inf))
    _tell_anodes(losses, lanes)
    return [loss.charged for loss in losses]


def _add_parts(
    losses: Sequence[LossAccumulator], edges: Sequence[float], before: float
) -> None:
    """Add the parts of a step, one after the other; ``before``: the last began [s]."""
    for part, (a, b) in enumerate(pairwise(edges)):
        begun: dict[int, StepBegun] = {}
        bare: dict[int, Array] = {}
        for loss in losses:
            loss.start_step(before, a, begun)
            loss.add_part(part)
            loss.save_state(b, bare)
        before = a


def _tell_anodes(
    losses: Sequence[LossAccumulator],
    lanes: Sequence[tuple[CurrentPaths, list[int]]],
) -> None:
    """Write what anodes do at the date of the estimate into each history."""
    for loss, (mine, _) in zip(losses, lanes, strict=True):
        if isinstance(mine, ProtectedPaths):
            mine.tell(loss.history)


def _apart(
    losses: Sequence[LossAccumulator], since: Array, span: tuple[float, float]
) -> list[int]:
    """Return which scenarios are apart in a step; one that begins it takes over."""
    for k, loss in enumerate(losses):
        if span[0] <= since[k] < span[1]:
            loss.take_over(losses[0])
    return np.flatnonzero(since < span[1]).tolist()


def _add_step(
    losses: Sequence[LossAccumulator],
    lanes: Sequence[tuple[CurrentPaths, list[int]]],
    edges: Sequence[float],
    rows: slice,
) -> None:
    """Take one step of time, berth by berth, in states common to all scenarios."""
    inputs = losses[0].inputs
    for stay, period in enumerate(inputs.periods):
        start, end = (
            np.clip(t[rows], edges[0], edges[-1]) for t in (period.start, period.end)
        )
        lies = end > start
        if not lies.any():
            continue
        early, late = float(start[lies].min()), float(end[lies].max())
        begin = max(0, int(np.searchsorted(edges, early, side="right")) - 1)
        here = edges[begin : int(np.searchsorted(edges, late)) + 1]
        standing = [loss.standing(early, late) for loss in losses]
        began, ended, turned = (
            np.concatenate(
                [
                    getattr(loss, name)[:, some]
                    for loss, some in zip(losses, standing, strict=True)
                ],
                axis=1,
            )
            for name in ("began", "ended", "turned")
        )
        cut = constant_intervals(began, ended, start, end, turned, here[1:-1])
        first = np.cumsum([0, *map(len, standing)])
        masses: dict[int, StepMass | None] = {}
        alike: dict[tuple[int, int], list[int]] = {}
        for k, (paths, numbers) in enumerate(lanes):
            alike.setdefault((id(paths), numbers[stay]), []).append(k)
        for (_, number), members in alike.items():
            paths = lanes[members[0]][0]
            every = np.unique(np.concatenate([standing[k] for k in members]))
            columns = [np.full(len(every), -1) for _ in members]
            for mine, k in zip(columns, members, strict=True):
                at = np.searchsorted(every, standing[k])
                mine[at] = np.arange(first[k], first[k + 1])
            states, duration, which = distinct_states(
                cut,
                columns,
                losses[members[0]].turned[:, every],
                np.isin(every, [*inputs.faults.logged]),
                here[1:-1],
            )
            step = Step(
                number=number,
                stay=stay,
                start=start,
                end=end,
                edges=np.array(here),
                first=begin,
                standing=every,
                states=states,
                duration=duration,
            )
            taken = losses[members[0]].taken(paths, step)
            masses |= {
                k: losses[k].add_step(paths, step, taken, mine, which[mine])
                for mine, k in enumerate(members)
            }
        for k, loss in enumerate(losses[1:], 1):
            each = masses[0], masses[k]
            compare(loss.history, rows, inputs.hull.body.zones, cut.duration, each)
