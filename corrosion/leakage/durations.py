"""Durations with a law: how long faults go unfound, and how long they stand."""

from collections.abc import Mapping
from dataclasses import dataclass, field

import numpy as np
import numpy.typing as npt

from corrosion.foundation.types import Array, BoolArray
from corrosion.foundation.units import MINUTE
from corrosion.leakage.dated_states import coarseness
from corrosion.leakage.inference.inverse_cdf import sample_cell
from corrosion.records.dates import When
from corrosion.records.ship import Fault

_LOOKS = 2.0  # delays in the interval between two looks: a fault begins within one
_NARROW = 0.02  # half width of a date over the duration that it bounds, at least
_PARTS = 32  # of a gap, in which a beginning is looked for


@dataclass(frozen=True, slots=True)
class Duration:
    """A lognormal duration, its unknowns a sample a row.

    Arrays are of shape (samples,) where no other is said.
    """

    median: Array  # logarithm of the median [ln s]
    spread: Array  # standard deviation of the logarithm [-]

    def chance_within(self, seconds: Array, shift: float | Array = 0.0) -> Array:
        """Return the chance of a shorter duration, a sample a row.

        Samples come first in ``seconds``, or a single row that is theirs all;
        ``shift`` is added to the median's logarithm. [-]
        """
        from scipy.special import ndtr  # noqa: PLC0415 - importing corrosion stays light

        shape = (-1, *(1,) * (np.ndim(seconds) - 1))
        some = np.asarray(seconds) > 0.0
        if not some.any():  # nothing is shorter
            return np.zeros((self.median.size, *some.shape[1:]))
        if len(some) == 1 and not some.all():  # of all samples
            chance = np.zeros((self.median.size, *some.shape[1:]))
            chance[:, some[0]] = self.chance_within(seconds[some][None], shift)
            return chance
        away = np.log(np.maximum(seconds, 1e-9)) - shift
        z = away - self.median.reshape(shape)
        z /= self.spread.reshape(shape)
        chance = np.asarray(ndtr(z, out=z))
        chance *= some
        return chance

    def sample(
        self,
        uniform: Array,
        low: npt.ArrayLike = 0.0,
        high: npt.ArrayLike = np.inf,
        shift: float | Array = 0.0,
    ) -> Array:
        """Return durations between two bounds, by inverse distribution [s].

        Where the law leaves the bounds next to no chance, the nearer bound's side is
        filled evenly, so that what is written holds whatever the law.
        """
        from scipy.special import ndtri  # noqa: PLC0415 - importing corrosion stays light

        low = np.broadcast_to(np.asarray(low, np.float64), uniform.shape)
        high = np.broadcast_to(np.asarray(high, np.float64), uniform.shape)
        a = self.chance_within(low, shift)
        b = np.ones(())
        if not np.isinf(high).all():
            b = np.where(np.isinf(high), 1.0, self.chance_within(high, shift))
        z = ndtri(np.clip(a + uniform * (b - a), 1e-15, 1.0 - 1e-15))
        found = np.exp(self.median + shift + self.spread * z)
        lost = b - a < 1e-12
        even = low + uniform * (np.where(np.isinf(high), low, high) - low)
        return np.clip(np.where(lost, even, found), low, np.maximum(high, low))

    def sample_gap(self, uniform: Array, low: Array, high: Array) -> Array:
        """Return gaps between last check and finding, between two bounds [s].

        A gap is a delay and what had gone of the interval between two looks before it:
        that whole interval.
        """
        return self.sample(uniform, low, high, float(np.log(_LOOKS)))

    def chance_of_dates(self, good: When, found: When) -> Array:
        """Return the chance that check and finding are dated as written, (samples,).

        The gap between them, as in `sample_gap`, leads from any moment of the finding
        back into the check's date: that both are dated by one year says little, for
        most gaps fit into it. [-]
        """
        gap = found.middle - good.middle
        return self._joins(_ends(good, gap), _ends(found), float(np.log(_LOOKS)))

    def chance_of_end(
        self, found: When, ended: When, shift: float | Array = 0.0
    ) -> Array:
        """Return the chance to end as dated, begun at any moment of a date [-].

        Shape (samples,); ``shift`` is added to the median's logarithm. That both share
        a year says little of one and much of a log: of many long ones some would reach
        across the turn of a year.
        """
        lasted = ended.middle - found.middle
        return self._joins(_ends(found), _ends(ended, lasted), shift, forward=True)

    def chance_to_last(
        self, found: When, until: float, shift: float | Array = 0.0
    ) -> Array:
        """Return the chance to last beyond a moment, begun within a date [-]."""
        early, late = _ends(found)
        summed = self._summed(np.array([until - early, until - late]), shift)
        chance = 1.0 - (summed[:, 0] - summed[:, 1]) / (late - early)
        return np.asarray(np.clip(chance, 0.0, 1.0))

    def _joins(
        self,
        first: tuple[float, float],
        then: tuple[float, float],
        shift: float | Array,
        *,
        forward: bool = False,
    ) -> Array:
        """Return the chance to lead from one interval into the other.

        Forward from any moment of the first, or back from any moment of the other.
        """
        low, high = first if forward else then
        four = np.subtract.outer(np.array(then), np.array(first)).ravel()
        summed = self._summed(four, shift) @ np.array([-1.0, 1.0, 1.0, -1.0])
        return np.asarray(np.clip(summed / (high - low), 0.0, 1.0))

    def _summed(self, seconds: Array, shift: float | Array) -> Array:
        """Return the integral from nought of the chance of a shorter one [s].

        Shape (samples, seconds); that of a lognormal distribution in closed form.
        """
        from scipy.special import ndtr  # noqa: PLC0415 - importing corrosion stays light

        spread = self.spread[:, None]
        middle = (self.median + shift)[:, None]
        z = (np.log(np.maximum(seconds, 1e-9)) - middle) / spread
        mean = np.exp(middle + 0.5 * spread**2)
        whole = seconds * ndtr(z) - mean * ndtr(z - spread)
        return np.where(seconds > 0.0, whole, 0.0)

    def since_check(self, uniform: Array, gap: Array, looks: "Duration") -> Array:
        """Return durations of which a check before bounds the beginning [s].

        Faults begin at any time. One that began early in the gap has gone unfound for
        so long, and one that began late came so long after the last of the ``looks``:
        the chance of the one times the chance of the other.
        """
        share = (np.arange(_PARTS) + 0.5) / _PARTS
        seconds = np.maximum(gap, 1.0)[:, None] * share
        weight = 1.0 - self.chance_within(seconds)
        weight *= 1.0 - looks.chance_within(seconds[:, ::-1])
        weight += 1e-12 * weight.max(axis=1, keepdims=True) + 1e-300
        cell, place = sample_cell(weight, uniform)
        return np.asarray(gap * (cell + place) / _PARTS)


