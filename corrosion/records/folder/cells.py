"""Cells as people write them, read a column at a time.

What a cell alone leaves open, its column decides: whether a comma or a point stands
before the decimals, whether the day or the month stands first. Where nothing decides,
the cell is a problem; where something was decided or left blank, a doubt says so, one
for all cells of a column.
"""

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from math import isfinite
from typing import Final

from corrosion.foundation.errors import Problem
from corrosion.records.folder.cell_messages import choices, is_date, unit_of
from corrosion.records.folder.numbers import (
    BLANKS,
    Mark,
    Written,
    mark_of,
    written_number,
)
from corrosion.records.folder.row import UNREADABLE, Row, Spot
from corrosion.records.said_dates import day_first, rewritten

_FREE: Final = frozenset(
    {"remark", "name", "berth", "by", "instrument", "isolated_by", "strakes", "result"}
)
"""Columns of words, in which a question mark is a word too."""

_SIGNS: Final = frozenset({"conductor", "to", "earthed_at"})
"""Columns in which a dash is the negative conductor."""

_PLACES: Final = 6  # lines named in one doubt


@dataclass(frozen=True, slots=True, kw_only=True)
class Column:
    """One column of a file."""

    name: str  # as in the design
    lines: Sequence[int]  # line of each cell
    cells: Sequence[str]  # without blanks around them; empty where blank


class _Reader:
    """Reads the columns of one file; what it finds out it notes."""

    def __init__(
        self,
        model: type[Row],
        file: str,
        delimiter: str,
        found: tuple[list[Problem], list[Problem]],
    ) -> None:
        self.fields = {
            info.alias or name: info for name, info in model.model_fields.items()
        }
        self.file, self.delimiter = file, delimiter
        self.problems, self.doubts = found

    def blanked(self, column: Column) -> Column:
        """Read the words that mean nothing is known as blank."""
        if column.name in _FREE:
            return column
        words = set(BLANKS) - {word.casefold() for word in self._words(column.name)}
        if column.name in _SIGNS:
            words -= {"-"}
        cells = ["" if cell.casefold() in words else cell for cell in column.cells]
        gone = [n for n, cell in enumerate(column.cells) if cell and not cells[n]]
        for word in dict.fromkeys(column.cells[n] for n in gone):
            lines = [column.lines[n] for n in gone if column.cells[n] == word]
            self._doubt(
                column.name,
                lines,
                f"{word!r} is read as blank",
                "it is taken as not known",
            )
        return Column(name=column.name, lines=column.lines, cells=cells)

    def _words(self, name: str) -> tuple[str, ...]:
        return choices(self.fields[name])

    def dates(self, column: Column, told: Sequence[str]) -> list[object]:
        """Rewrite dates of figures whose order only the column or the file tells."""
        # A day above 12 anywhere in the column tells its order; else one elsewhere in
        # the file. A date that reads either way is a problem, and never a guess.
        first = day_first(column.cells) or day_first(told)
        out: list[object] = []
        changed = []
        for line, cell in zip(column.lines, column.cells, strict=True):
            iso = rewritten(cell, first) if cell else None
            if iso is None and cell and rewritten(cell, "day"):
                found = f"{cell!r} may be day first or month first"
                expected = "the day after the month, as 1994-06-03"
                self._problem(column.name, line, found, expected)
                out.append(UNREADABLE)
                continue
            changed += [(line, cell, iso)] if iso else []
            out.append(iso or cell)
        if changed:
            _, cell, iso = changed[0]
            found = f"{cell!r} is read as {iso}"
            lines = [line for line, _, _ in changed]
            expected = f"the {first} stands first, as another date there tells"
            self._doubt(column.name, lines, found, expected)
        return out

    def numbers(self, column: Column, file_mark: Mark | None) -> list[object]:
        """Read the numbers of a column with the decimal mark that it tells."""
        unit = unit_of(self.fields[column.name])
        name = "" if unit is None else unit.unit
        written = [written_number(cell, name) for cell in column.cells]
        own = mark_of(cell for cell in written if cell)
        out: list[object] = []
        notes: dict[tuple[str, str], list[int]] = {}
        for line, cell, number in zip(column.lines, column.cells, written, strict=True):
            # Its column tells a cell's decimal mark, then the file; only then is it
            # guessed, for a wrong guess is wrong a thousandfold.
            mark = own or file_mark
            if number is not None and number.ambiguous and mark is None:
                mark = self._guessed(column.name, line, cell, number, out)
                if mark is None:
                    continue
                note = "write 40000 or 40.0 where something else was meant"
            else:
                note = "other numbers of the file tell so" if own is None else ""
            value = None if number is None else number.value(mark)
            if number is None or value is None or not isfinite(value):
                out.append(cell)
                continue
            out.append(cell if _is_plain(cell, value) else f"{value:.15g}")
            if (number.ambiguous and note) or number.scale != 1.0 or number.about:
                said = f"{cell!r} is read as {value:.15g}".replace("e+0", "e")
                expected = (
                    note if number.ambiguous else f"it is in {name or 'plain numbers'}"
                )
                notes.setdefault((said, expected), []).append(line)
        self._note(column.name, notes)
        return out

    def _guessed(
        self, name: str, line: int, cell: str, number: Written, out: list[object]
    ) -> Mark | None:
        """Return the mark of a number that nothing else tells, or note the problem.

        Where commas part the columns, a point is taken for the decimals' and the doubt
        asks; a semicolon comes from countries that write it either way.
        """
        if self.delimiter == "," and "," not in cell:
            return "."
        found = f"{cell!r} is {number.point:.15g} or {number.comma:.15g}"
        expected = "no marks of thousands, as 40000; or one decimal more, as 40.0"
        self._problem(name, line, found, expected)
        out.append(UNREADABLE)
        return None

    def _note(self, name: str, notes: Mapping[tuple[str, str], list[int]]) -> None:
        """Say once for a column how its doubtful cells were read."""
        if notes:
            (said, expected), _ = next(iter(notes.items()))
            lines = [line for some in notes.values() for line in some]
            self._doubt(name, sorted(lines), said, expected)

    def _problem(self, name: str, line: int, found: str, expected: str) -> None:
        spot = Spot(file=self.file, line=line)
        self.problems.append(spot.problem(name, found, expected))

    def _doubt(
        self, name: str, lines: Sequence[int], found: str, expected: str
    ) -> None:
        more = ""
        if len(lines) > 1:
            rest = ", ".join(map(str, lines[1:_PLACES]))
            end = " ..." if len(lines) > _PLACES else ""
            more = f" (and {len(lines) - 1} alike, on lines {rest}{end})"
        spot = Spot(file=self.file, line=lines[0])
        self.doubts.append(spot.problem(name, f"{found}{more}", expected))


