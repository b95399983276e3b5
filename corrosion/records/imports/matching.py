"""Headings of a sailor's own sheet, matched to the columns of a table, with units."""

import re
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import Final

from corrosion.records.folder.cell_messages import unit_of
from corrosion.records.folder.columns import TABLES
from corrosion.records.folder.headings import squashed
from corrosion.records.folder.numbers import unit_factor
from corrosion.records.folder.row import columns, required_columns
from corrosion.records.imports.workbook import RawTable

__all__ = ["Match", "header_row", "match_headings", "table_of"]

_WITHIN: Final = 20  # rows, below a title
_UNIT: Final = re.compile(
    r"^(?P<words>.*?)\s*[\(\[,]\s*(?P<unit>[^()\[\]]+?)\s*[\)\]]?$"
)
_ALIKE: Final[Mapping[str, Sequence[str]]] = {
    "zone": ("area", "location", "panel", "place", "where"),
    "date": ("day", "date of reading", "gauged", "measured on", "done", "when"),
    "time": ("date", "date and time", "when", "datetime", "hour"),
    "frame": ("frame no", "frame number", "fr", "fr no", "frame nr"),
    "thickness_mm": (
        *("thickness", "thk", "gauged thickness", "measured", "reading"),
        *("measured thickness", "gauging", "t"),
    ),
    "readings": ("no of readings", "number of readings", "count", "n", "spots"),
    "built_mm": ("as built", "original", "original thickness", "nominal", "built"),
    "remark": ("remarks", "note", "notes", "comment", "comments", "description"),
    "by": ("surveyor", "taken by", "read by", "who", "name"),
    "fault": ("fault no", "fault number", "id", "no", "number", "ref"),
    "circuit": ("consumer", "branch", "feeder", "equipment"),
    "conductor": ("phase", "line", "pole"),
    "found": ("date found", "discovered", "start", "reported"),
    "cleared": ("date cleared", "repaired", "fixed", "closed", "end", "rectified"),
    "insulation_ohm": ("insulation", "insulation resistance", "ir", "resistance"),
    "amps": ("current", "leakage", "leakage current", "ampere", "amperes"),
    "from": ("arrival", "start", "arrived", "since"),
    "to": ("departure", "end", "left", "until"),
    "berth": ("port", "quay", "harbour"),
    "supply": ("power", "shore power", "fed from"),
    "work": ("action", "job", "kind of work"),
    "electrode": ("reference", "reference electrode", "half cell"),
    "mv": ("potential", "hull potential", "reading"),
    "pit_depth_mm": ("pit", "pit depth", "deepest pit"),
}
"""What people call a column, beside its own name with or without its unit."""

_TABLES: Final[Mapping[str, Sequence[str]]] = {
    "gaugings": ("thickness", "gauging", "ut", "utm", "ultrasonic"),
    "faults": ("ground faults", "earth faults", "fault log", "log"),
    "berths": ("stays", "ports", "shore supply"),
    "works": ("dockings", "repairs", "paint"),
    "potentials": ("hull potentials",),
}


@dataclass(frozen=True, slots=True, kw_only=True)
class Match:
    """One column of a table, and the heading that is taken for it.

    Attributes
    ----------
    column : str
        Of the table.
    place : int
        Column of the sheet, from 0.
    heading : str
        As it stands there.
    unit : str
        The unit that the heading names; empty: none.
    factor : float or None
        By which its numbers are multiplied; None: not known, and has to be asked.
    """

    column: str
    place: int
    heading: str
    unit: str = ""
    factor: float | None = 1.0


def _names(column: str) -> dict[str, int]:
    """Return what a column may be called, squashed; the lower the better."""
    bare = re.sub(r"_(mm|m2|m|ohm|v|mv|percent|kg|c|min)$", "", column)
    names = [column, bare, *_ALIKE.get(column, ())]
    return {squashed(name): rank for rank, name in reversed(list(enumerate(names)))}


def _taken_for(heading: str, known: Sequence[str]) -> list[tuple[int, str, str]]:
    """Return rank, column and unit of each column that a heading may name."""
    found = []
    split = _UNIT.match(heading)
    forms = [(heading, "")]
    if split and split["unit"]:
        forms.append((split["words"], split["unit"]))
    for words, unit in forms:
        for column in known:
            rank = _names(column).get(squashed(words))
            if rank is not None:
                found.append((rank, column, unit))
    return sorted(found)


def match_headings(header: Sequence[str], table: str) -> tuple[Match, ...]:
    """Match the headings of a sheet to the columns of a table, the plainest first.

    Parameters
    ----------
    header : sequence of str
        As they stand.
    table : str
        Name of the table.
    """
    model, known = TABLES[table], columns(TABLES[table])
    units = {
        info.alias or name: unit_of(info) for name, info in model.model_fields.items()
    }
    offers = [
        (rank, place, column, unit)
        for place, heading in enumerate(header)
        for rank, column, unit in _taken_for(heading, known)
    ]
    matched: dict[str, Match] = {}
    used: set[int] = set()
    for _, place, column, unit in sorted(offers):
        if column not in matched and place not in used:
            of = units[column]
            factor = unit_factor(unit, of.unit) if of is not None and unit else 1.0
            matched[column] = Match(
                column=column,
                place=place,
                heading=header[place],
                unit=unit if of is not None else "",
                factor=factor,
            )
            used.add(place)
    return tuple(matched[column] for column in known if column in matched)


def header_row(raw: RawTable, table: str) -> int:
    """Return which row of a sheet holds the headings of a table."""
    counts = [len(match_headings(cells, table)) for _, cells in raw.rows[:_WITHIN]]
    return counts.index(max(counts))


def table_of(raw: RawTable) -> str | None:
    """Return the table that a sheet is, by its name or else its headings."""
    name = squashed(raw.name)
    for table in TABLES:
        words = (table, table.removesuffix("s"), *_TABLES.get(table, ()))
        if name in map(squashed, words):
            return table
    best, most = None, 1
    for table, model in TABLES.items():
        matched = match_headings(raw.rows[header_row(raw, table)][1], table)
        names = {match.column for match in matched}
        if set(required_columns(model)) <= names and len(matched) > most:
            best, most = table, len(matched)
    return best
