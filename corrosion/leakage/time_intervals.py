"""How she lay, sample by sample, and intervals of time in which nothing changes.

Beginnings and ends are sorted along the sample axis into stretches of constant state,
in which the faults of a system that stand together are solved together.
"""

from collections.abc import Sequence
from dataclasses import dataclass, replace
from itertools import pairwise

import numpy as np
import numpy.typing as npt

from corrosion.foundation.sampling import Draws
from corrosion.foundation.types import Array, BoolArray, IntArray
from corrosion.foundation.units import YEAR
from corrosion.leakage.dated_states import AFLOAT
from corrosion.records.dates import When
from corrosion.records.ship import Berth, Ship

_ODD = np.uint64(0x9E3779B97F4A7C15)  # over the golden ratio: it mixes bits well


@dataclass(frozen=True, slots=True, kw_only=True)
class Stay:
    """How she lay, from one moment to another in each sample."""

    berth: Berth  # how she lay and what fed her
    # start, end, shape (samples,): from and to, `start <= end` [s]
    start: Array
    end: Array


def sample_date(when: When, uniform: Array) -> Array:
    """Return moments spread evenly over a date as written [s]."""
    return np.asarray(when.earliest + uniform * when.width)


def periods(ship: Ship, draws: Draws, *, start: float, end: float) -> list[Stay]:
    """Return how she lay, from the beginning of the estimate to its end.

    Parameters
    ----------
    ship : Ship
        The ship; her berths in order of time.
    draws : Draws
        Random numbers: two a berth.
    start, end : float
        Beginning and end of the estimate. [s]

    Returns
    -------
    list of Stay
        One a berth, and one for each gap between berths, in which she is taken to
        lie afloat on her own supply. They follow one another in every sample: where
        two dates overlap, the later berth begins when the earlier one ends, and where
        one ends and the next begins on the same date as written, she moved at once.
    """
    found: list[Stay] = []
    before = np.full(draws.samples, start)
    for k, berth in enumerate(ship.berths):
        u = draws.block(f"berth {k} dates", 2)
        moved = k > 0 and berth.start == ship.berths[k - 1].end
        low = before
        if berth.start is not None and not moved:
            low = sample_date(berth.start, u[:, 0])
        high = np.inf if berth.end is None else sample_date(berth.end, u[:, 1])
        a = np.clip(np.maximum(low, before), start, end)
        b = np.clip(np.maximum(high, a), start, end)
        found += [
            Stay(berth=AFLOAT, start=before, end=a),
            Stay(berth=berth, start=a, end=b),
        ]
        before = b
    found.append(Stay(berth=AFLOAT, start=before, end=np.full(draws.samples, end)))
    return [period for period in found if bool((period.end > period.start).any())]


def as_before(
    stays: Sequence[Stay], now: float, reach: float, marks: Array
) -> list[Stay]:
    """Return how she lay, and from a moment on as in the years before it, again.

    Only a ship that comes and goes does: as she lies at last she lay before in those
    years, or it is a dock. Any other stays where she is, and plans are followed. Once
    those years have come again, nobody knows the days: between two marks she lies at
    each berth once, for its share of the time.

    Parameters
    ----------
    stays : sequence of Stay
        As :func:`periods` returns them.
    now, reach : float
        From when on, and how many years come again. [s]
    marks : ndarray
        Moments that are looked at, ascending. [s]

    Returns
    -------
    list of Stay
        The same where she stays; what comes again is a whole number of years later.
    """
    *before, last = stays
    end = float(last.end.max())
    since = float(np.median(stays[0].end if len(stays) > 1 else last.start))
    reach = min(reach, YEAR * np.floor((now - since) / YEAR))  # the log may be young
    recent = [one for one in stays if (one.end > now - reach).any()]
    there = any(_way(one.berth) == _way(last.berth) for one in recent[:-1])
    plans = bool((last.start >= now).all())
    if plans or reach < YEAR or not (there or last.berth.lies == "dock"):
        return list(stays)
    found = [*before, replace(last, end=np.minimum(last.end, now))]
    shares: dict[Berth, Array] = {}
    for one in recent:
        a, b = (np.clip(t, now - reach, now) for t in (one.start, one.end))
        again = [np.minimum(t + reach, end) for t in (a, b)]
        if (again[1] > again[0]).any():
            found.append(Stay(berth=one.berth, start=again[0], end=again[1]))
        undated = replace(one.berth, start=None, end=None)
        shares[undated] = shares.get(undated, 0.0) + (b - a) / reach
    known = now + reach
    edges = [known, *marks[(marks > known) & (marks < end)], end]
    until = np.minimum(np.cumsum([*shares.values()], axis=0), 1.0)
    for early, late in pairwise(edges if known < end else []):
        start = np.full(len(last.end), early)
        for berth, part in zip(shares, until, strict=True):
            stop = early + part * (late - early)
            found.append(Stay(berth=berth, start=start, end=stop))
            start = stop
        found[-1] = replace(found[-1], end=np.full(len(start), late))
    return found


