"""What each column of each table means, in which unit, and what a blank says.

All but the words that a column allows stands in ``columns.csv`` beside this file.
"""

from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from functools import cache
from textwrap import wrap
from types import MappingProxyType
from typing import Final

from corrosion.foundation.errors import LookupFailed
from corrosion.records.folder.cell_messages import (
    choices,
    is_date,
    number_range,
    unit_of,
)
from corrosion.records.folder.columns import METAL_NAMES, TABLES, HuntRow, LogRow
from corrosion.records.folder.row import Row, column_field, column_rows
from corrosion.records.folder.ship_toml_keys import KEYS

_MODELS: Final[tuple[type[Row], ...]] = (*TABLES.values(), HuntRow, LogRow, *KEYS)
DOCUMENTED: Final[Mapping[str, type[Row]]] = MappingProxyType(
    {model.table: model for model in _MODELS}
)
"""Models of the tables that are described."""

_FILES: Final = {"hunts": "hunts/ID.csv", "monitor": "monitor/*.csv or *.parquet"}
_KEYS: Final = {
    "ship": "[ship]",
    "water": "[water]",
    "system": "[[system]]",
    "lamps": "lamps of a [[system]]",
    "prices": "[prices]",
    "display": "[display]",
    "recorder": "[monitor]",
    "assumption": "[assumption.NAME]",
}
_FORMS: Final = {
    ("monitor", "time"): "a date and time",
    ("zones", "metal"): f"one of: {', '.join(METAL_NAMES)}",
    ("system", "lamps"): "a table",
}
"""Forms that no model tells."""

_PARTS: Final = ("table", "column", "meaning", "blank", "example")
_WIDTH: Final = 88
_ALL: Final = (
    "Dates may be as exact as you know. Empty means not known and is never zero."
)
_REQUIRED: Final = "must be written"


@dataclass(frozen=True, slots=True, kw_only=True)
class ColumnDoc:
    """One column or key."""

    table: str
    column: str
    form: str  # what may stand there: unit and range, allowed words, a date
    meaning: str  # what it says
    blank: str  # what it says where nothing is written
    example: str  # one cell

    @property
    def required(self) -> bool:
        """Whether it may not be blank."""
        return self.blank == _REQUIRED


@cache
def column_docs(table: str | None = None) -> tuple[ColumnDoc, ...]:
    """Return the description of each column of a table, or of all tables.

    Raises LookupFailed if there is no such table.
    """
    if table is not None and table not in DOCUMENTED:
        raise LookupFailed.among("table", table, DOCUMENTED)
    return tuple(
        ColumnDoc(form=_form(*place), **{part: row[part] for part in _PARTS})
        for place, row in column_rows().items()
        if table in (None, row["table"])
    )


def _form(table: str, column: str) -> str:
    if (table, column) in _FORMS:
        return _FORMS[table, column]
    info = column_field(DOCUMENTED[table], column)
    if words := choices(info):
        return f"one of: {', '.join(words)}"
    if is_date(info):
        return "a date: 1994, 1994-06, 1994-06-03 or 1994-06-03 14:20"
    if unit := unit_of(info):
        numbers = " ".join(part for part in (number_range(info), unit.unit) if part)
        return f"a number, {numbers}"
    return "true or false" if info.annotation is bool else "words"


def columns_text(table: str | None = None, width: int = _WIDTH) -> str:
    """Return the description of one table or of all, as plain text (and Markdown).

    ``table``: its name; all of them by default. ``width``: letters in a line.
    Raises LookupFailed if there is no such table.
    """
    return "\n".join(_lines(column_docs(table), width)) + "\n"


def _lines(docs: tuple[ColumnDoc, ...], width: int) -> Iterator[str]:
    yield from _wrapped(_ALL, width)
    now = ""
    for doc in docs:
        if doc.table != now:
            now = doc.table
            place = f"ship.toml, {_KEYS[now]}" if now in _KEYS else _FILES.get(now)
            yield f"\n## {place or f'{now}.csv'}\n"
        blank = _REQUIRED if doc.required else f"blank: {doc.blank}"
        words = f"* `{doc.column}` ({doc.form}): {doc.meaning}"
        yield from _wrapped(words, width)
        words = f"{blank[0].upper()}{blank[1:]}. Example: `{doc.example}`"
        yield from _wrapped(words, width, "  ")


def _wrapped(words: str, width: int, indent: str = "") -> list[str]:
    return wrap(
        words,
        width,
        initial_indent=indent,
        subsequent_indent="  ",
        break_on_hyphens=False,
    )
