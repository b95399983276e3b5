"""The running state of one series of a log, over all its samples so far."""

from dataclasses import dataclass
from typing import Final, Self

import numpy as np

from corrosion.foundation.errors import InputError
from corrosion.foundation.types import Array, IntArray
from corrosion.records.monitor.charge_sums import NANOSECONDS, Sums, Tally

GAP_STEPS: Final = 5
"""A step longer than this many median steps is a gap. [-]"""

_TELLING: Final = 12  # steps, below which nothing is told of a recorder
_TWICE: Final = 0.05  # share of equal readings after one another
_EVEN: Final = 0.5  # share of steps near their median, from which on they are regular


@dataclass(frozen=True, slots=True, kw_only=True)
class Run:
    """The running state of one series, over all its samples so far."""

    # first, last: moments of the first and last sample [ns]
    first: int
    last: int
    # first_amps, last_amps: what they read; NaN where not known [A]
    first_amps: float
    last_amps: float
    rows: int  # rows read
    duplicates: int  # rows that say again what stands before them; they count once
    conflicts: int  # rows of the same moment that differ; the current jumps there
    sums: Sums  # the steps between the samples

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

        Raises InputError if the later stretch begins before this one ends.
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
        return GAP_STEPS * self.median_step

    @property
    def median_step(self) -> float:
        """Median of the steps that take time; NaN where there is none [ns]."""
        count, time, *_ = self.sums.whole[:, self.sums.key > 0]
        if not len(count):
            return float("nan")
        upto = np.cumsum(count)
        middle = [(upto[-1] - 1) // 2, upto[-1] // 2]
        middle_bins = np.searchsorted(upto, middle, side="right")
        return float(np.mean(time[middle_bins] // count[middle_bins]))

    @property
    def on_change(self) -> bool:
        """Whether these look like the rows of a recorder that writes on change.

        It hardly ever writes a reading twice, and its steps are of any length: fewer
        than half lie within a factor of two of their median.
        """
        count, time, _, same = self.sums.whole[:, self.sums.key > 0]
        many = int(count.sum())
        if many < _TELLING or same.sum() > _TWICE * many:
            return False
        usual = np.abs(np.log2(time / count / self.median_step)) <= 1.0
        return bool(count[usual].sum() < _EVEN * many)

    def longest(self, gap: float) -> int:
        """Return the bin of the longest step that is no gap of that length [ns]."""
        count, time, *_ = self.sums.whole
        return int(self.sums.key[time // count <= gap].max(initial=0))
