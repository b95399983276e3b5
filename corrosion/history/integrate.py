"""The walk through time: slab by slab, from amperes to metal, sample by sample.

Time is cut at fixed dates into slabs, and each slab into the periods in which she lay
at one berth. Within a period of a slab the faults that may have stood are cut into
stretches of constant state. What a slab takes is booked before the next begins, so
that memory stays flat however long the records are. Samples are independent of one
another and are walked in blocks.
"""

import os
from collections.abc import Callable, Iterable, Sequence
from concurrent.futures import FIRST_COMPLETED, Future, ThreadPoolExecutor, wait
from contextvars import copy_context
from dataclasses import dataclass, field, replace
from itertools import pairwise
from threading import Event

import numpy as np
from threadpoolctl import (  # type: ignore[import-untyped]  # it carries no types
    threadpool_limits,
)

from corrosion.foundation.types import Array
from corrosion.foundation.units import YEAR
from corrosion.history.accumulate import LossAccumulator
from corrosion.history.inputs import LossHistory, ModelInputs, empty_history
from corrosion.history.paths import CurrentPaths, coating_epochs
from corrosion.leakage.standing_times import FaultIntervals
from corrosion.wastage.metals import metal
from corrosion.wastage.natural import loss_depth

__all__ = ["integrate_history"]

_BLOCK = 1024  # samples walked together at most: more wait less for one another
_FEW = 128  # fewer are not worth another worker
_FAULTS_A_SLAB = 8
_LOOK = 0.1  # how often it is told how far the walk has come [s]


@dataclass(frozen=True, slots=True)
class _Way:
    """What share of time each block has walked, and whether they shall all stop."""

    done: Array
    stop: Event = field(default_factory=Event)

    def follow(
        self, walks: Iterable[Future[list[Array]]], on_progress: Callable[[float], None]
    ) -> None:
        """Tell of the share walked until all is; what is raised stops the blocks."""
        going = set(walks)
        try:
            while going:
                ended, going = wait(going, _LOOK, FIRST_COMPLETED)
                for walk in ended:
                    walk.result()
                on_progress(float(self.done.mean()))
        finally:
            self.stop.set()


def integrate_history(
    inputs: ModelInputs,
    scenarios: Sequence[FaultIntervals],
    moments: Array | None = None,
    *,
    on_progress: Callable[[float], None] | None = None,
) -> list[LossHistory]:
    """Walk through time once for each scenario, sharing all that does not change.

    Parameters
    ----------
    inputs : ModelInputs
        The ship with everything drawn.
    scenarios : sequence of Spans
        When the faults stood: as they did, or as they would have.
    moments : ndarray, optional
        Which of the clock's moments are recorded; None: all. [s]
    on_progress : callable, optional
        Is given the share of the walk that is done, now and then, in the thread of the
        caller; what it raises stops the walk and is raised here. [-]

    Returns
    -------
    list of LossHistory
        One a scenario, from the same random numbers, so that a scenario that changes
        nothing changes no digit.
    """
    samples = inputs.draws.samples
    recorded = inputs.time_grid.moments if moments is None else moments
    history = [empty_history(inputs, recorded) for _ in scenarios]
    epochs = coating_epochs(inputs)
    dates = (_cuts(inputs, epochs), epochs)
    size = min(_BLOCK, max(_FEW, -(-samples // 2)))  # the same wherever it runs
    blocks = [slice(a, min(a + size, samples)) for a in range(0, samples, size)]
    way = _Way(np.zeros(len(blocks)))
    with (
        threadpool_limits(1, user_api="blas"),
        ThreadPoolExecutor(min(len(blocks), os.cpu_count() or 1)) as pool,
    ):
        walks = [
            pool.submit(
                copy_context().run,
                _walk,
                inputs,
                scenarios,
                history,
                dates,
                (way, k, rows),
            )
            for k, rows in enumerate(blocks)
        ]
        way.follow(walks, on_progress or (lambda _: None))
        sums = [walk.result() for walk in walks]
    return [
        replace(kept, charged=np.sum([block[k] for block in sums], axis=0) / samples)
        for k, kept in enumerate(history)
    ]


def _cuts(inputs: ModelInputs, epochs: Array) -> Array:
    """Return the dates between slabs: few faults begin or end within one [s].

    No zone is painted within one, so that what follows a painting is counted from it.
    """
    time_grid = inputs.time_grid
    whens = [
        when.middle
        for fault in inputs.ship.faults
        for when in (fault.found, fault.cleared)
        if when is not None and time_grid.start < when.middle < time_grid.moments[-1]
    ]
    some = np.sort(whens)[:: 2 * _FAULTS_A_SLAB]
    return np.unique(np.concatenate([time_grid.moments, some, epochs]))


def _walk(
    inputs: ModelInputs,
    scenarios: Sequence[FaultIntervals],
    history: Sequence[LossHistory],
    dates: tuple[Array, Array],
    block: tuple[_Way, int, slice],
) -> list[Array]:
    """Walk a block of samples through time; return each scenario's ``charged`` sum.

    A walk that is stopped leaves an unfinished history, which nobody is given.
    """
    (cuts, epochs), (way, number, rows) = dates, block
    if way.stop.is_set():
        return []
    routes = CurrentPaths(inputs, rows, epochs)
    running = [
        LossAccumulator(inputs, spans, kept, rows)
        for spans, kept in zip(scenarios, history, strict=True)
    ]
    for at, (a, b) in enumerate(pairwise(cuts), 1):
        if way.stop.is_set():
            break
        _slab(inputs, running, routes, (a, b), rows)
        way.done[number] = at / (len(cuts) - 1)
    return [account.charged for account in running]


def _slab(
    inputs: ModelInputs,
    running: Sequence[LossAccumulator],
    routes: CurrentPaths,
    slab: tuple[float, float],
    rows: slice,
) -> None:
    """Walk a block through one slab of time, berth by berth."""
    a, b = slab
    routes.turn_to(a, b)
    for account in running:
        account.turn_to(a)
    for number, period in enumerate(inputs.periods):
        start, end = (np.clip(t[rows], a, b) for t in (period.start, period.end))
        if (end > start).any():
            natural = _natural(inputs, start, end, rows)
            for account in running:
                account.slab(routes, number, start, end, natural)
    for account in running:
        account.record(b, routes.bare)


def _natural(inputs: ModelInputs, start: Array, end: Array, rows: slice) -> Array:
    """Return the natural charge of dissolution at bare steel, (samples, zones).

    The tabulated loss of steel, times the metal's ratio to steel. [C/m²]
    """
    born = inputs.time_grid.start
    depth = {
        exposure: loss_depth(exposure, (end - born) / YEAR)
        - loss_depth(exposure, (start - born) / YEAR)
        for exposure in {zone.exposure for zone in inputs.ship.zones}
    }
    tabulated = np.stack(
        [depth[z.exposure] * metal(z.metal).natural_ratio for z in inputs.ship.zones],
        axis=1,
    )
    return np.asarray(tabulated * inputs.zones.natural[rows] * inputs.dissolution)
