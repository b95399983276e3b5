"""What a table is: columns that make cells of rows, and where each is shown.

The columns stand in ``columns.csv``: heading, key of the row, kind of cell, metric
unit, digits, what stands where nothing is known, and where it is shown (blank:
everywhere). Cells of the kinds ``made`` and ``scaled`` are made by a function, which
stands beside the table.
"""

import re
from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass
from enum import Flag, auto
from functools import cache, partial, reduce
from operator import or_
from typing import TYPE_CHECKING, Any, Final

from markupsafe import Markup

from corrosion.foundation.data_files import csv_rows, sentences
from corrosion.presentation import format as fmt
from corrosion.presentation.units import METRIC, UnitSystem

if TYPE_CHECKING:
    import pandas as pd

TEXT: Final = ""
"""Kind of a column: words, broken where the column is narrow."""

WORD: Final = "w"
"""Kind of a column: ids and dates, never broken."""

NUMBER: Final = "n"
"""Kind of a column: numbers, flush right, never broken."""


class Surface(Flag):
    """Where people read a table."""

    PAGE = auto()
    TERMINAL = auto()
    REPORT = auto()


PAGE: Final = Surface.PAGE
TERMINAL: Final = Surface.TERMINAL
REPORT: Final = Surface.REPORT
ALL: Final = PAGE | TERMINAL | REPORT

Row = Mapping[str, Any]
"""One row as numbers and text, by the keys of the JSON or the table of results."""


@dataclass(frozen=True, slots=True)
class Cell:
    """One cell as people read it."""

    text: str  # what stands in it
    small: tuple[str, ...] = ()  # what stands beneath, smaller, a line each
    drawing: Markup | None = None  # a drawing above the text
    marked: bool = False  # whether it calls for attention; the text says why, too


@dataclass(frozen=True, slots=True, kw_only=True)
class Column:
    """One column of a table."""

    head: str  # its heading, without unit
    # makes the text of a row; given the factor to the unit that is read
    cell: Callable[[Row, float], str]
    kind: str = TEXT  # :data:`TEXT`, :data:`WORD` or :data:`NUMBER`
    unit: str = ""  # metric, of its numbers, for the heading; empty: cells say it
    on: Surface = ALL  # where it is shown
    # makes the small lines beneath the text, on paper; given the factor, too
    beneath: Callable[[Row, float], tuple[str, ...]] | None = None
    # makes a drawing above the text, on paper
    drawing: Callable[[Row], Markup | None] | None = None
    # tells whether a row's cell calls for attention
    marked: Callable[[Row], bool] | None = None

    def title(self, units: UnitSystem = METRIC) -> str:
        """Return the heading with the unit in which its numbers are read."""
        _, unit = units.of(self.unit)
        return f"{self.head} ({unit})" if unit else self.head

    def made(self, row: Row, on: Surface, units: UnitSystem = METRIC) -> Cell:
        """Return the cell of a row as a surface shows it."""
        factor, _ = units.of(self.unit)
        words = self.cell(row, factor)
        marked = self.marked is not None and self.marked(row)
        if on != REPORT:
            return Cell(words, marked=marked)
        small = () if self.beneath is None else self.beneath(row, factor)
        interval = re.fullmatch(r"(.+?) \((.+ to .+)\)", words)
        if self.kind == NUMBER and interval:  # the interval beneath saves width
            words, small = interval[1], (interval[2], *small)
        drawing = None if self.drawing is None else self.drawing(row)
        return Cell(words, small, drawing, marked)


@dataclass(frozen=True, slots=True, kw_only=True)
class Table:
    """One table."""

    name: str  # plain name of its CSV file, without ending
    caption: str  # what it shows
    columns: tuple[Column, ...]  # its columns, the most important first
    rows: Sequence[Row]  # its rows as numbers and text
    # makes what its CSV holds; None: the rows, every key a column
    full: Callable[[], "pd.DataFrame"] | None = None

    def on(self, surface: Surface) -> tuple[Column, ...]:
        """Return the columns that a surface shows."""
        return tuple(column for column in self.columns if surface in column.on)

    def cells(self, surface: Surface, units: UnitSystem = METRIC) -> list[list[Cell]]:
        """Return the rows as a surface shows them."""
        shown = self.on(surface)
        return [
            [column.made(row, surface, units) for column in shown] for row in self.rows
        ]

    def frame(
        self, surface: Surface = PAGE, units: UnitSystem = METRIC
    ) -> "pd.DataFrame":
        """Return the table as people read it, text in every cell."""
        import pandas as pd  # noqa: PLC0415 - slow, and nothing printed needs it

        heads = [column.title(units) for column in self.on(surface)]
        rows = [[cell.text for cell in row] for row in self.cells(surface, units)]
        return pd.DataFrame(rows, columns=heads)

    def spreadsheet(self) -> "pd.DataFrame":
        """Return what its CSV holds: every column, as numbers and text."""
        if self.full is not None:
            return self.full()
        import pandas as pd  # noqa: PLC0415 - slow, and nothing printed needs it

        return pd.json_normalize([dict(row) for row in self.rows], sep="_")

    def named_by(self, surface: Surface) -> int:
        """Return the place of the column that names the row: the first with words.

        The report's template asks for it.
        """
        kinds = [column.kind for column in self.on(surface)]
        return next((k for k, kind in enumerate(kinds) if kind != NUMBER), 0)


