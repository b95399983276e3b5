"""A table of a ship folder as text: its sheet, and rows put into it."""

import re
from collections.abc import Mapping, Sequence
from dataclasses import replace
from math import isfinite
from pathlib import Path
from typing import Final

from corrosion.foundation.errors import InputError, LookupFailed, Problem, RecordError
from corrosion.records.folder.cell_messages import unit_of
from corrosion.records.folder.columns import TABLES, HuntRow
from corrosion.records.folder.csv_file import Sheet, parsed
from corrosion.records.folder.files import HUNTS, content_of
from corrosion.records.folder.numbers import mark_of, written_number
from corrosion.records.folder.row import Row, Spot, columns
from corrosion.records.folder.sheet_rows import layout_problems

Cells = Mapping[str, str]  # cells of a row by column, as one writes them
_HUNT: Final = re.compile(r"[^/\\.][^/\\]*")


def spelt_for(sheet: Sheet, table: str, row: Cells) -> dict[str, str]:
    """Return the cells with the decimal mark that the file writes."""
    model = _model_of(table)
    units = {name: unit_of(info) for name, info in model.model_fields.items()}
    numbers = [
        written_number(cell, unit.unit)
        for cells in rows_of(sheet)
        for name, cell in cells.items()
        if (unit := units.get(name))
    ]
    if mark_of(number for number in numbers if number) != ",":
        return dict(row)
    return {
        name: cell.replace(".", ",") if units.get(name) and _plain(cell) else cell
        for name, cell in row.items()
    }


def _plain(cell: str) -> bool:
    try:
        return isfinite(float(cell))
    except ValueError:
        return False


def _model_of(table: str) -> type[Row]:
    """Return the columns of a table, or of a hunt."""
    name = table.partition("/")
    if name[0] == HUNTS and _HUNT.fullmatch(name[2]):
        return HuntRow
    if table not in TABLES:
        raise LookupFailed.among("table", table, TABLES)
    return TABLES[table]


def table_path(folder: str | Path, table: str) -> Path:
    """Return where a table lies; a table of no such name is refused."""
    _model_of(table)
    return Path(folder) / f"{table}.csv"


def table_bytes(folder: str | Path, table: str) -> bytes:
    """Return the content of a table's file; nothing where there is none."""
    path = table_path(folder, table)
    try:
        return content_of(Path(folder), f"{table}.csv")
    except FileNotFoundError:
        return b""
    except OSError as error:
        spot = Spot(file=path.name, line=None)
        found = f"it cannot be read ({error.strerror or error})"
        raise RecordError(
            [spot.problem("", found, "a plain file that may be read")]
        ) from None


def table_sheet(table: str, data: bytes) -> Sheet:
    """Return the cells of a table, none of them lost; a missing file has no row."""
    names, file = columns(_model_of(table)), f"{table}.csv"
    if not data:
        return Sheet(file=file, header=names)
    problems: list[Problem] = []
    sheet = parsed(file, data, names, problems)
    if sheet is not None:
        problems.extend(layout_problems(_model_of(table), sheet))
    if sheet is None or problems:
        raise RecordError(problems)
    return sheet


def rows_of(sheet: Sheet) -> tuple[dict[str, str], ...]:
    """Return the rows of a sheet, cells by column."""
    pairs = (zip(sheet.header, cells, strict=False) for _, cells in sheet.rows)
    return tuple(dict(row) for row in pairs)


def filled(sheet: Sheet, table: str, rows: Sequence[Cells]) -> Sheet:
    """Return the sheet with other rows, and such columns added as they need."""
    named = dict.fromkeys(name for row in rows for name in row)
    known = columns(_model_of(table))
    for name in named:
        if name not in sheet.header and name not in known:
            raise LookupFailed.among("column", name, known)
    header = tuple(dict.fromkeys((*sheet.header, *named)))
    cells = tuple((0, tuple(row.get(name, "") for name in header)) for row in rows)
    spelt = dict(zip(sheet.header, sheet.titles, strict=False))
    titles = tuple(spelt.get(name, name) for name in header)
    return replace(sheet, header=header, titles=titles, rows=cells)


def amended_rows(
    sheet: Sheet, table: str, rows: Sequence[Cells], change: tuple[Cells, Cells]
) -> list[Cells]:
    """Return the rows with one amended, known by its key, blanks being nothing.

    Raises LookupFailed if no row has the cells of the key. Raises InputError if
    more than one row has.
    """
    key, row = change
    places = [n for n, cells in enumerate(rows) if _has(cells, key)]
    words = ", ".join(
        f"{column} {cell!r}" if cell else f"{column} blank"
        for column, cell in key.items()
    )
    if not places:
        msg = (
            f"{table}.csv: no row with {words}. Someone may have amended or removed it "
            "meanwhile; look at the table."
        )
        raise LookupFailed(msg)
    spelt = spelt_for(sheet, table, row)
    if len(places) > 1:
        msg = f"{table}.csv: {len(places)} rows with {words}. Name more cells."
        raise InputError(msg)
    return [
        {**cells, **spelt} if n == places[0] else cells for n, cells in enumerate(rows)
    ]


def _has(cells: Cells, key: Cells) -> bool:
    """Return whether a row has some cells, as reading takes them."""
    return all(cells.get(name, "").strip() == cell for name, cell in key.items())
