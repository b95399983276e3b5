"""Checks of works, anodes, potentials and hunts against the rest of the folder."""

from collections.abc import Iterator
from math import isnan
from typing import Final

from corrosion.foundation.errors import Problem
from corrosion.records.folder.columns import AnodeRow, HuntRow
from corrosion.records.folder.folder_tables import Tables, unknown_reference
from corrosion.records.folder.row import UNREAD
from corrosion.records.upkeep import EVERYWHERE

_LOOKS: Final = ("seen", "left_percent")
_GLANCES: Final = ("stayed", "went")
_OPENED: Final = (*_GLANCES, "together")
_LYING: Final = ("under way", "alongside", "dead ship")


def works(tables: Tables) -> Iterator[Problem]:
    """Yield every problem of works.csv."""
    zones, known = tables.zone_names, {row.anode for row in tables.anodes}
    for row in tables.works:
        if row.zone not in EVERYWHERE:
            yield from unknown_reference(row, "zone", row.zone, zones)
        if row.anode is not None and row.work not in ("anodes renewed", UNREAD):
            found = f"{row.anode!r}, though the work is {row.work!r}"
            yield row.problem("anode", found, "blank, or the work anodes renewed")
        yield from unknown_reference(
            row, "anode", row.anode, None if UNREAD in known else known
        )
        if row.counts is not None and row.work not in ("doubler", UNREAD):
            found = f"{row.counts}, though the work is {row.work!r}"
            yield row.problem("counts", found, "blank but for a doubler")


def anodes(tables: Tables) -> Iterator[Problem]:
    """Yield every problem of anodes.csv."""
    first: dict[str, AnodeRow] = {}
    for row in tables.anodes:
        yield from unknown_reference(row, "zone", row.zone, tables.zone_names)
        if (row.seen is None) != (row.left_percent is None):
            blank = _LOOKS[row.seen is not None]
            yield row.problem(blank, "blank", "both seen and left_percent, or neither")
        if row.anode == UNREAD:
            continue
        if row.anode in first:
            yield from _repeated(first[row.anode], row)
            continue
        first[row.anode] = row
        yield from _first(row)


def _first(row: AnodeRow) -> Iterator[Problem]:
    """Yield what the first row of an anode must tell."""
    for column in ("zone", "metal"):
        if getattr(row, column) is None:
            found = "blank in the anode's first row"
            yield row.problem(column, found, f"the {column} of {row.anode!r}")
    if row.metal == "impressed" and row.amps is None and row.set_mv is None:
        found = "blank for impressed current"
        yield row.problem("amps", found, "amps, or set_mv with its electrode")
    if row.set_mv is not None and row.electrode is None:
        expected = "the electrode against which set_mv is held"
        yield row.problem("electrode", "blank, though set_mv is given", expected)


def _repeated(first: AnodeRow, row: AnodeRow) -> Iterator[Problem]:
    """Yield what a further row of an anode says otherwise than its first."""
    for column in row.model_fields_set - set(_LOOKS):
        one, other = getattr(first, column), getattr(row, column)
        if one != other and UNREAD not in (one, other) and not _unread(one, other):
            found = f"another {column} than on line {first.line}"
            expected = "the same or blank: a further row tells another look at it"
            yield row.problem(column, found, expected)


def _unread(*values: object) -> bool:
    """Return whether one of two values is a number that could not be read."""
    return any(isinstance(value, float) and isnan(value) for value in values)


def potentials(tables: Tables) -> Iterator[Problem]:
    """Yield every problem of potentials.csv."""
    for row in tables.potentials:
        yield from unknown_reference(row, "zone", row.zone, tables.zone_names)
        if row.zone is None and (row.frame is None or row.side is None):
            yield row.problem("zone", "blank", "the zone, or its frame and side")


def hunts(tables: Tables) -> Iterator[Problem]:
    """Yield every problem of the files in hunts/."""
    for rows in tables.hunts.values():
        for place, row in enumerate(rows):
            if UNREAD in (row.act, row.result):
                continue
            if (row.act == "began") != (place == 0):
                found = f"{row.act!r} in row {place + 1}"
                yield row.problem("act", found, "began in the first row and only there")
            yield from _result(row, tables)


def _result(row: HuntRow, tables: Tables) -> Iterator[Problem]:
    if row.act == "began":
        yield from unknown_reference(row, "circuit", row.circuit, tables.system_names)
        if row.circuit is None:
            yield row.problem("circuit", "blank", "the system that is hunted in")
    elif row.circuit is None and row.act not in ("looked", "isolated", "cleared"):
        yield row.problem("circuit", "blank", f"the circuit that was {row.act}")
    words = {"began": _LYING, "looked": _GLANCES, "opened": _OPENED}.get(row.act, ())
    if words and row.result.lower() not in words:
        yield row.problem("result", row.result or "blank", f"one of {', '.join(words)}")
    if row.act in ("clamped", "tested") and row.number() is None:
        unit = "milliamperes" if row.act == "clamped" else "ohms"
        yield row.problem("result", row.result or "blank", f"a number of {unit}")
