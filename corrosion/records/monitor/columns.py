"""Columns of a hull-current log: what is written, as arrays of numbers and words.

Whole columns are converted at once. Only where that fails do the cells that are not
plain go, each kind once, to the reading that all other sheets have: see
:mod:`corrosion.records.monitor.said_cells`.
"""

from collections.abc import Callable, Sequence
from typing import Any, Final

import numpy as np
import pyarrow as pa
import pyarrow.compute as pc

from corrosion.foundation.types import Array, IntArray
from corrosion.records.monitor.log_file import LogFile
from corrosion.records.monitor.said_cells import (
    mark_of_column,
    order_of_dates,
    said_amps,
    said_moment,
    shown_cell,
)

_Form = Callable[[Any], Any]

_NAIVE: Final = pa.timestamp("ns")
_OFFSET: Final = pa.timestamp("ns", "UTC")
_EXPECTED: Final = "ISO 8601 such as 2026-11-25T14:20:00Z, between 1678 and 2261"
_FEW: Final = 256  # cells that are looked at one by one
_POINTED_NUMBER: Final = r"^[+-]?(\d+\.?\d*|\.\d+)([eE][+-]?\d+)?$"
_COMMA_NUMBER: Final = r"^[+-]?(\d+,?\d*|,\d+)([eE][+-]?\d+)?$"


def moments_of(log: LogFile, column: Any, rows: IntArray) -> IntArray:
    """Return moments from 1970-01-01 00:00 UTC [ns]; no offset means UTC.

    Parameters
    ----------
    log : LogFile
        Where unreadable and blank rows are noted; they come back as zero.
    column : pyarrow.Array
        Text, timestamps or days, shape (n,).
    rows : ndarray of int
        Row of each entry in the file, shape (n,).

    Returns
    -------
    ndarray
        Shape (n,). [ns]
    """
    if column.null_count:
        for row in rows[column.is_null().to_numpy(zero_copy_only=False)]:
            log.problem(log.line_of(row), "time", "blank", _EXPECTED)
    if pa.types.is_timestamp(column.type) or pa.types.is_date(column.type):
        forms: Sequence[_Form] = (lambda values: values.cast(_NAIVE),)
    else:
        column = _undictionaried(column)
        forms = _TIME_FORMS
        if pa.types.is_string(column.type):
            order_of_dates(log, column)
            forms = (*_TIME_FORMS, _figures(log))
    moments = _moments(log, column, rows, forms)
    whole: IntArray = moments.cast(pa.int64()).fill_null(0).to_numpy()
    return whole


def _moments(log: LogFile, column: Any, rows: IntArray, forms: Sequence[_Form]) -> Any:
    """Convert a column by the first form that fits, or its halves, or cell by cell."""
    for form in forms:
        try:
            form(column[:1])  # a whole column that fails is slow to do so
            return form(column)
        except (pa.ArrowInvalid, pa.ArrowNotImplementedError):
            continue
    if len(column) > _FEW:
        half = len(column) // 2
        return pa.concat_arrays(
            [
                _moments(log, column[:half], rows[:half], forms),
                _moments(log, column[half:], rows[half:], forms),
            ]
        )
    return pa.array(
        [
            None if cell is None else _moment(log, cell, row, forms)
            for cell, row in zip(map(shown_cell, column), rows, strict=True)
        ],
        pa.int64(),
    ).cast(_NAIVE)


def _moment(log: LogFile, cell: str, row: int, forms: Sequence[_Form]) -> int | None:
    """Return one moment [ns]; None, with a problem noted, where it is none."""
    one = pa.array([cell])
    for form in forms:
        try:
            return int(form(one).cast(pa.int64())[0].as_py())
        except (pa.ArrowInvalid, pa.ArrowNotImplementedError):
            continue
    return said_moment(log, cell, row, _EXPECTED)


def amps_of(log: LogFile, column: Any, rows: IntArray) -> Array:
    """Return amperes [A], NaN where blank.

    Parameters
    ----------
    log : LogFile
        Where unreadable rows are noted; they come back as NaN.
    column : pyarrow.Array
        Text or numbers in the log's unit, shape (n,).
    rows : ndarray of int
        Row of each entry in the file, shape (n,).

    Returns
    -------
    ndarray
        Shape (n,). [A]
    """
    types = pa.types
    if any(is_(column.type) for is_ in (types.is_integer, types.is_floating)):
        amps = column.cast(pa.float64(), safe=False).to_numpy(zero_copy_only=False)
    else:
        amps = _written_amps(log, _undictionaried(column), rows)
    # Adding zero turns -0.0 into 0.0, so that equal readings are equal bytes.
    return np.asarray(amps * log.scale + 0.0)


