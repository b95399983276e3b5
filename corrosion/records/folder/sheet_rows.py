"""From a csv file to the rows of a table, every cell read and every row checked."""

from collections.abc import Iterator
from typing import Final

from corrosion.foundation.errors import Problem
from corrosion.records.folder.cell_messages import unknown
from corrosion.records.folder.cells import Column, read_columns
from corrosion.records.folder.csv_file import Sheet, parsed
from corrosion.records.folder.row import (
    UNREADABLE,
    R,
    Row,
    Spot,
    columns,
    read_row,
    required_columns,
)

_MOST_PROBLEMS: Final = 1000
"""Of one file; then reading stops, for so many are one mistake many times."""


def read_sheet(
    model: type[R],
    file: str,
    data: bytes,
    problems: list[Problem],
    doubts: list[Problem],
) -> tuple[R, ...] | None:
    """Read a csv file row by row; every problem and doubt is added to its list.

    Returns None where the file could not even be split into rows.
    """
    sheet = parsed(file, data, columns(model), problems)
    if sheet is None:
        return None
    before = len(problems)
    for problem in layout_problems(model, sheet):
        problems.append(problem)
        if _enough(file, problems, before, None):
            return ()
    missing = set(required_columns(model)) - set(sheet.header)
    absent: dict[str, object] = dict.fromkeys(missing, UNREADABLE)
    rows = []
    for line, values in _values(model, sheet, (problems, doubts)):
        spot = Spot(file=file, line=line)
        rows.append(read_row(model, {**absent, **values}, spot, problems))
        if _enough(file, problems, before, line):
            break
    return tuple(rows)


def _enough(file: str, problems: list[Problem], before: int, line: int | None) -> bool:
    """Return whether a file has so many problems that reading it stops, and say so."""
    if len(problems) - before < _MOST_PROBLEMS:
        return False
    found = f"reading stopped here, after {_MOST_PROBLEMS} problems of this file"
    spot = Spot(file=file, line=line)
    problems.append(spot.problem("", found, "these put right; then check again"))
    return True


def _values(
    model: type[R], sheet: Sheet, found: tuple[list[Problem], list[Problem]]
) -> Iterator[tuple[int, dict[str, object]]]:
    """Yield line and cells by column of each row, blank cells left out.

    A row of the wrong width, which is a problem already, keeps only its first cell.
    """
    width, known = len(sheet.header), columns(model)
    fits = [len(cells) == width for _, cells in sheet.rows]
    lines = [line for (line, _), fit in zip(sheet.rows, fits, strict=True) if fit]
    whole = [cells for (_, cells), fit in zip(sheet.rows, fits, strict=True) if fit]
    written = [
        Column(name=name, lines=lines, cells=[row[place].strip() for row in whole])
        for place, name in enumerate(sheet.header)
        if name in known and name not in sheet.header[:place]
    ]
    cells_of = dict(read_columns(model, sheet.file, sheet.delimiter, written, found))
    row = 0
    for (line, cells), fit in zip(sheet.rows, fits, strict=True):
        values: dict[str, object]
        if fit:
            values = {n: some[row] for n, some in cells_of.items() if some[row] != ""}
            row += 1
        else:
            values = dict.fromkeys(required_columns(model), UNREADABLE)
            first = cells[0].strip() if cells else ""
            if first and sheet.header[0] in known:
                values[sheet.header[0]] = first
        yield line, values


def layout_problems(model: type[Row], sheet: Sheet) -> Iterator[Problem]:
    """Yield what is wrong with the header, and rows that do not fit under it."""
    yield from _header_problems(model, sheet)
    for line, cells in sheet.rows:
        yield from _width_problems(Spot(file=sheet.file, line=line), sheet, cells)


def _header_problems(model: type[Row], sheet: Sheet) -> Iterator[Problem]:
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
