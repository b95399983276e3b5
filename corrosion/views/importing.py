"""A spreadsheet that becomes rows of a table: read, and its columns matched."""

import csv
import difflib
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import Final

from corrosion.errors import Problem, RecordError
from corrosion.records.rows import columns, number_columns
from corrosion.records.tables import TABLES

__all__ = ["Spreadsheet", "guessed", "mapped", "spreadsheet"]

_MOST: Final = 20_000


@dataclass(frozen=True, slots=True, kw_only=True)
class Spreadsheet:
    """A table as it came.

    Attributes
    ----------
    header : tuple of str
        Its columns.
    rows : tuple of tuple of str
        Its cells, blank rows left out.
    decimal_comma : bool
        Whether numbers have a comma, since columns are parted by something else.
    """

    header: tuple[str, ...]
    rows: tuple[tuple[str, ...], ...]
    decimal_comma: bool


def spreadsheet(data: bytes, file_name: str) -> Spreadsheet:
    """Return the cells of a CSV file.

    Parameters
    ----------
    data : bytes
        UTF-8, with commas, semicolons or tabs between the columns.
    file_name : str
        For messages.

    Raises
    ------
    RecordError
        If it is not such a file.
    """
    try:
        text = data.decode("utf-8-sig")
    except UnicodeDecodeError:
        raise _refused(file_name, "not UTF-8 text", "CSV UTF-8") from None
    first = text.partition("\n")[0]
    delimiter = max(",;\t", key=first.count)
    try:
        cells = list(csv.reader(text.splitlines(), delimiter=delimiter, strict=True))
    except csv.Error as error:
        raise _refused(file_name, str(error), "a CSV file that is whole") from None
    table = [tuple(cell.strip() for cell in row) for row in cells if any(row)]
    if len(table) < 2 or len(table) > _MOST:
        found = f"{max(len(table) - 1, 0)} rows"
        raise _refused(file_name, found, f"a heading and 1 to {_MOST} rows")
    header, *rows = table
    for number, row in enumerate(rows, 2):
        if len(row) != len(header):
            found = f"{len(row)} cells in row {number}"
            raise _refused(file_name, found, f"{len(header)}, as in the heading")
    return Spreadsheet(header=header, rows=tuple(rows), decimal_comma=delimiter != ",")


def _refused(file: str, found: str, expected: str) -> RecordError:
    problem = Problem(
        file=file,
        line=None,
        column="",
        found=found,
        expected=f"{expected}; save it again so from your spreadsheet",
    )
    return RecordError([problem])


def guessed(header: Sequence[str], table: str) -> dict[str, str | None]:
    """Return for each column of a table the spreadsheet's column that is named alike.

    Examples
    --------
    >>> guessed(["Zone", "Thickness mm"], "gaugings")["thickness_mm"]
    'Thickness mm'
    """
    plain = {name.lower().replace(" ", "_"): name for name in header}
    return {
        column: plain.get(
            next(iter(difflib.get_close_matches(column, plain, 1, 0.8)), "")
        )
        for column in columns(TABLES[table])
    }


def mapped(
    sheet: Spreadsheet, table: str, sources: Mapping[str, str | None]
) -> list[dict[str, str]]:
    """Return the rows as cells of a table.

    Parameters
    ----------
    sheet : Spreadsheet
        As it came.
    table : str
        Name of the table.
    sources : mapping of str to str or None
        Column of the table → column of the spreadsheet; None: left blank.
    """
    place = {c: sheet.header.index(s) for c, s in sources.items() if s is not None}
    numbers = number_columns(TABLES[table])
    return [
        {
            column: row[at].replace(",", ".")
            if sheet.decimal_comma and column in numbers
            else row[at]
            for column, at in place.items()
        }
        for row in sheet.rows
    ]