def _written_amps(log: LogFile, column: Any, rows: IntArray) -> Array:
    try:
        text = _text(column)
    except (pa.ArrowInvalid, pa.ArrowNotImplementedError):
        found = f"a column of {column.type}"
        log.problem(log.line_of(rows[0]), "amps", found, "a column of numbers")
        return np.full(len(column), np.nan)
    if log.mark is None:
        mark_of_column(log, text, rows)
    if log.mark != ",":
        try:
            text[:1].cast(pa.float64())  # a whole column that fails is slow to do so
            return np.asarray(text.cast(pa.float64()).to_numpy(zero_copy_only=False))
        except pa.ArrowInvalid:
            pass
    trimmed = pc.utf8_trim_whitespace(text)
    plain = _COMMA_NUMBER if log.mark == "," else _POINTED_NUMBER
    fits = pc.match_substring_regex(trimmed, plain)
    numbers = pc.if_else(fits, trimmed, pa.scalar(None, pa.string()))
    if log.mark == ",":
        numbers = pc.replace_substring(numbers, ",", ".")
    amps = np.array(numbers.cast(pa.float64()).to_numpy(zero_copy_only=False))
    odd = np.flatnonzero(~fits.fill_null(True).to_numpy(zero_copy_only=False))
    if len(odd):
        amps[odd] = said_amps(log, trimmed.take(pa.array(odd)).to_pylist(), rows[odd])
    return amps


def words_of(
    column: Any, clean: Callable[[str], str] = str.strip
) -> tuple[IntArray | int, list[str]]:
    """Return the distinct words of a column, and which of them each row has.

    Parameters
    ----------
    column : pyarrow.Array
        Text, best dictionary-encoded, shape (n,).
    clean : callable, optional
        What is done to a word before it is compared.

    Returns
    -------
    index : ndarray or int
        Shape (n,), or 0 where all rows have the same word.
    words : list of str
        Cleaned; blank is the empty word; bytes that are no UTF-8 come as U+FFFD.
    """
    if not pa.types.is_dictionary(column.type):
        column = column.dictionary_encode()
    words = column.dictionary
    if pa.types.is_string(words.type) or pa.types.is_large_string(words.type):
        words = words.cast(pa.large_binary())  # damaged text cannot be shown as text
    written = [shown_cell(word) or "" for word in words] + [""]
    place: dict[str, int] = {}
    code = np.array([place.setdefault(clean(word), len(place)) for word in written])
    indices = column.indices
    if indices.null_count:
        indices = indices.fill_null(len(written) - 1)
    index = code[indices.to_numpy()]
    if len(index) and np.all(index == index[0]):
        return 0, [list(place)[index[0]]]
    return index, list(place)


def _text(values: Any) -> Any:
    return values.cast(pa.string())


def _pointed(values: Any) -> Any:
    return pc.replace_substring(pc.utf8_trim_whitespace(_text(values)), ",", ".")


_TIME_FORMS: Final[Sequence[_Form]] = (
    lambda values: _text(values).cast(_NAIVE),
    lambda values: _text(values).cast(_OFFSET).cast(_NAIVE),
    lambda values: _pointed(values).cast(_NAIVE),
    lambda values: _pointed(values).cast(_OFFSET).cast(_NAIVE),
)


def _figures(log: LogFile) -> _Form:
    """Return the form that reads dates such as ``25.11.2026 14:20:10``, all alike."""
    order = r"\3-\1-\2 \4:" if log.first == "month" else r"\3-\2-\1 \4:"
    marks = r"[./-]" if log.first else r"\."  # points part day, month and year alone
    figures = rf"^(\d{{1,2}}){marks}(\d{{1,2}}){marks}(\d{{4}})[ T,]+(\d{{1,2}}):"

    def form(values: Any) -> Any:
        trimmed = pc.utf8_trim_whitespace(_text(values))
        pointed = pc.replace_substring_regex(trimmed, r"(:\d\d),(\d+)$", r"\1.\2")
        turned = pc.replace_substring_regex(pointed, figures, order)
        padded = pc.replace_substring_regex(turned, r"-(\d)\b", r"-0\1")
        hours = pc.replace_substring_regex(padded, r" (\d):", r" 0\1:")
        half = r"(?i)\s*([ap])\.?m\.?$"
        if not pc.match_substring_regex(hours[:1], half)[0].as_py():
            return hours.cast(_NAIVE)
        spelt = pc.utf8_upper(pc.replace_substring_regex(hours, half, r" \1M"))
        return pc.strptime(spelt, format="%Y-%m-%d %I:%M:%S %p", unit="ns")

    return form


def _undictionaried(column: Any) -> Any:
    is_coded = pa.types.is_dictionary(column.type)
    return column.dictionary_decode() if is_coded else column
