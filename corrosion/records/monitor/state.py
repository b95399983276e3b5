"""The running state of a log: read from a file, merged with what else there is.

A log is read in pieces, and only its running state is kept: a small value that merges
with the state of what stands before or after it. Files, pieces of files and partitions
on a cluster are all states to be merged.
"""

from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass, replace
from functools import reduce
from os import PathLike
from pathlib import Path

from corrosion.foundation.errors import Problem, RecordError
from corrosion.records.monitor.charge_sums import Tally, step_sums
from corrosion.records.monitor.log_file import LogFile
from corrosion.records.monitor.run import Run, repeated_until, skip_before
from corrosion.records.monitor.samples import Series, read_samples

Tallies = Callable[[Series], Tally]  # how the steps of a series are summed


@dataclass(frozen=True, slots=True, kw_only=True)
class LogState:
    """The running state of a log: what charge and hours need, and nothing more."""

    runs: Mapping[Series, Run]  # state of each series
    doubts: tuple[Problem, ...] = ()  # what is doubtful but does not stop the work


def _by_length(_series: Series) -> Tally:
    return step_sums


def scan(
    path: str | PathLike[str],
    *,
    tallies: Tallies = _by_length,
    after: Mapping[Series, int] | None = None,
) -> LogState:
    """Read one log file and return its state; memory does not grow with the file.

    Parameters
    ----------
    path : str or path
        CSV (comma, semicolon, tab or bar; plain or gzip) or Parquet.
    tallies : callable, optional
        How the steps of a series are summed; by default by their length.
    after : mapping of Series to int, optional
        Samples up to that moment [ns] are left out.

    Raises
    ------
    RecordError
        If the file has problems; all of them are listed.
    """
    log = LogFile(Path(path))
    runs: dict[Series, Run] = {}
    for samples in skip_before(read_samples(log), after or {}):
        series, tally = samples.series, tallies(samples.series)
        run = Run.of(samples.moments, samples.amps, tally)
        runs[series] = runs[series].append(run, tally) if series in runs else run
    if log.problems:
        raise RecordError(log.problems)
    for series, run in runs.items():
        if run.conflicts:
            log.doubt(
                f"{run.conflicts} rows of {series} say otherwise at the same moment",
                "one row a moment; the current is taken to jump there",
            )
    return LogState(runs=runs, doubts=tuple(log.doubts))


def joined(states: Sequence[LogState], tallies: Tallies = _by_length) -> LogState:
    """Return the state of all, each series in order of time.

    As if all had been read as one file.

    ``states``: in any order. ``tallies``: how the steps of a series are summed; the
    same as in the states.

    Raises InputError if two of them overlap.
    """
    runs = {}
    for series in sorted({series for state in states for series in state.runs}):
        those = [state.runs[series] for state in states if series in state.runs]
        those.sort(key=lambda run: (run.first, run.last))
        tally = tallies(series)
        runs[series] = reduce(lambda run, later: run.append(later, tally), those)
    doubts = tuple(doubt for state in states for doubt in state.doubts)
    return LogState(runs=runs, doubts=doubts)


def integrate(paths: Sequence[Path]) -> tuple[LogState, list[dict[Series, int]]]:
    """Return the state of all files together, and what of each to leave out."""
    states: list[LogState] = []
    problems: list[Problem] = []
    for path in paths:
        try:
            states.append(scan(path))
        except RecordError as error:
            problems.extend(error.problems)
    if problems:
        raise RecordError(problems)
    trims = repeated_until(paths, [state.runs for state in states])
    trimmed = [
        scan(path, after=trim) if trim else state
        for path, state, trim in zip(paths, states, trims, strict=True)
    ]
    total = joined(trimmed)
    runs = {}
    for series, run in total.runs.items():
        rows = sum(state.runs[series].rows for state in states if series in state.runs)
        again = run.duplicates + rows - run.rows
        runs[series] = replace(run, rows=rows, duplicates=again)
    return LogState(runs=runs, doubts=total.doubts), trims