def _ends(when: When, duration: float = 0.0) -> tuple[float, float]:
    """Return the ends of a date, no closer than a minute or a part of a duration.

    What is written much closer than a law is wide says no more, and drowns among slips.
    """
    half = max(0.5 * when.width, 0.5 * MINUTE, _NARROW * duration)
    return when.middle - half, when.middle + half


@dataclass(frozen=True, slots=True, kw_only=True)
class DurationLaws:
    """The laws of one ship's delays and responses."""

    # shown, hidden: delay of a fault that lamps or a monitor could have shown, and
    # of any other
    shown: Duration
    hidden: Duration
    # delay of one that was hidden at first and shows when it is found
    turning: Duration
    # from its beginning until an earthed supply opens the branch of a fault
    trip: Duration
    # standard deviation of the logarithm of the interval between two looks [-]
    regular: float
    # by system; ``""`` for a system of which nothing is written
    response: Mapping[str, Duration] = field(default_factory=dict)
    # shape (samples,): logarithm of the factor on the response of entries that are
    # dated by the month; of those by the year it is multiplied
    # by their `coarseness` [-]
    coarse: Array

    def waiting(self, hidden: BoolArray) -> tuple[Duration, Duration]:
        """Return laws of the delay by who could show a fault, and of looks for it.

        A fault begins somewhere between two looks, so that their interval is twice the
        delay in the middle.
        """
        median = np.where(hidden, self.hidden.median, self.shown.median)
        spread = np.where(hidden, self.hidden.spread, self.shown.spread)
        looks = Duration(median + np.log(_LOOKS), np.full(len(median), self.regular))
        return Duration(median, spread), looks

    def response_of(self, fault: Fault) -> tuple[Duration, float | Array]:
        """Return the law of a fault's response, and the shift of its median."""
        law = self.response.get(fault.system or "", self.response[""])
        return law, self.coarse * coarseness(fault)

    def longest_response(self, fault: Fault) -> float:
        """Return the 95th percentile of the response of a fault's system [s]."""
        law, _ = self.response_of(fault)
        return float(np.exp(np.median(law.median + 1.6449 * law.spread)))
