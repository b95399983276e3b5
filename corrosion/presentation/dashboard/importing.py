"""A spreadsheet that becomes rows of a table: read, and its columns matched."""

import csv
import difflib
import io
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import Final

from corrosion.foundation.errors import Problem, RecordError
from corrosion.records.folder.columns import TABLES
from corrosion.records.folder.row import columns, number_columns

__all__ = ["Spreadsheet", "guessed", "mapped", "spreadsheet", "written"]

_MOST: Final = 20_000


@dataclass(frozen=True, slots=True, kw_only=True)
class Spreadsheet:
    """A table as it came.

    Attributes
    ----------
    header : tuple of str
        Its columns.
    rows : tuple of tuple of str
        Its cells just as written but for blanks around them; blank rows left out.
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
        problem = _refused(file_name, None, "not UTF-8 text", "CSV UTF-8")
        raise RecordError([problem]) from None
    first = text.partition("\n")[0]
    delimiter = max(",;\t", key=first.count)
    table = _split(text, delimiter, file_name)
    if len(table) < 2 or len(table) > _MOST:
        found = f"{max(len(table) - 1, 0)} rows"
        expected = f"a heading and 1 to {_MOST - 1} rows"
        raise RecordError([_refused(file_name, None, found, expected)])
    (line, header), *rows = table
    problems = [
        _refused(file_name, at, f"{len(row)} cells", f"{len(header)} as in the heading")
        for at, row in rows
        if len(row) != len(header)
    ]
    problems += [
        _refused(file_name, line, f"two columns named {name!r}", "one of each name")
        for name in dict.fromkeys(header)
        if header.count(name) > 1 and name
    ]
    if problems:
        raise RecordError(problems)
    return Spreadsheet(
        header=header,
        rows=tuple(row for _, row in rows),
        decimal_comma=delimiter != ",",
    )


def _split(text: str, delimiter: str, file: str) -> list[tuple[int, tuple[str, ...]]]:
    """Return the rows that are not blank, each with the line at which it begins."""
    reader = csv.reader(io.StringIO(text, newline=""), delimiter=delimiter, strict=True)
    table, line = [], 1
    try:
        for row in reader:
            cells = tuple(cell.strip() for cell in row)
            if any(cells):
                table.append((line, cells))
            line = reader.line_num + 1
    except csv.Error as error:
        expected = "a CSV file that is whole"
        raise RecordError([_refused(file, line, str(error), expected)]) from None
    return table


def _refused(file: str, line: int | None, found: str, expected: str) -> Problem:
    return Problem(
        file=file,
        line=line,
        column="",
        found=found,
        expected=f"{expected}; save it again so from your spreadsheet",
    )


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


def written(row: Mapping[str, str]) -> dict[str, str]:
    """Return the cells of a row that hold something, as reading takes them.

    Examples
    --------
    >>> written({"zone": "Z1 ", "remark": ""})
    {'zone': 'Z1'}
    """
    return {column: cell.strip() for column, cell in row.items() if cell.strip()}
