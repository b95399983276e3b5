"""Headings of a sailor's own sheet, matched to the columns of a table, with units."""

import re
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from functools import lru_cache
from typing import TYPE_CHECKING, Final

from corrosion.foundation.data_files import toml_tables
from corrosion.records.folder.cell_messages import unit_of
from corrosion.records.folder.columns import TABLES, LogRow
from corrosion.records.folder.headings import squashed
from corrosion.records.folder.numbers import unit_factor
from corrosion.records.folder.row import Row, columns, required_columns

if TYPE_CHECKING:
    from corrosion.records.imports.workbook import RawTable

_WITHIN: Final = 20  # rows, below a title
_UNIT: Final = re.compile(
    r"^(?P<words>.*?)\s*[\(\[,]\s*(?P<unit>[^()\[\]]+?)\s*[\)\]]?$"
)
_LAST_WORD: Final = re.compile(r"^(?P<words>.*?)[ _](?P<unit>[^\s_]+)$")
_MODELS: Final[Mapping[str, type[Row]]] = {**TABLES, "monitor": LogRow}
ANY_COLUMN: Final = frozenset(
    name for model in TABLES.values() for name in columns(model)
)
"""Names of the columns of all tables."""

_UNLIKELY: Final = 100  # rank of a column without a unit, where the heading names one
_CALLED: Final = toml_tables(__file__, "headings.toml")
"""What people call columns and tables, beside their own names."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Match:
    """One column of a table, and the heading that is taken for it."""

    column: str  # of the table
    place: int  # column of the sheet, from 0
    heading: str  # as it stands there
    unit: str = ""  # the unit that the heading names; empty: none
    # by which its numbers are multiplied; None: not known, and has to be asked
    factor: float | None = 1.0


@lru_cache(maxsize=256)
def _names(column: str) -> Mapping[str, int]:
    """Return what a column may be called, squashed; the lower the better."""
    bare = re.sub(r"_(mm|m2|m|ohm|v|mv|percent|kg|c|min)$", "", column)
    names = [column, bare, *_CALLED["columns"].get(column, ())]
    return {squashed(name): rank for rank, name in reversed(list(enumerate(names)))}


@lru_cache(maxsize=16)
def _units(model: type[Row]) -> Mapping[str, str]:
    """Return the unit of each column that holds numbers."""
    fields = model.model_fields.items()
    of = {info.alias or name: unit_of(info) for name, info in fields}
    return {name: unit.unit for name, unit in of.items() if unit is not None}


def _taken_for(heading: str, model: type[Row]) -> list[tuple[int, str, str]]:
    """Return rank, column and unit of each column that a heading may name."""
    found, units = [], _units(model)
    forms = [(heading, "", False)]
    if (split := _UNIT.match(heading)) and split["unit"]:
        forms.append((split["words"], split["unit"], False))
    if split := _LAST_WORD.match(heading):
        forms.append((split["words"], split["unit"], True))  # only a unit that is one
    for words, unit, known in forms:
        for column in columns(model):
            rank = _names(column).get(squashed(words))
            own = units.get(column)
            if rank is None or (known and not (own and unit_factor(unit, own))):
                continue
            found.append((rank + _UNLIKELY * bool(unit and own is None), column, unit))
    measured = [name for name, own in units.items() if unit_factor(heading, own)]
    if heading and len(measured) == 1:  # a unit alone, where one column has it
        found.append((_UNLIKELY, measured[0], heading))
    return sorted(found)


def any_heading(heading: str) -> str:
    """Return a column of any table that a heading may name, or the heading itself."""
    offers = (_taken_for(heading, model) for model in TABLES.values())
    return next((found[0][1] for found in offers if found), heading)


def log_heading(heading: str) -> str:
    """Return the column of a hull-current log that a heading names, or itself."""
    offers = _taken_for(heading, LogRow)
    return offers[0][1] if offers else heading


def match_headings(header: Sequence[str], table: str) -> tuple[Match, ...]:
    """Match the headings of a sheet to the columns of a table, the plainest first.

    ``table``: name of the table; ``monitor``: a hull-current log.
    """
    model = _MODELS[table]
    units = _units(model)
    offers = [
        (rank, place, column, unit)
        for place, heading in enumerate(header)
        for rank, column, unit in _taken_for(heading, model)
    ]
    matched: dict[str, Match] = {}
    used: set[int] = set()
    for _, place, column, unit in sorted(offers):
        if column not in matched and place not in used:
            own = units.get(column)
            matched[column] = Match(
                column=column,
                place=place,
                heading=header[place],
                unit=unit if own is not None else "",
                factor=unit_factor(unit, own) if own is not None and unit else 1.0,
            )
            used.add(place)
    return tuple(matched[column] for column in columns(model) if column in matched)


def header_row(raw: "RawTable", table: str) -> int:
    """Return which row of a sheet holds the headings of a table."""
    counts = [len(match_headings(cells, table)) for _, cells in raw.rows[:_WITHIN]]
    return counts.index(max(counts))


def table_of(raw: "RawTable") -> str | None:
    """Return the table that a sheet is, by its name or else its headings."""
    name = squashed(raw.name)
    for table in TABLES:
        words = (table, table.removesuffix("s"), *_CALLED["tables"].get(table, ()))
        if name in map(squashed, words):
            return table
    best, most = None, 1
    for table, model in TABLES.items():
        matched = match_headings(raw.rows[header_row(raw, table)][1], table)
        names = {match.column for match in matched}
        if set(required_columns(model)) <= names and len(matched) > most:
            best, most = table, len(matched)
    return best
