"""Samples of a hull-current log: batches of rows to checked arrays, a series each.

A series is one (system, circuit, current). Times without an offset are Coordinated
Universal Time; blank or NaN amperes are not known and stay NaN.
"""

from collections.abc import Callable, Iterator, Mapping, Sequence
from dataclasses import dataclass, replace
from typing import Any, Final

import numpy as np
import pyarrow as pa

from corrosion.foundation.types import Array, IntArray
from corrosion.records.monitor.columns import amps_of, moments_of, words_of
from corrosion.records.monitor.log_file import COLUMNS, LogFile

_NAMES: Final = ("system", "circuit", "current")
_CLEAN: Final[Mapping[str, Callable[[str], str]]] = {
    "system": str.strip,
    "circuit": str.strip,
    "current": lambda word: word.strip().lower(),
}
_MOST_AMPS: Final = 1e5
_MOST_SERIES: Final = 1000


@dataclass(frozen=True, slots=True, order=True)
class Series:
    """What one sensor of a log measures."""

    system: str  # electrical system
    circuit: str  # circuit; empty: the whole system
    # `ac` (amperes are rms) or `dc` (positive from the circuit into the steel)
    current: str

    def __str__(self) -> str:
        """Return the words for messages."""
        return " ".join(filter(None, (self.system, self.circuit, self.current)))


@dataclass(frozen=True, slots=True, kw_only=True)
class Samples:
    """A stretch of one series, in order of time."""

    series: Series  # which
    moments: IntArray  # from 1970-01-01 00:00 UTC, never decreasing, shape (n,) [ns]
    amps: Array  # NaN where not known, shape (n,) [A]

    def __getitem__(self, part: slice) -> "Samples":
        """Return a part of the stretch."""
        return replace(self, moments=self.moments[part], amps=self.amps[part])


def equal_runs(key: IntArray) -> tuple[IntArray | slice, IntArray]:
    """Return the stable order that sorts keys, and where each run of equals starts.

    An index that sorts the keys, and where each run of equal keys starts in that
    order.

    Examples
    --------
    >>> order, starts = equal_runs(np.array([7, 3, 7]))
    >>> order.tolist(), starts.tolist()
    ([1, 0, 2], [0, 1])
    """
    order: IntArray | slice = slice(None)
    if np.any(key[1:] < key[:-1]):
        small = key - key.min()
        # Keys of 16 bits are sorted by radix, several times as fast.
        narrow = small.astype(np.uint16) if small.max() < 1 << 16 else small
        order = np.argsort(narrow, kind="stable")
        key = key[order]
    first = np.ones(len(key), dtype=np.bool_)
    np.not_equal(key[1:], key[:-1], out=first[1:])
    return order, np.flatnonzero(first)


def read_samples(log: LogFile) -> Iterator[Samples]:
    """Read a log in stretches that fit into memory.

    Stretches; those of one series come in order of time.

    ``log``: the file; its problems and doubts are complete once all is read. After the
    first problem nothing more is yielded, but the rest is still checked.

    Raises RecordError once too many problems are noted.
    """
    row = 0
    seen: dict[Series, int] = {}
    for batch in log.batches():
        rows, filled = _without_blank_lines(batch, row)
        row += batch.num_rows
        if not len(rows):
            continue
        before = len(log.problems)
        moments = moments_of(log, filled.column("time"), rows)
        amps = amps_of(log, filled.column("amps"), rows)
        if len(log.problems) > before:
            continue
        for series, part in _by_series(filled):
            samples = Samples(series=series, moments=moments[part], amps=amps[part])
            _check(log, samples, rows[part], seen)
            if not log.problems:
                yield samples
    if not seen and not log.problems:
        found = "a heading and no row below it"
        log.problem(None, "", found, "at least one whole row; or take the file out")