def _way(one: Berth) -> tuple[object, ...]:
    """Return where and how she lay."""
    return one.berth, one.supply, one.earth_cable, one.galvanic_isolator, one.lies


@dataclass(frozen=True, slots=True)
class ConstantIntervals:
    """Intervals of a step of time in which nothing changes, a sample a row."""

    # shape (samples, stretches): length of each stretch; zero where a sample has
    # fewer than others [s]
    duration: Array
    middle: Array  # shape (samples, stretches): its middle [s]
    active: BoolArray  # shape (samples, stretches, faults): which faults stand in it

    def of(self, faults: list[int]) -> "ConstantIntervals":
        """Return the same stretches with some of the faults."""
        return ConstantIntervals(self.duration, self.middle, self.active[:, :, faults])


def distinct_states(
    cut: ConstantIntervals,
    columns: Sequence[IntArray],
    turned: Array,
    apart: BoolArray,
    cuts: Sequence[float] = (),
) -> tuple[ConstantIntervals, Array, list[IntArray]]:
    """Return the states of some histories, each once: as many stretches are one state.

    Parameters
    ----------
    cut : ConstantIntervals
        Stretches in which nothing changes in any of them.
    columns : sequence of ndarray of int, shape (faults,)
        For each history the columns of ``cut`` that hold the same faults; -1: of a
        fault that does not stand there.
    turned : ndarray, shape (samples, faults)
        When each becomes another. [s]
    apart : ndarray of bool, shape (faults,)
        Which are different from hour to hour: their stretches stay as they are; others
        keep the first one's middle.
    cuts : sequence of float, optional
        Between the parts of the time, ascending: no stretch reaches over one. [s]

    Returns
    -------
    states : ConstantIntervals
        Each once a sample.
    duration : ndarray, shape (samples, histories, parts, states)
        How long each lasts in each part of each history. [s]
    which : list of ndarray of int, shape (samples, stretches)
        The state of each stretch, one array a history.
    """
    samples, stretches = cut.duration.shape
    early = cut.middle[:, :, None] < turned[:, None, :]
    each, nothing = np.arange(1, stretches + 1), np.uint64(2**64 - 1)  # sorts last
    names, active = [], []
    for mine in columns:
        stands = cut.active[:, :, np.maximum(mine, 0)] & (mine >= 0)
        sets = np.concatenate([stands, stands & early], axis=2)
        name = _names(sets, np.where(stands[:, :, apart].any(axis=2), each, 0))
        names.append(np.where(cut.duration > 0.0, name, nothing))
        active.append(stands)
    name = np.concatenate(names, axis=1)
    order = np.argsort(name, axis=1, kind="stable")
    ranked = np.take_along_axis(name, order, axis=1)
    fresh = np.ones(name.shape, dtype=np.bool_)
    fresh[:, 1:] = ranked[:, 1:] != ranked[:, :-1]
    place = np.empty(name.shape, dtype=np.int64)
    np.put_along_axis(place, order, np.cumsum(fresh, axis=1) - 1, axis=1)
    most = max(1, int((fresh & (ranked != nothing)).sum(axis=1).max(initial=0)))
    place = np.minimum(place, most - 1)  # of what does not last
    row, at = np.nonzero(fresh & (ranked != nothing))
    first, state = order[row, at], place[row, order[row, at]]
    history, stretch = np.divmod(first, stretches)
    found = ConstantIntervals(
        np.zeros((samples, most)),
        np.repeat(cut.middle[:, :1], most, axis=1),
        np.zeros((samples, most, len(columns[0])), dtype=np.bool_),
    )
    found.duration[row, state] = cut.duration[row, stretch]
    found.middle[row, state] = cut.middle[row, stretch]
    found.active[row, state] = np.stack(active)[history, row, stretch]
    which = np.split(place, len(columns), axis=1)
    shape = samples, len(cuts) + 1, most
    each = np.arange(samples)[:, None] * shape[1]
    each = (each + np.searchsorted(cuts, cut.middle, side="right")) * most
    size, lasts = int(np.prod(shape)), cut.duration.ravel()
    sums = [np.bincount((each + mine).ravel(), lasts, size) for mine in which]
    return found, np.stack([one.reshape(shape) for one in sums], axis=1), which


