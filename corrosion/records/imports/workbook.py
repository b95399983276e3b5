"""A workbook or CSV as tables of text, each with its place in the user's own sheet."""

import io
import warnings
import zipfile
from collections.abc import Iterator
from dataclasses import dataclass
from datetime import date, datetime, time, timedelta
from pathlib import Path
from typing import Any, Final

from corrosion.foundation.errors import Problem, RecordError
from corrosion.records.folder.csv_file import records_of
from corrosion.records.imports.matching import ANY_COLUMN, any_heading

_MOST_ROWS: Final = 20_000
_MOST_COLUMNS: Final = 200
_MOST_BYTES: Final = 16 << 20
_MOST_UNPACKED: Final = 200 << 20
_ZIP: Final = b"PK\x03\x04"


@dataclass(frozen=True, slots=True, kw_only=True)
class RawTable:
    """One sheet, cells as text."""

    name: str  # of the sheet, or of the file
    # row number in the user's sheet, and its cells without blanks around them; blank
    # rows left out
    rows: tuple[tuple[int, tuple[str, ...]], ...]
    # what parted the columns of a CSV; a comma for a workbook, whose
    # numbers are numbers
    delimiter: str = ","


def read_tables(data: bytes, file: str) -> tuple[RawTable, ...]:
    """Return the sheets of a workbook (.xlsx) or the one table of a CSV.

    Raises RecordError if it is neither, or too large.
    """
    if len(data) > _MOST_BYTES:
        found = f"{len(data) / 1e6:.0f} MB"
        raise _refused(file, found, f"at most {_MOST_BYTES / 1e6:.0f} MB")
    tables = _workbook(data, file) if data.startswith(_ZIP) else _csv(data, file)
    kept = tuple(table for table in tables if len(table.rows) > 1)
    if not kept:
        raise _refused(file, "no table", "a heading and at least one row below it")
    return kept


def _refused(file: str, found: str, expected: str) -> RecordError:
    return RecordError([Problem(file, None, "", found, expected)])


def _workbook(data: bytes, file: str) -> Iterator[RawTable]:
    try:
        _refuse_bomb(data, file)
        sheets = _sheets(data, file)
    except RecordError:
        raise
    except Exception as error:  # noqa: BLE001 - a damaged file raises anything
        reason = f"it cannot be read as a workbook ({type(error).__name__})"
        expected = "an .xlsx workbook that is whole, or CSV UTF-8"
        raise _refused(file, reason, expected) from None
    yield from sheets


def _refuse_bomb(data: bytes, file: str) -> None:
    with zipfile.ZipFile(io.BytesIO(data)) as packed:
        size = sum(one.file_size for one in packed.infolist())
    if size > _MOST_UNPACKED:
        found = f"a workbook of {size / 1e6:.0f} MB unpacked"
        raise _refused(file, found, f"at most {_MOST_UNPACKED / 1e6:.0f} MB")


def _sheets(data: bytes, file: str) -> list[RawTable]:
    import openpyxl  # noqa: PLC0415 - only where a workbook comes

    with warnings.catch_warnings():
        warnings.simplefilter("ignore")  # styles that we do not look at
        book = openpyxl.load_workbook(io.BytesIO(data), read_only=True, data_only=True)
        return [_sheet(sheet, file) for sheet in book.worksheets]


def _sheet(sheet: Any, file: str) -> RawTable:
    rows = []
    for number, row in enumerate(sheet.iter_rows(values_only=True), start=1):
        cells = tuple(_text(cell) for cell in row[:_MOST_COLUMNS])
        if any(cells):
            rows.append((number, cells))
        if len(rows) > _MOST_ROWS:
            found = f"sheet {sheet.title!r} has more than {_MOST_ROWS} rows"
            raise _refused(file, found, "fewer rows: a log belongs in monitor/")
    width = max((len(cells) for _, cells in rows), default=0)
    padded = ((n, cells + ("",) * (width - len(cells))) for n, cells in rows)
    return RawTable(name=str(sheet.title), rows=tuple(padded))


def _text(cell: object) -> str:
    """Return a workbook's cell as one would write it."""
    if isinstance(cell, datetime):
        return _moment(cell.replace(microsecond=0, tzinfo=None))
    if isinstance(cell, bool):
        return "yes" if cell else "no"
    if isinstance(cell, float):
        return f"{cell:.12g}"
    if isinstance(cell, date | time | timedelta):
        return str(cell)
    return "" if cell is None else str(cell).strip()


def _moment(plain: datetime) -> str:
    if plain.time() == time():
        return plain.date().isoformat()
    return plain.isoformat(" ", "minutes" if plain.second == 0 else "seconds")


def _csv(data: bytes, file: str) -> Iterator[RawTable]:
    problems: list[Problem] = []
    split = records_of(file, data, ANY_COLUMN, problems, any_heading)
    if split is None:
        raise RecordError(problems)
    if len(split.rows) > _MOST_ROWS:
        raise _refused(file, f"more than {_MOST_ROWS} rows", "fewer rows")
    rows = tuple(
        (line, tuple(cell.strip() for cell in cells[:_MOST_COLUMNS]))
        for line, cells in split.rows
    )
    yield RawTable(name=Path(file).stem, rows=rows, delimiter=split.delimiter)
