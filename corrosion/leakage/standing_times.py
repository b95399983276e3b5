"""Time: when each fault stood, which stood together, and how she lay meanwhile.

Dates as written are intervals, so every sample has its own beginnings and ends. They
are sorted along the sample axis into stretches of constant state, in which the faults
of a system that stand together are solved together.
"""

from dataclasses import dataclass

import numpy as np

from corrosion.foundation.sampling import Draws, lognormal
from corrosion.foundation.types import Array, BoolArray
from corrosion.foundation.units import HOUR
from corrosion.leakage.conditions import AFLOAT
from corrosion.records.dates import When
from corrosion.records.ship import Berth, Fault, Ship

__all__ = [
    "FAULT_COLUMNS",
    "FaultIntervals",
    "Stay",
    "constant_intervals",
    "fault_intervals",
    "periods",
    "sample_date",
]

FAULT_COLUMNS = (
    "last_good",
    "began",
    "found",
    "cleared",
    "ohms",
    "zone",
    "amps",
    "trip",
)
"""The unknowns of one fault, a column each, in the order in which they are drawn."""

_STEPS = 257  # moments of a date at which its room is looked at


@dataclass(frozen=True, slots=True, kw_only=True)
class FaultIntervals:
    """When each fault stood, a sample a row.

    Attributes
    ----------
    began, found, ended : ndarray, shape (samples, faults)
        Moments, ``began <= found`` and ``began <= ended``; ``ended`` is infinite
        for a fault that still stands. [s]
    """

    began: Array
    found: Array
    ended: Array


@dataclass(frozen=True, slots=True, kw_only=True)
class Stay:
    """How she lay, from one moment to another in each sample.

    Attributes
    ----------
    berth : Berth
        How she lay and what fed her.
    start, end : ndarray, shape (samples,)
        From and to, ``start <= end``. [s]
    """

    berth: Berth
    start: Array
    end: Array


def sample_date(when: When, uniform: Array) -> Array:
    """Return moments spread evenly over a date as written [s]."""
    return np.asarray(when.earliest + uniform * when.width)


def fault_intervals(ship: Ship, uniform: Array) -> FaultIntervals:
    """Return when each fault began, was found and ended.

    Parameters
    ----------
    ship : Ship
        The ship.
    uniform : ndarray, shape (samples, faults, len(FAULT_COLUMNS))
        Uniform numbers of each fault. [-]

    Returns
    -------
    Spans
        A fault began at some moment between the last good check and when it was
        found, all moments being equally likely. Where no check is written, the
        previous entry for that system is one; where there is none either, the time
        to detection is the basis table's ``undetected_hours``. Welding and other
        currents begin when they are found, since somebody switched them on.

    Notes
    -----
    Dates that overlap are drawn evenly over all that is left when check, finding and
    clearing stand in their order: found and cleared in the same year, a fault stood
    for a third of a year in the mean. Where they surely stand the wrong way round,
    the fault was found and cleared at once.
    """
    u = {name: uniform[:, :, k] for k, name in enumerate(FAULT_COLUMNS)}
    began, found, ended = (np.empty(uniform.shape[:2]) for _ in range(3))
    for k, fault in enumerate(ship.faults):
        good = fault.last_good or _previous_entry(ship, fault)
        found[:, k] = _found(fault, good, u["found"][:, k])
        if good is not None:
            until = np.clip(found[:, k], good.earliest, good.latest)
            since = good.earliest + u["last_good"][:, k] * (until - good.earliest)
            since = np.minimum(since, found[:, k])
            began[:, k] = since + u["began"][:, k] * (found[:, k] - since)
        elif fault.source == "ground fault":
            hours = lognormal("undetected_hours", u["began"][:, k])
            began[:, k] = found[:, k] - hours * HOUR
        else:
            began[:, k] = found[:, k]
        ended[:, k] = np.inf
        if fault.cleared is not None:
            end = fault.cleared.latest
            start = np.clip(found[:, k], fault.cleared.earliest, end)
            over = start + u["cleared"][:, k] * (end - start)
            ended[:, k] = np.maximum(over, found[:, k])
    return FaultIntervals(began=began, found=found, ended=ended)


def _found(fault: Fault, good: When | None, uniform: Array) -> Array:
    """Return when a fault was found, by the room that it leaves check and clearing."""
    moments = np.linspace(fault.found.earliest, fault.found.latest, _STEPS)
    room = np.ones(_STEPS)
    if good is not None:
        room *= np.clip(moments - good.earliest, 0.0, good.width)
    if fault.cleared is not None:
        room *= np.clip(fault.cleared.latest - moments, 0.0, fault.cleared.width)
    if np.ptp(room) == 0.0:  # no date overlaps another, or none leaves any room
        return sample_date(fault.found, uniform)
    ladder = np.concatenate([[0.0], np.cumsum(0.5 * (room[1:] + room[:-1]))])
    return np.interp(uniform, ladder / ladder[-1], moments)


def _previous_entry(ship: Ship, fault: Fault) -> When | None:
    """Return the latest date in the log at which this system was looked at before."""
    if fault.source != "ground fault":
        return None
    entries = [
        when
        for other in ship.faults
        if other.system == fault.system and other.fault != fault.fault
        for when in (other.found, other.cleared)
        if when is not None and when.latest <= fault.found.earliest
    ]
    return max(entries, key=lambda when: when.latest, default=None)


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


def constant_intervals(
    began: Array, ended: Array, start: Array, end: Array
) -> tuple[Array, BoolArray]:
    """Cut a slab of time into stretches in which nothing changes.

    Parameters
    ----------
    began, ended : ndarray, shape (samples, faults)
        When each fault stood. [s]
    start, end : ndarray, shape (samples,)
        Beginning and end of the slab. [s]

    Returns
    -------
    duration : ndarray, shape (samples, stretches)
        Length of each stretch; zero where a sample has fewer than others. [s]
    active : ndarray of bool, shape (samples, stretches, faults)
        Which faults stand in it.

    Examples
    --------
    >>> import numpy as np
    >>> one = np.ones((1, 1))
    >>> duration, active = stretches(2 * one, 5 * one, 0 * one[0], 9 * one[0])
    >>> duration
    array([[2., 3., 4.]])
    >>> active[0, :, 0]
    array([False,  True, False])
    """
    low, high = start[:, None], end[:, None]
    a, b = np.clip(began, low, high), np.clip(ended, low, high)
    edges = np.sort(np.concatenate([low, a, b, high], axis=1), axis=1)
    duration, left = np.diff(edges, axis=1), edges[:, :-1]
    most = max(1, int(np.count_nonzero(duration, axis=1).max(initial=0)))
    if most < duration.shape[1]:  # most edges coincide: keep what has a length
        kept = np.argsort(duration == 0.0, axis=1, kind="stable")[:, :most]
        duration = np.take_along_axis(duration, kept, axis=1)
        left = np.take_along_axis(left, kept, axis=1)
    active = (a[:, None, :] <= left[:, :, None]) & (left[:, :, None] < b[:, None, :])
    return duration, active
