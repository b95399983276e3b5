"""How the resistance of a fault wanders between the hours at which it was read.

Damp, load and temperature move it from day to day, and slowly over months. The
logarithm of the resistance is taken as the sum of a part that is new each day and of
one that is slowly forgotten, so that the ratio of two readings scatters the more the
further apart they are.
"""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field, replace
from typing import Self

import numpy as np

from corrosion.foundation.assumptions import Assumptions
from corrosion.foundation.types import Array, IntArray
from corrosion.foundation.units import DAY, YEAR

_INSTANT = 1e-4  # of the memory: a time so short is a moment


@dataclass(frozen=True, slots=True)
class Wander:
    """Scatter of the logarithm of a fault's resistance."""

    daily: float  # variance of the part that is new each day [-]
    # variance of the difference that the slow part makes over a long time [-]
    slow: float
    memory: float  # time in which the slow part is forgotten [s]

    @classmethod
    def of(cls, assumptions: Assumptions) -> Self:
        """Return it as the assumptions state it for another day and another year."""
        day, year = (
            float(np.log(assumptions[name].geometric_sd)) ** 2
            for name in ("fault_ohm_wander", "fault_ohm_wander_year")
        )
        memory = assumptions.value("fault_ohm_memory_days") * DAY
        kept = 1.0 - float(np.exp(-YEAR / memory))
        return cls(0.5 * day, max(year - day, 0.0) / kept, memory)

    def times(self, factor: float) -> Self:
        """Return the same with variances so many times as large."""
        return replace(self, daily=factor * self.daily, slow=factor * self.slow)

    def between(self, seconds: float) -> float:
        """Return the standard deviation of the log ratio of two readings [-]."""
        other_day = min(seconds / DAY, 1.0)
        slow = -self.slow * np.expm1(-seconds / self.memory)
        return float(np.sqrt(2.0 * self.daily * other_day + slow))

    def over(self, seconds: Array, duration: Array) -> tuple[Array, Array]:
        """Return mean and standard deviation of the log ratio of a time to a reading.

        Parameters
        ----------
        seconds : ndarray
            From the reading to the middle of the time. [s]
        duration : ndarray
            How long that time is. What is new each day averages out over many days,
            and so does the slow part over times longer than it is remembered; as a
            current goes with the conductance, whose mean is above its median, the mean
            of the logarithm is a little below zero. [s]

        Notes
        -----
        The slow part is an Ornstein-Uhlenbeck process of variance v and memory m. Its
        mean over a time T has the variance v·V, V = 2 (x - 1 + exp(-x)) / x² with
        x = T / m [1]_, and the covariance v·C with its value at the reading, where C is
        the mean of exp(-t / m) over the time, t from the reading.

        References
        ----------
        .. [1] G. I. Taylor, "Diffusion by continuous movements", Proc. Lond. Math. Soc.
           20, 1921, 196: variance of the integral of a process by its correlation (from
           memory).
        """
        seconds, duration = np.abs(seconds), np.asarray(duration)
        other_day = np.minimum(np.maximum(seconds, 0.25 * duration) / DAY, 1.0)
        one_day = np.minimum(DAY / np.maximum(duration, DAY), 1.0)
        x = np.maximum(duration / self.memory, _INSTANT)
        at_once = x == _INSTANT  # nothing is averaged: a reading read again is itself
        averaged = np.where(at_once, 1.0, 2.0 * (x + np.expm1(-x)) / x**2)
        ends = [seconds / self.memory + half * x for half in (-0.5, 0.5)]
        low, high = (-np.sign(end) * np.expm1(-np.abs(end)) for end in ends)
        shared = (high - low) / x
        shared = np.where(at_once, np.exp(-seconds / self.memory), shared)
        daily, slow = self.daily * other_day, 0.5 * self.slow
        variance = daily * (1.0 + one_day) + slow * (1.0 + averaged - 2.0 * shared)
        shift = -0.5 * (daily * (1.0 - one_day) + slow * (1.0 - averaged))
        return shift, np.sqrt(np.maximum(variance, 0.0))


@dataclass(frozen=True, slots=True)
class Knots:
    """Further hours at which one fault was read."""

    moment: Array  # (samples, knots) ascending [s]
    log_ohms: Array  # (samples, knots) logarithm of the resistance then [ln Ω]


