"""Log files that overlap in time: the same rows count once, other rows are refused."""

import hashlib
from collections.abc import Iterable, Iterator, Mapping, Sequence
from pathlib import Path

from corrosion.foundation.errors import Problem, RecordError
from corrosion.records.monitor.log_file import LogFile
from corrosion.records.monitor.run import Run
from corrosion.records.monitor.samples import Samples, Series, clock, read_samples


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
