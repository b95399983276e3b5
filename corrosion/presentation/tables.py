"""A table of the report: cells for people to read, and the whole of it as numbers."""

import re
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import Any, Final

import pandas as pd
from markupsafe import Markup

from corrosion.presentation.sentences import number

__all__ = [
    "NUMBER",
    "TEXT",
    "WORD",
    "Cell",
    "Row",
    "Table",
    "between",
    "file_stem",
    "inline",
]

TEXT: Final = ""
"""Kind of a column: words, broken where the column is narrow."""

WORD: Final = "w"
"""Kind of a column: ids and dates, never broken."""

NUMBER: Final = "n"
"""Kind of a column: numbers, flush right, never broken."""

_LEAST: Final = 1e-4


@dataclass(frozen=True, slots=True)
class Cell:
    """One cell as people read it.

    Attributes
    ----------
    text : str
        What stands in it.
    small : tuple of str
        What stands beneath, smaller, a line each.
    drawing : Markup or None
        A drawing above the text.
    marked : bool
        Whether it calls for attention; the text says why, too.
    """

    text: str
    small: tuple[str, ...] = ()
    drawing: Markup | None = None
    marked: bool = False


Row = Sequence[Cell | str]
"""A row; text alone stands for a plain cell."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Table:
    """One table of the report.

    Attributes
    ----------
    name : str
        Plain name of its CSV file, without ending.
    caption : str
        What it shows.
    heads : mapping of str to str
        Heads of the columns, in order, and the kind of each.
    rows : sequence of Row
        The rows as people read them.
    full : DataFrame
        The same, every column, as numbers and text for a spreadsheet.
    named_by : int
        Position of the column that names the row.
    """

    name: str
    caption: str
    heads: Mapping[str, str]
    rows: Sequence[Row]
    full: pd.DataFrame
    named_by: int = 0

    def cells(self) -> list[list[Cell]]:
        """Return the rows, every cell a cell."""
        return [
            [Cell(cell) if isinstance(cell, str) else cell for cell in row]
            for row in self.rows
        ]


def between(values: Mapping[str, Any], name: str = "", middle: str = "mean") -> Cell:
    """Return a mean with p10 and p90 beneath, if they differ, as a cell.

    Parameters
    ----------
    values : mapping
        Of ``mean``, ``p10`` and ``p90``, behind ``name`` and an underscore if given.
    name, middle : str, optional
        The quantity; what stands first.

    Examples
    --------
    >>> between({"mean": 12.31, "p10": 8.12, "p90": 17.0}).small
    ('8.12 to 17.0',)
    """
    head = f"{name}_" if name else ""
    told, low, high = (_told(values[head + key]) for key in (middle, "p10", "p90"))
    return Cell(told, () if told == low == high else (f"{low} to {high}",))


def _told(value: float | None) -> str:
    """Return a number; one that is next to nothing as such."""
    if value is None or value == 0.0 or abs(value) >= _LEAST:
        return number(value)
    return f"under {_LEAST:g}" if value > 0.0 else f"over -{_LEAST:g}"


def inline(cell: Cell) -> str:
    """Return a cell's text with what stands beneath in brackets.

    Examples
    --------
    >>> inline(Cell("12.3", ("8.12 to 17.0",))), inline(Cell("0"))
    ('12.3 (8.12 to 17.0)', '0')
    """
    return f"{cell.text} ({'; '.join(cell.small)})" if cell.small else cell.text


def file_stem(text: str) -> str:
    """Return words as part of a plain file name.

    Examples
    --------
    >>> file_stem("Ship service / 440 V"), file_stem("../..")
    ('ship-service-440-v', 'unnamed')
    """
    return re.sub(r"[^a-z0-9]+", "-", text.lower()).strip("-")[:40] or "unnamed"
