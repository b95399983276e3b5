"""What an import understood of a sheet, to be looked at before anything is saved."""

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from pathlib import Path
from statistics import median
from typing import Final

from corrosion.foundation.errors import InputError, Problem
from corrosion.records.folder.cell_messages import unit_of
from corrosion.records.folder.cells import Column, read_columns
from corrosion.records.folder.columns import TABLES
from corrosion.records.folder.numbers import unit_factor
from corrosion.records.folder.row import Spot, column_field, read_row, required_columns
from corrosion.records.folder.save_table import read_table
from corrosion.records.imports.matching import (
    Match,
    header_row,
    match_headings,
    table_of,
)
from corrosion.records.imports.workbook import RawTable, read_tables

_INCHES: Final[Mapping[str, float]] = {"thickness_mm": 2.0, "built_mm": 2.0}
"""Columns in millimetres whose median below this is likelier in inches."""


@dataclass(frozen=True, slots=True)
class Question:
    """A unit that the sheet does not tell."""

    # column, heading: of the table, and of the sheet
    column: str
    heading: str
    words: str  # the question
    likely: str  # the likeliest unit


@dataclass(frozen=True, slots=True, kw_only=True)
class Proposal:
    """Rows for one table, as they would be added."""

    # table, sheet: the table, and the sheet they come from
    table: str
    sheet: str
    matches: tuple[Match, ...]  # which heading is taken for which column
    left_out: tuple[str, ...]  # headings that are taken for none
    rows: tuple[dict[str, str], ...]  # cells by column, numbers in the column's unit
    lines: tuple[int, ...]  # row of each in the user's own sheet
    questions: tuple[Question, ...]  # units to be told before they can be saved
    # problems, doubts: what cannot be read, and how doubtful cells were read, by
    # the user's rows
    problems: tuple[Problem, ...]
    doubts: tuple[Problem, ...]
    again: int  # rows that stand in the table already, word for word, and are left out


def propose_file(
    folder: str | Path, file: str | Path, units: Mapping[str, str] | None = None
) -> tuple[Proposal, ...]:
    """Return what a workbook or CSV would add to a ship folder; nothing is saved.

    ``file``: the .xlsx or CSV file. ``units``: unit of a column of the sheet where its
    heading does not tell, as ``{"thickness_mm": "in"}``.

    Raises RecordError if the file cannot be read, or no sheet of it is a table. Raises
    InputError if a unit is not known.
    """
    path = Path(file)
    try:
        data = path.read_bytes()
    except OSError as error:
        msg = f"{path}: cannot be read ({error.strerror or error})."
        raise InputError(msg) from None
    found = []
    for raw in read_tables(data, path.name):
        table = table_of(raw)
        if table is not None:
            header = raw.rows[header_row(raw, table)][1]
            matches = match_headings(header, table)
            found.append(propose(folder, raw, table, matches, units or {}))
    if not found:
        msg = (
            f"{path.name}: no sheet is recognised. Name a sheet after its table, one "
            f"of {', '.join(TABLES)}, or its headings as `corrosion columns` has them."
        )
        raise InputError(msg)
    return tuple(found)