def _names(sets: BoolArray, alone: IntArray) -> npt.NDArray[np.uint64]:
    """Return a number for each set beside one of ``alone``; two share one in 2^64."""
    bits = np.packbits(sets, axis=2)
    whole = np.pad(bits, ((0, 0), (0, 0), (0, -bits.shape[2] % 8)))
    words = np.ascontiguousarray(whole).view(np.uint64)  # a pad keeps Fortran's order
    name = alone.astype(np.uint64)
    for word in np.moveaxis(words, 2, 0):
        name ^= name >> np.uint64(32)
        name = (name * _ODD) ^ word
    return name * _ODD


def constant_intervals(
    began: Array,
    ended: Array,
    start: Array,
    end: Array,
    turned: Array | None = None,
    cuts: Sequence[float] = (),
) -> ConstantIntervals:
    """Cut a step of time into intervals in which nothing changes.

    Parameters
    ----------
    began, ended : ndarray, shape (samples, faults)
        When each fault stood. [s]
    start, end : ndarray, shape (samples,)
        Beginning and end of the step. [s]
    turned : ndarray, shape (samples, faults), optional
        When each, if it stood then, changed its resistance. [s]
    cuts : sequence of float, optional
        Where stretches end in every sample as well. [s]

    Returns
    -------
    ConstantIntervals
        The stretches, and which faults stand in each.

    Examples
    --------
    >>> import numpy as np
    >>> one = np.ones((1, 1))
    >>> cut = constant_intervals(2 * one, 5 * one, 0 * one[0], 9 * one[0])
    >>> cut.duration
    array([[2., 3., 4.]])
    >>> cut.active[0, :, 0]
    array([False,  True, False])
    """
    low, high = start[:, None], end[:, None]
    a, b = np.clip(began, low, high), np.clip(ended, low, high)
    inner = [np.clip(cut, low, high) for cut in cuts]
    inner += [] if turned is None else [np.clip(turned, a, b)]
    edges = np.sort(np.concatenate([low, a, b, *inner, high], axis=1), axis=1)
    duration, left = np.diff(edges, axis=1), edges[:, :-1]
    most = max(1, int(np.count_nonzero(duration, axis=1).max(initial=0)))
    if most < duration.shape[1]:  # most edges coincide: keep what has a length
        kept = np.argsort(duration == 0.0, axis=1, kind="stable")[:, :most]
        duration = np.take_along_axis(duration, kept, axis=1)
        left = np.take_along_axis(left, kept, axis=1)
    active = (a[:, None, :] <= left[:, :, None]) & (left[:, :, None] < b[:, None, :])
    return ConstantIntervals(duration, left + 0.5 * duration, active)
