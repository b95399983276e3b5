"""Columns of a hull-current log: what is written, as arrays of numbers and words.

Whole columns are converted at once. Only where that fails is a column halved until
the rows that cannot be read stand alone, each to be noted with its line.
"""

from collections.abc import Callable, Sequence
from typing import Any, Final

import numpy as np
import pyarrow as pa
import pyarrow.compute as pc

from corrosion.foundation.types import Array, IntArray
from corrosion.records.monitor.log_file import LogFile

__all__ = ["amps_of", "moments_of", "words_of"]

_Form = Callable[[Any], Any]

_NAIVE: Final = pa.timestamp("ns")
_OFFSET: Final = pa.timestamp("ns", "UTC")
_EXPECTED: Final = {
    "time": "ISO 8601 such as 2026-11-25T14:20:00Z, between 1678 and 2261",
    "amps": "a number of amperes; blank where not known",
}
_LONGEST_FOUND: Final = 60


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
    if pa.types.is_timestamp(column.type) or pa.types.is_date(column.type):
        forms: Sequence[_Form] = (lambda values: values.cast(_NAIVE),)
    else:
        column, forms = _undictionaried(column), _TIME_FORMS
    if column.null_count:
        for row in rows[column.is_null().to_numpy(zero_copy_only=False)]:
            log.problem(log.line_of(row), "time", "blank", _EXPECTED["time"])
    moments = _converted(log, column, rows, "time", forms)
    whole: IntArray = moments.cast(pa.int64()).fill_null(0).to_numpy()
    return whole


def amps_of(log: LogFile, column: Any, rows: IntArray) -> Array:
    """Return amperes [A], NaN where blank.

    Parameters
    ----------
    log : LogFile
        Where unreadable rows are noted; they come back as NaN.
    column : pyarrow.Array
        Text or numbers, shape (n,).
    rows : ndarray of int
        Row of each entry in the file, shape (n,).

    Returns
    -------
    ndarray
        Shape (n,). [A]
    """
    types = pa.types
    if any(is_(column.type) for is_ in (types.is_integer, types.is_floating)):
        forms: Sequence[_Form] = (lambda values: values.cast(pa.float64(), safe=False),)
    else:
        column = _undictionaried(column)
        forms = _COMMA_FORMS if log.decimal_comma else _POINT_FORMS
    amps = _converted(log, column, rows, "amps", forms)
    # Adding zero turns -0.0 into 0.0, so that equal readings are equal bytes.
    return np.asarray(amps.to_numpy(zero_copy_only=False) + 0.0)


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
    written = [*map(_shown, words), ""]
    place: dict[str, int] = {}
    code = np.array([place.setdefault(clean(word), len(place)) for word in written])
    indices = column.indices
    if indices.null_count:
        indices = indices.fill_null(len(written) - 1)
    index = code[indices.to_numpy()]
    if len(index) and np.all(index == index[0]):
        return 0, [list(place)[index[0]]]
    return index, list(place)


def _shown(scalar: Any) -> str:
    try:
        value = scalar.as_py()
    except (OverflowError, ValueError):
        return "a value out of all range"
    if value is None:
        return ""
    return value.decode(errors="replace") if isinstance(value, bytes) else str(value)


def _text(values: Any) -> Any:
    return values.cast(pa.string())


def _trimmed(values: Any) -> Any:
    return pc.utf8_trim_whitespace(_text(values))


def _pointed(values: Any) -> Any:
    return pc.replace_substring(_trimmed(values), ",", ".")


_TIME_FORMS: Final[Sequence[_Form]] = (
    lambda values: _text(values).cast(_NAIVE),
    lambda values: _text(values).cast(_OFFSET).cast(_NAIVE),
    lambda values: _pointed(values).cast(_NAIVE),
    lambda values: _pointed(values).cast(_OFFSET).cast(_NAIVE),
)
_POINT_FORMS: Final[Sequence[_Form]] = (
    lambda values: _text(values).cast(pa.float64()),
    lambda values: _trimmed(values).cast(pa.float64()),
)
_COMMA_FORMS: Final[Sequence[_Form]] = (
    lambda values: _pointed(values).cast(pa.float64()),
)


def _converted(
    log: LogFile, column: Any, rows: IntArray, name: str, forms: Sequence[_Form]
) -> Any:
    """Convert a column by the first form that fits; note the rows that none fits."""
    for form in forms:
        try:
            form(column[:1])  # a whole column that fails is slow to do so
            return form(column)
        except (pa.ArrowInvalid, pa.ArrowNotImplementedError):
            continue
    if len(column) == 1:
        found = repr(_shown(column[0])[:_LONGEST_FOUND])
        log.problem(log.line_of(rows[0]), name, found, _EXPECTED[name])
        return pa.nulls(1, _NAIVE if name == "time" else pa.float64())
    half = len(column) // 2
    return pa.concat_arrays(
        [
            _converted(log, column[:half], rows[:half], name, forms),
            _converted(log, column[half:], rows[half:], name, forms),
        ]
    )


def _undictionaried(column: Any) -> Any:
    is_coded = pa.types.is_dictionary(column.type)
    return column.dictionary_decode() if is_coded else column
