"""Text files as they come: encoding, delimiter, decimal comma, line numbers.

A file may begin with a byte-order mark, and its columns may be separated by commas,
semicolons or tabs, which the header tells. It is UTF-8, or it is refused.
"""

import csv
import io
from collections.abc import Collection, Iterator, Mapping
from dataclasses import dataclass
from typing import Final

from corrosion.foundation.errors import Problem
from corrosion.records.folder.cell_messages import unknown
from corrosion.records.folder.row import (
    UNREADABLE,
    R,
    Spot,
    columns,
    number_columns,
    read_row,
    required_columns,
)

__all__ = ["Sheet", "decoded", "layout_problems", "parsed", "read_sheet", "rendered"]

_DELIMITERS: Final = (",", ";", "\t")
_BOM: Final = b"\xef\xbb\xbf"
_SIGNATURES: Final[Mapping[bytes, str]] = {
    b"PK\x03\x04": "a spreadsheet or zip file, not text",
    b"\xd0\xcf\x11\xe0": "an old spreadsheet file, not text",
    b"\xff\xfe": "UTF-16 text",
    b"\xfe\xff": "UTF-16 text",
}


@dataclass(frozen=True, slots=True, kw_only=True)
class Sheet:
    """A csv file, cells as text.

    Attributes
    ----------
    file : str
        File name relative to the ship folder.
    header : tuple of str
        Column names, in the order of the file.
    header_line : int
        Line on which the header stands.
    rows : tuple of (int, tuple of str)
        Line at which each row begins, and its cells just as written.
    delimiter, newline : str
        What separates cells, and what ends a line.
    bom : bool
        Whether the file begins with a byte-order mark.
    """

    file: str
    header: tuple[str, ...]
    header_line: int = 1
    rows: tuple[tuple[int, tuple[str, ...]], ...] = ()
    delimiter: str = ","
    newline: str = "\n"
    bom: bool = False


def decoded(file: str, data: bytes, problems: list[Problem]) -> str | None:
    """Return the text of a file; None, with a problem added, where it is not UTF-8."""
    line: int | None = None
    for signature, words in _SIGNATURES.items():
        if data.startswith(signature):
            found = words
            break
    else:
        try:
            text = data.decode("utf-8-sig")
        except UnicodeDecodeError as error:
            place = error.start
            found = f"byte 0x{data[place]:02x} at position {place} is not UTF-8"
        else:
            place = text.find("\0")
            if place < 0:
                return text
            found = "an empty (NUL) character, as in a damaged file"
        line = data.count(b"\n", 0, place) + 1
    expected = "UTF-8 text: save the file again as 'CSV UTF-8' or plain text UTF-8"
    spot = Spot(file=file, line=line)
    problems.append(spot.problem("", found, expected))
    return None


def parsed(
    file: str, data: bytes, known: Collection[str], problems: list[Problem]
) -> Sheet | None:
    """Split a csv file into cells.

    Parameters
    ----------
    file : str
        Name for messages.
    data : bytes
        The whole file.
    known : collection of str
        Valid column names, by which the delimiter is told.
    problems : list of Problem
        Is extended where the file cannot be split.

    Returns
    -------
    Sheet or None
        None where a problem was added.
    """
    text = decoded(file, data, problems)
    if text is None:
        return None
    first = next((line for line in text.splitlines() if line.strip()), "")
    delimiter = max(_DELIMITERS, key=lambda mark: _matches(first, mark, known))
    records: list[tuple[int, tuple[str, ...]]] = []
    reader = csv.reader(io.StringIO(text, newline=""), delimiter=delimiter, strict=True)
    line = 1
    try:
        for cells in reader:
            if any(cell.strip() for cell in cells):
                records.append((line, tuple(cells)))
            line = reader.line_num + 1
    except csv.Error as error:
        found = f"the row that begins here cannot be split ({error})"
        expected = "a quotation mark opened in a cell must be closed at its end"
        problems.append(Spot(file=file, line=line).problem("", found, expected))
        return None
    if not records:
        found, expected = "an empty file", f"a header: {delimiter.join(known)}"
        problems.append(Spot(file=file, line=1).problem("", found, expected))
        return None
    return Sheet(
        file=file,
        header=tuple(name.strip() for name in records[0][1]),
        header_line=records[0][0],
        rows=tuple(records[1:]),
        delimiter=delimiter,
        newline="\r\n" if "\r\n" in text else "\n",
        bom=data.startswith(_BOM),
    )


