"""Cells of a log that are not plain: read as those of every other sheet are.

Marks of decimals and of thousands, units behind a number, words for nothing known and
dates of figures mean the same in a log as in a table. A log may have millions of rows,
so that the first that tells decides, and each kind of doubtful cell is said once.
"""

import re
from collections.abc import Iterator, Sequence
from itertools import pairwise
from math import isfinite, nan
from typing import Any, Final

import numpy as np
import pyarrow as pa
import pyarrow.compute as pc

from corrosion.foundation.errors import InputError
from corrosion.foundation.types import Array, IntArray
from corrosion.foundation.units import DAY
from corrosion.records.dates import as_written
from corrosion.records.folder.numbers import BLANKS, written_number
from corrosion.records.monitor.log_file import LogFile
from corrosion.records.said_dates import DayFirst, day_first, rewritten

_LONGEST_FOUND: Final = 60
_EARLIEST, _LATEST = -9.2e9, 9.2e9  # s, of what nanoseconds in 64 bits can tell
_FIGURES: Final = r"^\s*\d{1,2}[./-]\d{1,2}[./-]\d{4}"
_OF_FIGURES: Final = re.compile(_FIGURES, re.ASCII)
_NOTHING: Final = BLANKS | {"nan"}


def shown_cell(scalar: Any) -> str | None:
    """Return a cell as text; bytes that are no UTF-8 come as U+FFFD."""
    try:
        value = scalar.as_py()
    except (OverflowError, ValueError):
        return "a value out of all range"
    if value is None:
        return None
    return value.decode(errors="replace") if isinstance(value, bytes) else str(value)


def mark_of_column(log: LogFile, text: Any, rows: IntArray) -> None:
    """Let the first cell that tells it decide what stands before decimals.

    Where all read both ways, a thousandfold apart, they are decimals: else every
    reading of the log would be a thousand amperes or more.
    """
    marked = pc.match_substring_regex(text, r"\d[.,]\d|^\s*[.,]\d")
    cells = text.filter(marked)
    read = (written_number(cell.as_py(), log.unit) for cell in cells)
    told = next((one.mark for one in read if one is not None and one.mark), None)
    if told is None and len(cells):
        first = cells[0].as_py()
        number = written_number(first, log.unit)
        if number is None:
            return
        told = "." if "." in first else ","
        if log.delimiter != "," or told == ",":
            row = rows[int(np.argmax(marked.fill_null(False)))]
            words = f"{first!r} is read as {number.value(told):g} {log.unit}"
            log.say_once("mark", row, "amps", words)
    log.mark = told


def said_amps(log: LogFile, cells: Sequence[str], rows: IntArray) -> Array:
    """Return numbers as people write them, in the log's unit; NaN where not known."""
    known: dict[str, float | None] = {}
    out = np.full(len(cells), np.nan)
    for place, (cell, row) in enumerate(zip(cells, rows, strict=True)):
        if cell not in known:
            known[cell] = _said_number(log, cell, int(row))
        value = known[cell]
        if value is None:
            expected = "a number of amperes; blank where not known"
            found = repr(cell[:_LONGEST_FOUND])
            log.problem(log.line_of(row), "amps", found, expected)
        else:
            out[place] = value
    return out


def _said_number(log: LogFile, cell: str, row: int) -> float | None:
    if cell.casefold() in _NOTHING or not cell:
        if cell.casefold() not in ("", "nan"):
            log.say_once(cell.casefold(), row, "amps", f"{cell!r} is read as blank")
        return nan
    if cell.casefold().lstrip("+-") in ("inf", "infinity"):
        return float(cell)
    number = written_number(cell, log.unit)
    value = None if number is None else number.value(log.mark)
    if number is None or value is None or not isfinite(value):
        return None
    if number.scale != 1.0 or number.about or number.ambiguous:
        words = f"{cell!r} is read as {value:.6g} {log.unit}"
        log.say_once(
            f"{number.unit}{number.about}{number.ambiguous}", row, "amps", words
        )
    return value


def said_moment(log: LogFile, cell: str, row: int, expected: str) -> int | None:
    """Return a moment [ns] as people write it; None, with a problem noted."""
    text = rewritten(cell, log.first) or cell
    if text == cell and log.first is None and rewritten(cell, "day"):
        found = f"{cell!r} may be day first or month first, and no row tells"
        log.problem(log.line_of(row), "time", found, expected)
        return None
    try:
        when = as_written(text)
    except InputError:
        when = None
    if when is None or when.width > DAY or not _EARLIEST < when.earliest < _LATEST:
        found = repr(cell[:_LONGEST_FOUND])
        log.problem(log.line_of(row), "time", found, expected)
        return None
    return round(when.earliest * 1e6) * 1000


def order_of_dates(log: LogFile, column: Any) -> None:
    """Find out, once for a log, whether its dates write the day or the month first.

    A date of figures such as 03/06/2026 does not tell. Another day of the log may; or
    the order of its rows does: read the right way, its days follow one another, read
    the other way they leap from month to month.
    """
    if log.first is not None or not len(column) or not column[0].is_valid:
        return
    if not _OF_FIGURES.match(column[0].as_py()):
        return
    cell = next((day for day in _each_day(column) if rewritten(day, "day")), None)
    if cell is None:
        return
    times = (batch.column("time") for batch in LogFile(log.path).batches())
    each = (day for one in times for day in _each_day(one.cast(pa.string())))
    days = list(dict.fromkeys(each))
    log.first = day_first(days) or _by_steps(days)
    if log.first is not None:
        said = rewritten(cell, log.first)
        log.doubt(
            f"the date {cell!r} is read as {said}, the {log.first} first, as the rows "
            "in their order tell",
            "write 2026-06-03 where it is not so",
        )


def _each_day(text: Any) -> Iterator[str]:
    days = pc.extract_regex(text, rf"(?P<day>{_FIGURES})").field("day")
    yield from (day.strip() for day in pc.unique(days).to_pylist() if day)


def _by_steps(days: Sequence[str]) -> DayFirst | None:
    """Return which reading has the smaller longest step from one day to the next."""
    longest: dict[DayFirst, float] = {}
    for first in ("day", "month"):
        try:
            read = [as_written(rewritten(day, first) or day).earliest for day in days]
        except InputError:
            continue
        steps = [b - a for a, b in pairwise(read)]
        if steps and min(steps) > 0.0:
            longest[first] = max(steps)
    best = sorted(longest, key=lambda first: longest[first])
    if len(best) == 2 and longest[best[0]] == longest[best[1]]:
        return None
    return best[0] if best else None
