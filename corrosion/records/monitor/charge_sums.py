"""Charge between samples: sums of the steps of one series of a log.

Between two samples the current is taken as a straight line (trapezoid rule); of a
recorder that writes on change each reading holds until the next (step rule). Which of
the two a log is, only its whole tells, so that both charges are kept. A step with an
unknown end carries no charge, and its time is not known time.

Whether a step is a gap is not known before the median step is, and that not before
the last row. So the state keeps, for steps of each length, their count, time and
charge. Lengths are kept apart by bins one part in 4096 wide. Where all steps of a bin
are equal, as those of a regular log are, median and gap are exact, for a bin knows
the mean of its steps; otherwise both are right within that width.
"""

from collections.abc import Callable, Iterable
from dataclasses import dataclass
from typing import Final, Self

import numpy as np

from corrosion.foundation.types import Array, BoolArray, IntArray
from corrosion.foundation.units import HOUR
from corrosion.records.monitor.samples import equal_runs

NANOSECONDS: Final = 10**9
"""Moments of a log are whole nanoseconds; this many make a second."""

_HOUR: Final = round(HOUR) * NANOSECONDS
_BIN_SHIFT: Final = 40  # of the 52 bits of a float's fraction: leaves 12


@dataclass(frozen=True, slots=True)
class Sums:
    """Sums by key; two of them add up to the sums of both."""

    key: IntArray  # rising, shape (n,)
    whole: IntArray  # whole-number sums, exact, shape (rows, n)
    # charge and magnitude of charge, shape (2, n), or of both rules, shape (4, n):
    # trapezoid, then step [C]
    part: Array

    @classmethod
    def by(
        cls, key: IntArray, whole: Iterable[IntArray], part: Iterable[Array]
    ) -> Self:
        """Sum what has the same key, row by row."""
        order, starts = equal_runs(key)
        return cls(
            key[order][starts],
            np.stack([np.add.reduceat(row[order], starts) for row in whole]),
            np.stack([np.add.reduceat(row[order], starts) for row in part]),
        )

    def __add__(self, other: Self) -> Self:
        """Return the sums of both."""
        return self.by(
            np.concatenate([self.key, other.key]),
            np.concatenate([self.whole, other.whole], axis=1),
            np.concatenate([self.part, other.part], axis=1),
        )


Tally = Callable[[IntArray, Array], Sums]
"""From moments [ns] and amperes of a stretch to the sums of its steps."""


def step_sums(moments: IntArray, amps: Array) -> Sums:
    """Sum the steps of a stretch by their length.

    Parameters
    ----------
    moments, amps : ndarray
        Never decreasing, shape (n,) [ns]; NaN where not known, shape (n,). [A]

    Returns
    -------
    Sums
        Key: bin of the length; whole: count, time [ns], known time [ns], count of
        known steps between equal readings. Charge by either rule.

    Examples
    --------
    >>> sums = step_sums(np.array([0, 2, 4]) * 10**9, np.array([0.5, 0.5, 1.0]))
    >>> sums.whole[0].tolist(), sums.part[0].tolist(), sums.part[2].tolist()
    ([2], [2.5], [2.0])
    """
    step = np.diff(moments)
    known, charges = _charges(step, amps)
    held = _held_charges(step, amps, known)
    time = step if known.all() else step * known
    same = (amps[1:] == amps[:-1]).astype(np.int64)
    whole = (np.ones_like(step), step, time, same)
    return Sums.by(_length_bin(step), whole, (*charges, *held))


def hour_sums(
    moments: IntArray, amps: Array, *, longest: int, held: bool = False
) -> Sums:
    """Sum the steps of a stretch by the hour, leaving gaps out.

    Parameters
    ----------
    moments, amps : ndarray
        Never decreasing, shape (n,) [ns]; NaN where not known, shape (n,). [A]
    longest : int
        Bin of the longest step that is not a gap.
    held : bool, optional
        Whether each reading holds until the next.

    Returns
    -------
    Sums
        Key: hours from 1970-01-01 00:00 UTC; whole: known time [ns].
    """
    covers = _length_bin(np.diff(moments)) <= longest
    # A step over the turn of an hour is cut there: a sample is put in at each edge, on
    # the straight line between its neighbours (or as the reading before is held), so
    # that time and charge go to the hour in which they flowed. Edges within a gap, or
    # on a sample, cut nothing.
    edges = np.arange(moments[0] // _HOUR + 1, -(-moments[-1] // _HOUR)) * _HOUR
    before = np.searchsorted(moments, edges, side="right") - 1
    inside = covers[before] & (moments[before] < edges)
    edges, before = edges[inside], before[inside]
    share = (edges - moments[before]) / np.diff(moments)[before]
    slope = np.diff(amps)[before] * (0.0 if held else 1.0)  # unknown stays unknown
    crossing = amps[before] + share * slope
    moments = np.insert(moments, before + 1, edges)
    amps = np.insert(amps, before + 1, crossing)
    covers = np.insert(covers, before, covers[before])
    step = np.diff(moments)
    known, charges = _charges(step, amps)
    if held:
        charges = _held_charges(step, amps, known)
    counted = covers & known & (step > 0)
    hour = moments[:-1] // _HOUR
    return Sums.by(hour[counted], [step[counted]], [row[counted] for row in charges])


def _length_bin(step: IntArray) -> IntArray:
    """Return the bin of a step's length: longer steps never have a lower bin."""
    # The bits of a positive float, read as a whole number, rise with it. Without the
    # last 40 there remain the exponent and 12 bits of fraction: 4096 bins an octave.
    bits: IntArray = step.astype(np.float64).view(np.int64)
    return bits >> _BIN_SHIFT


def _charges(step: IntArray, amps: Array) -> tuple[BoolArray, tuple[Array, Array]]:
    """Return which steps are known, their charge and magnitude (zero where not).

    Where the current changes sign, the magnitude is that of two triangles.
    """
    left, right = amps[:-1], amps[1:]
    half = step / (2.0 * NANOSECONDS)
    charge = (left + right) * half
    known = ~np.isnan(charge)
    if not known.all():
        charge[~known] = 0.0
    magnitude, negative = charge, amps < 0.0
    if negative.any():
        magnitude = np.abs(charge)
        turns = np.flatnonzero((negative[1:] != negative[:-1]) & known)
        a, b = np.abs(left[turns]), np.abs(right[turns])
        magnitude[turns] = (a * a + b * b) / (a + b) * half[turns]
    return known, (charge, magnitude)


def _held_charges(step: IntArray, amps: Array, known: BoolArray) -> tuple[Array, Array]:
    """Return charge and magnitude where each reading holds until the next."""
    charge = amps[:-1] * (step / NANOSECONDS)
    if not known.all():
        charge[~known] = 0.0
    return charge, np.abs(charge) if (charge < 0.0).any() else charge
