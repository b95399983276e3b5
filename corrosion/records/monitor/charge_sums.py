"""Charge between samples: the running state of one series of a log, and its sums.

Between two samples the current is taken as a straight line (trapezoid rule). A step
with an unknown end carries no charge, and its time is not known time.

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

from corrosion.foundation.errors import InputError
from corrosion.foundation.types import Array, BoolArray, IntArray
from corrosion.foundation.units import HOUR
from corrosion.records.monitor.samples import equal_runs

__all__ = ["GAP_STEPS", "NANOSECONDS", "Run", "Sums", "Tally", "hour_sums", "step_sums"]

NANOSECONDS: Final = 10**9
"""Moments of a log are whole nanoseconds; this many make a second."""

GAP_STEPS: Final = 5
"""A step longer than this many median steps is a gap. [-]"""

_HOUR: Final = round(HOUR) * NANOSECONDS
_BIN_SHIFT: Final = 40  # of the 52 bits of a float's fraction: leaves 12


@dataclass(frozen=True, slots=True)
class Sums:
    """Sums by key; two of them add up to the sums of both.

    Attributes
    ----------
    key : ndarray
        Rising, shape (n,).
    whole : ndarray
        Whole-number sums, exact, shape (rows, n).
    part : ndarray
        Charge and magnitude of charge, shape (2, n). [C]
    """

    key: IntArray
    whole: IntArray
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
    moments : ndarray
        Never decreasing, shape (n,). [ns]
    amps : ndarray
        NaN where not known, shape (n,). [A]

    Returns
    -------
    Sums
        Key: bin of the length; whole: count, time [ns], known time [ns].

    Examples
    --------
    >>> sums = step_sums(np.array([0, 2, 4]) * 10**9, np.array([0.5, 0.5, 1.0]))
    >>> sums.whole[0].tolist(), sums.part[0].tolist()
    ([2], [2.5])
    """
    step = np.diff(moments)
    known, charges = _charges(step, amps)
    time = step if known.all() else step * known
    return Sums.by(length_bin(step), (np.ones_like(step), step, time), charges)


def hour_sums(moments: IntArray, amps: Array, *, longest: int) -> Sums:
    """Sum the steps of a stretch by the hour, leaving gaps out.

    Parameters
    ----------
    moments : ndarray
        Never decreasing, shape (n,). [ns]
    amps : ndarray
        NaN where not known, shape (n,). [A]
    longest : int
        Bin of the longest step that is not a gap.

    Returns
    -------
    Sums
        Key: hours from 1970-01-01 00:00 UTC; whole: known time [ns].
    """
    covers = length_bin(np.diff(moments)) <= longest
    edges = np.arange(moments[0] // _HOUR + 1, -(-moments[-1] // _HOUR)) * _HOUR
    before = np.searchsorted(moments, edges, side="right") - 1
    inside = covers[before] & (moments[before] < edges)
    edges, before = edges[inside], before[inside]
    share = (edges - moments[before]) / np.diff(moments)[before]
    crossing = amps[before] + share * np.diff(amps)[before]
    moments = np.insert(moments, before + 1, edges)
    amps = np.insert(amps, before + 1, crossing)
    covers = np.insert(covers, before, covers[before])
    step = np.diff(moments)
    known, charges = _charges(step, amps)
    counted = covers & known & (step > 0)
    hour = moments[:-1] // _HOUR
    return Sums.by(hour[counted], [step[counted]], [row[counted] for row in charges])


def length_bin(step: IntArray) -> IntArray:
    """Return the bin of a step's length: longer steps never have a lower bin."""
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


@dataclass(frozen=True, slots=True, kw_only=True)
class Run:
    """The running state of one series, over all its samples so far.

    Attributes
    ----------
    first, last : int
        Moments of the first and last sample. [ns]
    first_amps, last_amps : float
        What they read; NaN where not known. [A]
    rows : int
        Rows read.
    duplicates : int
        Rows that say again what stands before them; they count once.
    conflicts : int
        Rows of the same moment that differ; the current jumps there.
    sums : Sums
        The steps between the samples.
    """

    first: int
    last: int
    first_amps: float
    last_amps: float
    rows: int
    duplicates: int
    conflicts: int
    sums: Sums

    @classmethod
    def of(cls, moments: IntArray, amps: Array, tally: Tally) -> Self:
        """Return the state of a stretch of at least one sample."""
        again = np.flatnonzero(moments[1:] == moments[:-1])
        here, there = amps[again], amps[again + 1]
        same = (here == there) | (np.isnan(here) & np.isnan(there))
        return cls(
            first=int(moments[0]),
            last=int(moments[-1]),
            first_amps=float(amps[0]),
            last_amps=float(amps[-1]),
            rows=len(moments),
            duplicates=int(same.sum()),
            conflicts=len(again) - int(same.sum()),
            sums=tally(moments, amps),
        )

    def append(self, later: Self, tally: Tally) -> Self:
        """Return the state of this stretch and a later one, with the step between.

        Raises
        ------
        InputError
            If the later stretch begins before this one ends.
        """
        if later.first < self.last:
            msg = (
                "merge: stretches must not overlap in time, got one that begins "
                f"{(self.last - later.first) / NANOSECONDS:g} s before the other ends. "
                "Read overlapping files together with `charge`."
            )
            raise InputError(msg)
        step = type(self).of(
            np.array([self.last, later.first]),
            np.array([self.last_amps, later.first_amps]),
            tally,
        )
        return type(self)(
            first=self.first,
            last=later.last,
            first_amps=self.first_amps,
            last_amps=later.last_amps,
            rows=self.rows + later.rows,
            duplicates=self.duplicates + step.duplicates + later.duplicates,
            conflicts=self.conflicts + step.conflicts + later.conflicts,
            sums=self.sums + step.sums + later.sums,
        )

    @property
    def gap(self) -> float:
        """Length above which a step is a gap; NaN where there is no step [ns]."""
        count, time, _ = self.sums.whole[:, self.sums.key > 0]
        if not len(count):
            return float("nan")
        upto = np.cumsum(count)
        middle = [(upto[-1] - 1) // 2, upto[-1] // 2]
        middle_bins = np.searchsorted(upto, middle, side="right")
        return float(GAP_STEPS * np.mean(time[middle_bins] // count[middle_bins]))

    def longest(self, gap: float) -> int:
        """Return the bin of the longest step that is no gap of that length [ns]."""
        count, time, _ = self.sums.whole
        return int(self.sums.key[time // count <= gap].max(initial=0))