def made(
    head: str, cell: Callable[[Row], str], kind: str = TEXT, **more: Any
) -> Column:
    """Return a column of text that a function makes of a row."""
    return Column(head=head, cell=lambda row, _: cell(row), kind=kind, **more)


def _words(value: Any) -> str:
    return ", ".join(value) if isinstance(value, list | tuple) else str(value or "")


_SAID: Final[Mapping[str, tuple[str, Callable[[Any], str]]]] = {
    "text": (TEXT, _words),
    "word": (WORD, _words),
    "duration": (WORD, fmt.duration),
    "bare": (NUMBER, "{:g}".format),
    "count": (NUMBER, str),
    "percent": (NUMBER, fmt.percent),
    "chance": (NUMBER, fmt.chance),
    "ohms": (NUMBER, fmt.ohms),
}
"""Kind in ``columns.csv`` of what says its own unit → kind of column, and its words."""


def said(
    head: str, key: str, how: str = "text", blank: str = "", **more: Any
) -> Column:
    """Return a column of one key; ``blank`` stands where nothing is known."""
    kind, words = _SAID[how]

    def cell(row: Row) -> str:
        value = row[key]
        return blank if blank and value is None else words(value) or blank or "-"

    return made(head, cell, kind, **more)


def number(
    head: str, key: str, unit: str = "", *, digits: str = "", **more: Any
) -> Column:
    """Return a column of numbers that stand alone, three digits unless told."""

    def cell(row: Row, factor: float) -> str:
        value = row[key]
        return fmt.amount(None if value is None else factor * value, int(digits or 3))

    return Column(head=head, cell=cell, kind=NUMBER, unit=unit, **more)


def interval(
    head: str, key: str, unit: str = "", *, blank: str = "", **more: Any
) -> Column:
    """Return a column of medians with p10 and p90.

    Ohms and per cent stand in the cells, other units in the heading.
    """
    inside = unit if unit in ("Ω", "%") else ""

    def cell(row: Row, factor: float) -> str:
        if blank and (row[key] is None or row[key]["p50"] is None):
            return blank
        return fmt.interval(
            row, key, inside, UnitSystem("", {inside: (factor, inside)})
        )

    shown = "" if inside else unit
    return Column(head=head, cell=cell, kind=NUMBER, unit=shown, **more)


def expected(head: str, key: str, unit: str = "", **more: Any) -> Column:
    """Return a column of expectations: means, which a decision rests on."""

    def cell(row: Row, factor: float) -> str:
        return fmt.number(factor * row[key]["mean"])

    head = f"{head}, expected"
    return Column(head=head, cell=cell, kind=NUMBER, unit=unit, **more)


_MADE: Final = {"made": TEXT, "made word": WORD, "made number": NUMBER}


def _column(row: Mapping[str, str], by: Mapping[str, Mapping[str, Any]]) -> Column:
    """Return a column as a row of ``columns.csv`` has it."""
    more = {what: made[row["key"]] for what, made in by.items() if row["key"] in made}
    head, key, kind, unit = (row[name] for name in ("head", "key", "kind", "unit"))
    if row["on"]:
        more["on"] = reduce(or_, (Surface[on.upper()] for on in row["on"].split()))
    if kind in _SAID:
        return said(head, key, kind, row["blank"], **more)
    if kind in _MADE:
        return made(head, kind=_MADE[kind], **more)
    if kind == "number":
        return number(head, key, unit, digits=row["digits"], **more)
    if kind == "interval":
        return interval(head, key, unit, blank=row["blank"], **more)
    if kind == "expected":
        return expected(head, key, unit, **more)
    return Column(head=head, kind=NUMBER, unit=unit, **more)


@cache
def _written() -> dict[str, list[dict[str, str]]]:
    found: dict[str, list[dict[str, str]]] = {}
    for row in csv_rows(__file__, "columns.csv"):
        found.setdefault(row["table"], []).append(row)
    return found


_captions: Final = cache(partial(sentences, __file__, "captions.toml"))


def columns(table: str, **made: Mapping[str, Callable[..., Any]]) -> tuple[Column, ...]:
    """Return a table's columns as ``columns.csv`` has them.

    ``table``: its name there. ``**made``: ``cell``, ``beneath``, ``drawing`` and
    ``marked`` of :class:`Column`, each by the key of the columns that have one.
    """
    return tuple(_column(row, made) for row in _written()[table])


def table(
    name: str,
    rows: Sequence[Row],
    full: Callable[[], "pd.DataFrame"] | None = None,
    *,
    of: Sequence[str] = (),
    **made: Mapping[str, Callable[..., Any]],
) -> Table:
    """Return a table with the caption of its name, as ``captions.toml`` has it.

    ``of``: names of the columns in ``columns.csv``; by default the same name. ``made``:
    as for :func:`columns`.
    """
    return Table(
        name=name,
        caption=_captions()[name],
        columns=tuple(c for some in of or (name,) for c in columns(some, **made)),
        rows=rows,
        full=full,
    )


def file_stem(words: str) -> str:
    """Return words as part of a plain file name.

    Examples
    --------
    >>> file_stem("Ship service / 440 V"), file_stem("../..")
    ('ship-service-440-v', 'unnamed')
    """
    return re.sub(r"[^a-z0-9]+", "-", words.lower()).strip("-")[:40] or "unnamed"