@dataclass(frozen=True, slots=True, kw_only=True)
class ResistancePath:
    """Resistance of each fault in any state of the network, a sample a row.

    A fault has one resistance in each stay: that of the mean current over the time in
    which it stood there; and another for all the time in which it was hidden.
    """

    ohms: Array  # shape (samples, faults): when it was first read [Ω]
    moment: Array  # shape (samples, faults): when that was [s]
    # turned, ended, shape (samples, faults): from when to when it stood as it was read:
    # since it was found if it was hidden until then, else since it began; no later than
    # the date of the estimate [s]
    turned: Array
    ended: Array
    hidden: Array  # shape (samples, faults): resistance before that [Ω]
    wander: Wander  # how it scatters elsewhere
    # shape (samples, faults): by how many standard deviations it lies off, away
    # from the readings [-]
    score: Array
    # of the faults that were read at more than one hour: all of them
    knots: Mapping[int, Knots] = field(default_factory=dict)

    def within(self, rows: slice, faults: IntArray, start: Array, end: Array) -> Array:
        """Return resistances as read while she lay somewhere, (samples, faults) [Ω].

        ``faults``, shape (faults,): which faults. ``start``, ``end``, shape (samples,):
        from when to when she lay there [s].
        """
        low, high = start[:, None], end[:, None]
        since = np.clip(self.turned[rows][:, faults], low, high)
        until = np.maximum(np.clip(self.ended[rows][:, faults], low, high), since)
        middle = 0.5 * (since + until)
        away = np.abs(middle - self.moment[rows][:, faults])
        log_ohms = np.log(self.ohms[rows][:, faults])
        alike: dict[int, list[int]] = {}  # columns, by how often they were read
        for column, fault in enumerate(faults.tolist()):
            if fault in self.knots:
                count = self.knots[fault].moment.shape[1]
                alike.setdefault(count, []).append(column)
        for some in alike.values():
            found = _interpolated(
                [self.knots[k] for k in faults[some].tolist()], rows, middle[:, some]
            )
            away[:, some], log_ohms[:, some] = found
        shift, sd = self.wander.over(away, until - since)
        return np.exp(log_ohms + shift + sd * self.score[rows][:, faults])

    def at(
        self, rows: slice, faults: IntArray, stay: tuple[Array, Array], middle: Array
    ) -> Array:
        """Return resistances in each state of a stay, (samples, states, faults) [Ω].

        ``rows``, ``faults``: which samples and faults. ``stay``, shape (samples,): from
        when to when she lay there [s]. ``middle``, shape (samples, states): middle of
        each state [s].
        """
        read = self.within(rows, faults, *stay)[:, None]
        turned = self.turned[rows][:, None, faults]
        first = middle.min(axis=1, initial=np.inf)[:, None]
        some = np.flatnonzero((turned[:, 0] > first).any(axis=0))
        if not some.size:  # as most are at most times
            return read
        found = np.repeat(read, middle.shape[1], axis=1)
        early = middle[:, :, None] < turned[:, :, some]
        hidden = self.hidden[rows][:, None, faults[some]]
        found[:, :, some] = np.where(early, hidden, found[:, :, some])
        return found


def _interpolated(
    knots: Sequence[Knots], rows: slice, middle: Array
) -> tuple[Array, Array]:
    """Return the distance to the nearest reading, and the logarithm between two.

    Of faults that were read equally often, a column each.
    """
    moment = np.stack([one.moment[rows] for one in knots], axis=1)
    value = np.stack([one.log_ohms[rows] for one in knots], axis=1)
    last = moment.shape[2] - 2
    before = (moment <= middle[:, :, None]).sum(axis=2, keepdims=True) - 1
    before = np.clip(before, 0, last)
    a, b, low, high = (
        np.take_along_axis(each, place, axis=2)[:, :, 0]
        for each in (moment, value)
        for place in (before, before + 1)
    )
    share = np.clip((middle - a) / np.maximum(b - a, 1.0), 0.0, 1.0)
    away = np.minimum(np.abs(middle - a), np.abs(middle - b))
    return away, low + share * (high - low)
