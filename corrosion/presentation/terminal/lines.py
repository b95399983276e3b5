"""Lines of plain text that fit a terminal: tables, paragraphs, lists."""

import re
import textwrap
import unicodedata
from collections.abc import Mapping, Sequence
from typing import Any

from corrosion.inspection.cautions import NO_DANGER
from corrosion.presentation.format import THOUSANDS
from corrosion.presentation.tables.table import NUMBER, TERMINAL, Column, Table
from corrosion.presentation.units import METRIC, UnitSystem

_LONGEST = 96  # letters in a line of words: longer ones are hard to follow
_MEASURED = re.compile(
    r"(\d) (%|[kM]?Ω|m?A|k?V|kg|lb|mm|mil|in|m[²³]?|ft[²³]?|h|min|Ah|°C|MB)(?![\w])"
)
_LEAST = 16  # letters in a column of words that is broken


def printable(text: str) -> str:
    r"""Return text in which control characters are seen and do nothing.

    Spaces are those that every terminal has.

    Examples
    --------
    >>> printable("pump\x1b[2J")
    'pump\\x1b[2J'
    """
    return "".join(
        c
        if c == "\n" or unicodedata.category(c) not in ("Cc", "Cf")
        else ascii(c)[1:-1]
        for c in text.replace(THOUSANDS, " ")
    )


def paragraph(text: str, width: int, indent: str = "") -> str:
    """Return words in lines that fit, ``indent`` before all but the first.

    A number and its unit stay together, and so does a path, however long.
    """
    kept = _MEASURED.sub("\\1\u202f\\2", printable(text.replace(THOUSANDS, "\u202f")))
    filled = textwrap.fill(
        kept,
        min(width, _LONGEST),
        subsequent_indent=indent,
        break_on_hyphens=False,
        break_long_words=False,
    )
    return filled.replace("\u202f", " ")


class Lines:
    """A text in the making, in lines that fit a width.

    ``width``: letters in a line. ``units``: in which its tables are read.
    """

    def __init__(self, width: int, units: UnitSystem) -> None:
        self.width, self.units = width, units
        self._lines: list[str] = []

    def text(self) -> str:
        """Return all of it."""
        return "\n".join(self._lines)

    def say(self, *texts: str, indent: str = "") -> None:
        """Add paragraphs; an empty one is an empty line."""
        self._lines += (paragraph(text, self.width, indent) for text in texts)

    def caution(self, text: str, whose: str = "") -> None:
        """Add what can hurt, as it stands before an act."""
        self.say(f"Caution{whose}: {text}")

    def dangers(self, found: Sequence[Mapping[str, Any]]) -> None:
        """Add the danger lines that stand above everything, or what silence means."""
        self.say(*([f"!! {row['text']}" for row in found] or [NO_DANGER]), "")

    def listed(self, head: str, *items: str) -> None:
        """Add a heading and its items, or nothing where there is none."""
        if items:
            self._lines += ["", head]
            for item in items:
                self.say(f"  - {item}", indent="    ")

    def grid(self, table: Table) -> None:
        """Add a table alone."""
        self._lines.append(grid(table, self.width, self.units))

    def table(self, table: Table) -> None:
        """Add a table under its caption, or nothing where it has no row."""
        if table.rows:
            self.say("", f"{table.caption}:")
            self.grid(table)


def grid(table: Table, width: int, units: UnitSystem = METRIC) -> str:
    """Return a table that fits: headings broken, words broken, columns left out.

    Columns are left out from the right, and a line says which.
    """
    shown = table.on(TERMINAL)
    titles = [column.title(units) for column in shown]
    rows = [
        [printable(cell.text) for cell in row] for row in table.cells(TERMINAL, units)
    ]
    wide = [
        max([_longest_word(title), *(len(row[k]) for row in rows)])
        for k, title in enumerate(titles)
    ]
    count = len(shown)
    # Least widths hang on each column alone, so columns can be dropped one by one
    # from the right until the rest fits; the first column stays at any width.
    while count > 1 and _total(least := _least(shown, titles, wide)[:count]) > width:
        count -= 1
    least = _least(shown, titles, wide)[:count]
    room = width - _total(least)
    # One pass is enough: a column takes no more than its longest cell, and what it
    # leaves is for the next. The first words name the row and are broken last.
    for k in range(count):  # what room is left goes to words, from the left
        more = min(room, wide[k] - least[k])
        least[k] += more
        room -= more
    heads = [
        _cell(title, w, column)
        for title, w, column in zip(titles, least, shown, strict=False)
    ]
    lines = _lines(heads, bottom=True)
    lines.append("  ".join("-" * w for w in least))
    for row in rows:
        cells = zip(row, least, shown, strict=False)
        lines += _lines([_cell(text, w, column) for text, w, column in cells])
    left_out = titles[count:]
    if left_out:
        words = f"left out to fit {width} columns (--csv has all): "
        lines.append(paragraph(f"({words}{'; '.join(left_out)})", width))
    return "\n".join(lines)


def _longest_word(title: str) -> int:
    return max(map(len, title.split()))


def _least(
    columns: Sequence[Column], titles: Sequence[str], wide: Sequence[int]
) -> list[int]:
    """Return how narrow columns can be: numbers and ids are not broken."""
    return [
        w if column.kind else max(_longest_word(title), min(w, _LEAST))
        for column, title, w in zip(columns, titles, wide, strict=True)
    ]


def _total(widths: Sequence[int]) -> int:
    return sum(widths) + 2 * (len(widths) - 1)


def _cell(text: str, width: int, column: Column) -> list[str]:
    lines = textwrap.wrap(text, width, break_on_hyphens=False) or [""]
    right = column.kind == NUMBER
    return [line.rjust(width) if right else line.ljust(width) for line in lines]


def _lines(cells: Sequence[list[str]], *, bottom: bool = False) -> list[str]:
    """Lay cells of several lines beside one another."""
    tall = max(map(len, cells))
    padded = []
    for cell in cells:
        blank = [" " * len(cell[0])] * (tall - len(cell))
        padded.append([*blank, *cell] if bottom else [*cell, *blank])
    return ["  ".join(line).rstrip() for line in zip(*padded, strict=True)]