def _matches(header: str, delimiter: str, known: Collection[str]) -> int:
    return sum(name.strip(' "') in known for name in header.split(delimiter))


def rendered(sheet: Sheet) -> bytes:
    """Return the file of a sheet, with its own delimiter and byte-order mark."""
    out = io.StringIO(newline="")
    writer = csv.writer(out, delimiter=sheet.delimiter, lineterminator=sheet.newline)
    writer.writerow(sheet.header)
    writer.writerows(cells for _, cells in sheet.rows)
    return (_BOM if sheet.bom else b"") + out.getvalue().encode()


def read_sheet(
    model: type[R], file: str, data: bytes, problems: list[Problem]
) -> tuple[R, ...] | None:
    """Read a csv file row by row; every problem is added to the list.

    Returns
    -------
    tuple of Row or None
        None where the file could not even be split into rows.
    """
    sheet = parsed(file, data, columns(model), problems)
    if sheet is None:
        return None
    problems.extend(layout_problems(model, sheet))
    missing = set(required_columns(model)) - set(sheet.header)
    absent = dict.fromkeys(missing, UNREADABLE)
    rows = []
    for line, cells in sheet.rows:
        spot = Spot(file=file, line=line)
        values = {**absent, **_values(model, sheet, cells)}
        rows.append(read_row(model, values, spot, problems))
    return tuple(rows)


def _values(model: type[R], sheet: Sheet, cells: tuple[str, ...]) -> dict[str, object]:
    """Return the cells by column; a row of the wrong width keeps only its first."""
    known = columns(model)
    commas = number_columns(model) if sheet.delimiter != "," else ()
    values: dict[str, object] = {}
    if len(cells) != len(sheet.header):
        values = dict.fromkeys(required_columns(model), UNREADABLE)
        cells = cells[:1]
    for name, raw in zip(sheet.header, cells, strict=False):
        cell = raw.strip()
        if cell and name in known:
            comma = name in commas and "." not in cell and cell.count(",") == 1
            values[name] = cell.replace(",", ".") if comma else cell
    return values


def layout_problems(model: type[R], sheet: Sheet) -> Iterator[Problem]:
    """Yield what is wrong with the header, and rows that do not fit under it."""
    yield from _header_problems(model, sheet)
    for line, cells in sheet.rows:
        yield from _width_problems(Spot(file=sheet.file, line=line), sheet, cells)


def _header_problems(model: type[R], sheet: Sheet) -> Iterator[Problem]:
    spot, known = Spot(file=sheet.file, line=sheet.header_line), columns(model)
    for place, name in enumerate(sheet.header):
        if name and name in sheet.header[:place]:
            found = "this column stands twice in the header"
            yield spot.problem(name, found, "one column of that name: remove or rename")
        elif name and name not in known:
            found, expected = unknown("column", name, known)
            yield spot.problem(name, found, f"{expected}; as it stands it is lost")
        elif not name and any(
            "".join(cells[place : place + 1]).strip() for _, cells in sheet.rows
        ):
            found = f"column {place + 1} has cells but no name"
            yield spot.problem("", found, f"one of {', '.join(known)}")
    for name in required_columns(model):
        if name not in sheet.header:
            yield spot.problem(name, "the column is missing", "add it to the header")


def _width_problems(
    spot: Spot, sheet: Sheet, cells: tuple[str, ...]
) -> Iterator[Problem]:
    width, count = len(sheet.header), len(cells)
    if count < width:
        advice = "blank cells are written too, as in a,,c"
    else:
        advice = "words that hold the delimiter stand in quotation marks"
        if sheet.delimiter == ",":
            advice += ", decimals are written with a point"
    if count != width:
        yield spot.problem("", f"{count} cells", f"{width} as in the header; {advice}")
