"""The running state of one series of a log, and log files that overlap in time.

Where files overlap the same rows count once, other rows are refused.
"""

import hashlib
from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass, replace
from pathlib import Path
from typing import Final, Self

import numpy as np

from corrosion.foundation.errors import InputError, Problem, RecordError
from corrosion.foundation.types import Array, IntArray
from corrosion.records.monitor.charge_sums import NANOSECONDS, Sums, Tally
from corrosion.records.monitor.log_file import LogFile
from corrosion.records.monitor.samples import Samples, Series, clock, read_samples

GAP_STEPS: Final = 5  # a step longer than this many median steps is a gap [-]
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
        return replace(
            self,
            last=later.last,
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


def skip_before(
    stretches: Iterable[Samples], until: Mapping[Series, int]
) -> Iterator[Samples]:
    """Yield stretches without the samples up to a moment [ns] of each series."""
    for samples in stretches:
        start = 0
        if samples.series in until:
            start = int(samples.moments.searchsorted(until[samples.series], "right"))
        if start < len(samples.moments):
            yield samples[start:]


def repeated_until(
    paths: Sequence[Path], runs: Sequence[Mapping[Series, Run]]
) -> list[dict[Series, int]]:
    """Return, for each file, the moment up to which other files say the same.

    For each file, the series whose beginning stands in another file too, and up to
    which moment [ns].

    Raises RecordError if files overlap and differ there; every such pair is listed.
    """
    until: list[dict[Series, int]] = [{} for _ in paths]
    problems = []
    for series in sorted({series for one in runs for series in one}):
        files = [index for index, one in enumerate(runs) if series in one]
        files.sort(key=lambda index: (runs[index][series].first, index))
        reach = files[0]  # the file that reaches furthest so far
        for index in files[1:]:
            begins, ends = runs[index][series].first, runs[index][series].last
            known = runs[reach][series].last
            if begins < known:
                window = (series, begins, min(ends, known))
                if _digest(paths[reach], *window) == _digest(paths[index], *window):
                    until[index][series] = known
                else:
                    problems.append(_differ(paths[reach], paths[index], *window))
            if ends > known:
                reach = index
    if problems:
        raise RecordError(problems)
    return until


def _digest(path: Path, series: Series, begins: int, ends: int) -> tuple[bytes, bytes]:
    """Return a fingerprint of the samples from one moment to another [ns]."""
    moments, amps = hashlib.sha256(), hashlib.sha256()
    for samples in read_samples(LogFile(path)):
        if samples.series == series:
            start = int(samples.moments.searchsorted(begins, "left"))
            stop = int(samples.moments.searchsorted(ends, "right"))
            moments.update(samples.moments[start:stop].tobytes())
            amps.update(samples.amps[start:stop].tobytes())
    return moments.digest(), amps.digest()


def _differ(left: Path, right: Path, series: Series, begins: int, ends: int) -> Problem:
    window = f"from {clock(begins)} to {clock(ends)}"
    found = f"{window} it overlaps {LogFile(left).name} in {series}, and they differ"
    expected = "one file for each stretch of time; take one of the two out"
    return Problem(LogFile(right).name, None, "time", found, expected)