def _without_blank_lines(batch: Any, row: int) -> tuple[IntArray, Any]:
    """Return the rows that are not wholly blank, and their numbers in the file."""
    rows = np.arange(row, row + batch.num_rows)
    if batch.column("time").null_count:
        nulls = [one.is_null().to_numpy(zero_copy_only=False) for one in batch]
        filled = ~np.all(nulls, axis=0)
        return rows[filled], batch.filter(pa.array(filled))
    return rows, batch


def _by_series(batch: Any) -> Iterator[tuple[Series, IntArray | slice]]:
    """Yield each series of a batch and its rows, in file order."""
    columns = [
        words_of(batch.column(name), _CLEAN[name])
        if name in batch.schema.names
        else (0, [""])
        for name in _NAMES
    ]
    # One number a row for its three names: one sort then parts all series of a batch.
    # A name that all rows share has index 0 there, and is spread without a copy.
    shape = tuple(len(words) for _, words in columns)
    code = np.ravel_multi_index([index for index, _ in columns], shape)
    codes = np.broadcast_to(code, batch.num_rows)
    order, starts = equal_runs(codes)
    places = np.arange(batch.num_rows)[order]
    parts: Sequence[IntArray | slice] = [slice(None)]
    if len(starts) > 1:
        parts = np.split(places, starts[1:])
    for start, part in zip(starts, parts, strict=True):
        at = np.unravel_index(codes[places[start]], shape)
        system, circuit, current = (
            words[one] for one, (_, words) in zip(at, columns, strict=True)
        )
        yield Series(system, circuit, current), part


def _check(
    log: LogFile, samples: Samples, rows: IntArray, seen: dict[Series, int]
) -> None:
    """Note what is wrong with a stretch, and how far its series has come."""
    series, moments = samples.series, samples.moments
    if series not in seen:
        _check_names(log, series, log.line_of(rows[0]))
        if len(seen) > _MOST_SERIES:
            expected = f"columns {', '.join(COLUMNS)}"
            log.problem(None, "", f"more than {_MOST_SERIES} circuits", expected)
    # A file is read in stretches: a series may go back within one, or from one to the
    # next, which only the moment that it had reached tells.
    reached = seen.get(series, moments[0])
    back = np.flatnonzero(moments[1:] < moments[:-1]) + 1
    if len(back) or moments[0] < reached:
        at = 0 if moments[0] < reached else back[0]
        before = moments[at - 1] if at else reached
        log.problem(
            log.line_of(rows[at]),
            "time",
            f"goes back from {clock(before)} to {clock(moments[at])} in {series}",
            "rows in order of time; sort them, and write local time with its offset",
        )
    seen[series] = int(max(moments[-1], reached))
    _check_amps(log, samples, rows)


def _check_names(log: LogFile, series: Series, line: int) -> None:
    for column, word in zip(
        _NAMES, (series.system, series.circuit, series.current), strict=True
    ):
        if "\ufffd" in word:
            log.problem(line, column, repr(word), "UTF-8 text; this one is damaged")
    if not series.system:
        log.problem(line, "system", "blank", "the name of an electrical system")
    if series.current not in {"ac", "dc"}:
        log.problem(line, "current", repr(series.current), "ac or dc")


def _check_amps(log: LogFile, samples: Samples, rows: IntArray) -> None:
    amps = samples.amps
    least = 0.0 if samples.series.current == "ac" else -_MOST_AMPS
    bad = np.flatnonzero((amps < least) | (amps > _MOST_AMPS))
    if len(bad):
        log.problem(
            log.line_of(rows[bad[0]]),
            "amps",
            f"{amps[bad[0]]:g} ({len(bad)} such rows near)",
            f"{least:g} to {_MOST_AMPS:g} A in {samples.series.current}",
        )


def clock(moment: int | np.int64) -> str:
    """Return a moment [ns] as messages write it, in UTC."""
    return f"{np.datetime64(int(moment), 'ns').astype('datetime64[ms]')}Z"
