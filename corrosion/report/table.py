"""A table of the report: cells for people to read, and the whole of it as numbers."""

import re
from collections.abc import Mapping, Sequence
from dataclasses import dataclass

import pandas as pd
from markupsafe import Markup

__all__ = ["Cell", "Row", "Table", "file_stem"]


@dataclass(frozen=True, slots=True)
class Cell:
    """One cell as people read it.

    Attributes
    ----------
    text : str
        What stands in it.
    small : str
        What stands beneath, smaller.
    drawing : Markup or None
        A drawing above the text.
    marked : bool
        Whether it calls for attention; the text says why, too.
    """

    text: str
    small: str = ""
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
    heads : mapping of str to bool
        Heads of the columns, in order; True: numbers, flush right.
    rows : sequence of Row
        The rows as people read them.
    full : DataFrame
        The same, every column, as numbers and text for a spreadsheet.
    """

    name: str
    caption: str
    heads: Mapping[str, bool]
    rows: Sequence[Row]
    full: pd.DataFrame

    def cells(self) -> list[list[Cell]]:
        """Return the rows, every cell a cell."""
        return [
            [Cell(cell) if isinstance(cell, str) else cell for cell in row]
            for row in self.rows
        ]


def file_stem(text: str) -> str:
    """Return words as part of a plain file name.

    Examples
    --------
    >>> file_stem("Ship service / 440 V"), file_stem("../..")
    ('ship-service-440-v', 'unnamed')
    """
    return re.sub(r"[^a-z0-9]+", "-", text.lower()).strip("-")[:40] or "unnamed"
