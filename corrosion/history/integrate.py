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
from corrosion.history.accumulate import Account
from corrosion.history.inputs import Books, Case, blank_books
from corrosion.history.paths import Routes, coating_epochs
from corrosion.leakage.standing_times import Spans
from corrosion.wastage.metals import metal
from corrosion.wastage.natural import loss_depth

__all__ = ["keep_books"]

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
        self, walks: Iterable[Future[list[Array]]], tell: Callable[[float], None]
    ) -> None:
        """Tell of the share walked until all is; what is raised stops the blocks."""
        going = set(walks)
        try:
            while going:
                ended, going = wait(going, _LOOK, FIRST_COMPLETED)
                for walk in ended:
                    walk.result()
                tell(float(self.done.mean()))
        finally:
            self.stop.set()


def keep_books(
    case: Case,
    scenarios: Sequence[Spans],
    moments: Array | None = None,
    *,
    tell: Callable[[float], None] | None = None,
) -> list[Books]:
    """Walk through time once for each scenario, sharing all that does not change.

    Parameters
    ----------
    case : Case
        The ship with everything drawn.
    scenarios : sequence of Spans
        When the faults stood: as they did, or as they would have.
    moments : ndarray, optional
        Which of the clock's moments are recorded; None: all. [s]
    tell : callable, optional
        Is given the share of the walk that is done, now and then, in the thread of the
        caller; what it raises stops the walk and is raised here. [-]

    Returns
    -------
    list of Books
        One a scenario, from the same random numbers, so that a scenario that changes
        nothing changes no digit.
    """
    samples = case.draws.samples
    recorded = case.clock.moments if moments is None else moments
    books = [blank_books(case, recorded) for _ in scenarios]
    epochs = coating_epochs(case)
    dates = (_cuts(case, epochs), epochs)
    size = min(_BLOCK, max(_FEW, -(-samples // 2)))  # the same wherever it runs
    blocks = [slice(a, min(a + size, samples)) for a in range(0, samples, size)]
    way = _Way(np.zeros(len(blocks)))
    with (
        threadpool_limits(1, user_api="blas"),
        ThreadPoolExecutor(min(len(blocks), os.cpu_count() or 1)) as pool,
    ):
        walks = [
            pool.submit(
                copy_context().run, _walk, case, scenarios, books, dates, (way, k, rows)
            )
            for k, rows in enumerate(blocks)
        ]
        way.follow(walks, tell or (lambda _: None))
        sums = [walk.result() for walk in walks]
    return [
        replace(kept, charged=np.sum([block[k] for block in sums], axis=0) / samples)
        for k, kept in enumerate(books)
    ]


def _cuts(case: Case, epochs: Array) -> Array:
    """Return the dates between slabs: few faults begin or end within one [s].

    No zone is painted within one, so that what follows a painting is counted from it.
    """
    clock = case.clock
    whens = [
        when.middle
        for fault in case.ship.faults
        for when in (fault.found, fault.cleared)
        if when is not None and clock.start < when.middle < clock.moments[-1]
    ]
    some = np.sort(whens)[:: 2 * _FAULTS_A_SLAB]
    return np.unique(np.concatenate([clock.moments, some, epochs]))


def _walk(
    case: Case,
    scenarios: Sequence[Spans],
    books: Sequence[Books],
    dates: tuple[Array, Array],
    block: tuple[_Way, int, slice],
) -> list[Array]:
    """Walk a block of samples through time; return each scenario's ``charged`` sum.

    A walk that is stopped leaves half-kept books, which nobody is given.
    """
    (cuts, epochs), (way, number, rows) = dates, block
    if way.stop.is_set():
        return []
    routes = Routes(case, rows, epochs)
    running = [
        Account(case, spans, kept, rows)
        for spans, kept in zip(scenarios, books, strict=True)
    ]
    for at, (a, b) in enumerate(pairwise(cuts), 1):
        if way.stop.is_set():
            break
        _slab(case, running, routes, (a, b), rows)
        way.done[number] = at / (len(cuts) - 1)
    return [account.charged for account in running]


def _slab(
    case: Case,
    running: Sequence[Account],
    routes: Routes,
    slab: tuple[float, float],
    rows: slice,
) -> None:
    """Walk a block through one slab of time, berth by berth."""
    a, b = slab
    routes.turn_to(a, b)
    for account in running:
        account.turn_to(a)
    for number, period in enumerate(case.periods):
        start, end = (np.clip(t[rows], a, b) for t in (period.start, period.end))
        if (end > start).any():
            natural = _natural(case, start, end, rows)
            for account in running:
                account.slab(routes, number, start, end, natural)
    for account in running:
        account.record(b, routes.bare)


def _natural(case: Case, start: Array, end: Array, rows: slice) -> Array:
    """Return the natural charge of dissolution at bare steel, (samples, zones).

    The tabulated loss of steel, times the metal's ratio to steel. [C/m²]
    """
    born = case.clock.start
    depth = {
        exposure: loss_depth(exposure, (end - born) / YEAR)
        - loss_depth(exposure, (start - born) / YEAR)
        for exposure in {zone.exposure for zone in case.ship.zones}
    }
    tabulated = np.stack(
        [depth[z.exposure] * metal(z.metal).natural_ratio for z in case.ship.zones],
        axis=1,
    )
    return np.asarray(tabulated * case.zones.natural[rows] * case.dissolution)
