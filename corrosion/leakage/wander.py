"""How the resistance of a fault wanders between the hours at which it was read.

Damp, load and temperature move it from day to day, and slowly over months. The
logarithm of the resistance is taken as the sum of a part that is new each day and of
one that is slowly forgotten, so that the ratio of two readings scatters the more the
further apart they are.
"""

from collections.abc import Mapping
from dataclasses import dataclass, field
from typing import Self

import numpy as np

from corrosion.foundation.assumptions import Assumptions
from corrosion.foundation.types import Array, IntArray
from corrosion.foundation.units import DAY, YEAR

__all__ = ["Knots", "ResistancePath", "Wander"]


@dataclass(frozen=True, slots=True)
class Wander:
    """Scatter of the logarithm of a fault's resistance.

    Attributes
    ----------
    daily : float
        Variance of the part that is new each day. [-]
    slow : float
        Variance of the difference that the slow part makes over a long time. [-]
    memory : float
        Time in which the slow part is forgotten. [s]
    """

    daily: float
    slow: float
    memory: float

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

    def _slow(self, seconds: Array | float) -> Array:
        return np.asarray(self.slow * -np.expm1(-np.asarray(seconds) / self.memory))

    def between(self, seconds: float) -> float:
        """Return the standard deviation of the log ratio of two readings [-]."""
        other_day = min(seconds / DAY, 1.0)
        return float(np.sqrt(2.0 * self.daily * other_day + self._slow(seconds)))

    def over(self, seconds: Array, duration: Array) -> tuple[Array, Array]:
        """Return mean and standard deviation of the log ratio of a time to a reading.

        Parameters
        ----------
        seconds : ndarray
            From the reading to the middle of the time. [s]
        duration : ndarray
            How long that time is. What is new each day averages out over many days;
            as a current goes with the conductance, whose mean is above its median, the
            mean of the logarithm is a little below zero. [s]
        """
        seconds = np.maximum(seconds, 0.25 * duration)
        other_day = np.minimum(seconds / DAY, 1.0)
        one_day = np.minimum(DAY / np.maximum(duration, DAY), 1.0)
        variance = self.daily * other_day * (1.0 + one_day) + self._slow(seconds)
        return -0.5 * self.daily * other_day * (1.0 - one_day), np.sqrt(variance)


@dataclass(frozen=True, slots=True)
class Knots:
    """Further hours at which one fault was read.

    Attributes
    ----------
    moment : ndarray, shape (samples, knots)
        Ascending. [s]
    log_ohms : ndarray, shape (samples, knots)
        Logarithm of the resistance then. [ln Ω]
    """

    moment: Array
    log_ohms: Array


@dataclass(frozen=True, slots=True, kw_only=True)
class ResistancePath:
    """Resistance of each fault at any time, a sample a row.

    Attributes
    ----------
    ohms : ndarray, shape (samples, faults)
        When it was first read. [Ω]
    moment : ndarray, shape (samples, faults)
        When that was. [s]
    wander : Wander
        How it scatters elsewhere.
    score : ndarray, shape (samples, faults)
        By how many standard deviations it lies off, away from the readings. [-]
    knots : mapping of int to Knots
        Of the faults that were read at more than one hour: all of them.
    """

    ohms: Array
    moment: Array
    wander: Wander
    score: Array
    knots: Mapping[int, Knots] = field(default_factory=dict)

    def at(
        self, rows: slice, faults: IntArray, middle: Array, duration: Array
    ) -> Array:
        """Return resistances over some times, shape (samples, times, faults) [Ω].

        Parameters
        ----------
        rows : slice
            Which samples.
        faults : ndarray of int, shape (faults,)
            Which faults.
        middle, duration : ndarray, shape (samples, times)
            Middle and length of each time. [s]
        """
        mean, log_ohms = (
            np.repeat(each[rows, None, faults], middle.shape[1], axis=1)
            for each in (self.moment, np.log(self.ohms))
        )
        away = np.abs(middle[:, :, None] - mean)
        for column, fault in enumerate(faults.tolist()):
            knots = self.knots.get(fault)
            if knots is not None:
                found = _interpolated(knots, rows, middle)
                away[:, :, column], log_ohms[:, :, column] = found
        shift, sd = self.wander.over(away, duration[:, :, None])
        score = self.score[rows, None, faults]
        return np.asarray(np.exp(log_ohms + shift + sd * score))


def _interpolated(knots: Knots, rows: slice, middle: Array) -> tuple[Array, Array]:
    """Return the distance to the nearest reading, and the logarithm between two."""
    moment, value = knots.moment[rows], knots.log_ohms[rows]
    last = moment.shape[1] - 2
    before = (moment[:, None, :] <= middle[:, :, None]).sum(axis=2) - 1
    before = np.clip(before, 0, last)
    a, b = (np.take_along_axis(moment, before + k, axis=1) for k in (0, 1))
    low, high = (np.take_along_axis(value, before + k, axis=1) for k in (0, 1))
    share = np.clip((middle - a) / np.maximum(b - a, 1.0), 0.0, 1.0)
    away = np.minimum(np.abs(middle - a), np.abs(middle - b))
    return away, low + share * (high - low)