def propose(
    folder: str | Path,
    raw: RawTable,
    table: str,
    matches: Sequence[Match],
    units: Mapping[str, str],
) -> Proposal:
    """Return what one sheet would add to a table.

    ``matches``: which column of the sheet is which. ``units``: units that the
    headings do not tell, by column.
    """
    model, place = TABLES[table], header_row(raw, table)
    header, body = raw.rows[place][1], raw.rows[place + 1 :]
    problems = list(_layout(raw, header, body))
    problems += _missing(raw, table, matches)
    body = tuple(row for row in body if len(row[1]) == len(header))
    lines = [line for line, _ in body]
    doubts: list[Problem] = []
    written = [
        Column(
            name=one.column, lines=lines, cells=[cells[one.place] for _, cells in body]
        )
        for one in matches
    ]
    found = (problems, doubts)
    read = dict(read_columns(model, raw.name, raw.delimiter, written, found))
    questions = []
    for match in matches:
        factor = _factor(match, table, units)
        told = match.column in units
        asked = None if told else _question(match, read[match.column])
        if asked is not None:
            questions.append(asked)
        elif factor != 1.0:
            read[match.column] = [
                f"{float(str(cell)) * factor:.6g}" if _is_number(cell) else cell
                for cell in read[match.column]
            ]
    rows = [
        {
            name: str(cells[n])
            for name, cells in read.items()
            if isinstance(cells[n], str) and cells[n]
        }
        for n in range(len(lines))
    ]
    old = [
        {name: cell.strip() for name, cell in row.items() if cell.strip()}
        for row in read_table(folder, table)[0]
    ]
    kept = [n for n, row in enumerate(rows) if row and row not in old]
    for n in kept if not problems else ():
        read_row(model, rows[n], Spot(file=raw.name, line=lines[n]), problems)
    used = {match.place for match in matches}
    return Proposal(
        table=table,
        sheet=raw.name,
        matches=tuple(matches),
        left_out=tuple(name for n, name in enumerate(header) if name and n not in used),
        rows=tuple(rows[n] for n in kept),
        lines=tuple(lines[n] for n in kept),
        questions=tuple(questions),
        problems=tuple(problems),
        doubts=tuple(doubts),
        again=sum(1 for row in rows if row in old),
    )


def _missing(raw: RawTable, table: str, matches: Sequence[Match]) -> Iterator[Problem]:
    """Yield the columns that must be written and for which no heading is taken."""
    taken = {match.column for match in matches}
    for column in required_columns(TABLES[table]):
        if column not in taken:
            spot = Spot(file=raw.name, line=None)
            expected = "a heading that is taken for it, or another table"
            yield spot.problem(column, "no heading is taken for it", expected)


def _layout(
    raw: RawTable, header: Sequence[str], body: Sequence[tuple[int, tuple[str, ...]]]
) -> Iterator[Problem]:
    """Yield rows that do not fit under their heading, and headings that stand twice.

    A row of another width has a cell too many or too few somewhere, so that all behind
    it stand in the wrong column.
    """
    width = len(header)
    for line, cells in body:
        if len(cells) != width:
            spot = Spot(file=raw.name, line=line)
            expected = f"{width} as in the heading; save it so from your spreadsheet"
            yield spot.problem("", f"{len(cells)} cells", expected)
    for name in dict.fromkeys(header):
        if name and header.count(name) > 1:
            spot = Spot(file=raw.name, line=None)
            found = f"two columns named {name!r}"
            yield spot.problem("", found, "one of each name")


def _factor(match: Match, table: str, units: Mapping[str, str]) -> float:
    """Return by what the numbers of a column are multiplied.

    Raises InputError if the unit that was told is not one of the column's.
    """
    told = units.get(match.column)
    if told is None:
        return 1.0 if match.factor is None else match.factor
    unit = unit_of(column_field(TABLES[table], match.column))
    factor = None if unit is None else unit_factor(told, unit.unit)
    if factor is None:
        known = unit.unit if unit else "none"
        msg = f"{match.column}: {told!r} is no unit of it; its own is {known}."
        raise InputError(msg)
    return factor


def _question(match: Match, cells: Sequence[object]) -> Question | None:
    """Return what has to be asked of a column's unit; None: nothing."""
    if match.factor is None:
        words = f"{match.heading!r}: in which unit is it? {match.unit!r} is not known"
        return Question(match.column, match.heading, words, "")
    numbers = [abs(float(str(cell))) for cell in cells if _is_number(cell)]
    if not numbers or match.unit or match.column not in _INCHES:
        return None
    middle = median(numbers)
    if 0.0 < middle < _INCHES[match.column]:
        words = f"{match.heading!r} is about {middle:.3g}: is it in inches?"
        return Question(match.column, match.heading, words, "in")
    return None


def _is_number(cell: object) -> bool:
    try:
        float(str(cell))
    except ValueError:
        return False
    return True