def _is_plain(cell: str, value: float) -> bool:
    """Return whether Python reads a cell as that value."""
    try:
        return float(cell) == value
    except ValueError:
        return False


def read_columns(
    model: type[Row],
    file: str,
    delimiter: str,
    columns: Sequence[Column],
    found: tuple[list[Problem], list[Problem]],
) -> Iterator[tuple[str, list[object]]]:
    """Yield the cells of each column as the row models read them.

    With its name: text, empty where blank, or :data:`UNREADABLE` if a problem is noted.

    ``file``: name for messages. ``delimiter``: what parts the columns of the file.
    ``columns``: those of the model that the file has. ``found``: problems and doubts;
    both are extended.
    """
    reader = _Reader(model, file, delimiter, found)
    blanked = [reader.blanked(column) for column in columns]
    kinds = {name: (is_date(i), unit_of(i)) for name, i in reader.fields.items()}
    told = [
        cell for column in blanked if kinds[column.name][0] for cell in column.cells
    ]
    numbers = (
        written_number(cell, unit.unit)
        for column in blanked
        if (unit := kinds[column.name][1])
        for cell in column.cells
    )
    file_mark = mark_of(number for number in numbers if number)
    for column in blanked:
        date, unit = kinds[column.name]
        if date:
            yield column.name, reader.dates(column, told)
        elif unit:
            yield column.name, reader.numbers(column, file_mark)
        else:
            yield column.name, list(column.cells)
