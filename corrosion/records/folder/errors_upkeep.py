"""Checks of works, anodes, potentials and hunts against the rest of the folder."""

from collections.abc import Iterator
from typing import Final

from corrosion.foundation.errors import Problem
from corrosion.records.folder.columns import AnodeRow, HuntRow
from corrosion.records.folder.folder_tables import Tables, unknown_reference
from corrosion.records.folder.row import UNREAD
from corrosion.records.upkeep import EVERYWHERE

_LOOKS: Final = ("seen", "left_percent")
_GLANCES: Final = ("stayed", "went")
_RESULTS: Final = {
    "began": ("under way", "alongside", "dead ship"),
    "looked": _GLANCES,
    "opened": (*_GLANCES, "together"),
}


def works(tables: Tables) -> Iterator[Problem]:
    """Yield every problem of works.csv."""
    zones, known = tables.zone_names, dict.fromkeys(a.anode for a in tables.anodes)
    for row in tables.works:
        if row.zone not in EVERYWHERE:
            yield from unknown_reference(row, zones, "zone")
        if row.anode is not None and row.work not in ("anodes renewed", UNREAD):
            yield row.finding("anode of other work")
        named = None if UNREAD in known else known
        yield from unknown_reference(row, named, "anode")
        if row.counts is not None and row.work not in ("doubler", UNREAD):
            yield row.finding("counts of other work")


def anodes(tables: Tables) -> Iterator[Problem]:
    """Yield every problem of anodes.csv."""
    first: dict[str, AnodeRow] = {}
    for row in tables.anodes:
        yield from unknown_reference(row, tables.zone_names, "zone")
        if (row.seen is None) != (row.left_percent is None):
            yield row.finding("half a look", key=_LOOKS[row.seen is not None])
        if row.anode == UNREAD:
            continue
        if row.anode in first:
            yield from _repeated(first[row.anode], row)
            continue
        first[row.anode] = row
        for key in ("zone", "metal"):
            if getattr(row, key) is None:
                yield row.finding("anode not told", key=key)
        yield from row.findings(
            {
                "impressed without amps": row.metal == "impressed"
                and row.amps is None
                and row.set_mv is None,
                "set point of no electrode": row.set_mv is not None
                and row.electrode is None,
            }
        )


def _repeated(first: AnodeRow, row: AnodeRow) -> Iterator[Problem]:
    """Yield what a further row of an anode says otherwise than its first."""
    written = row.model_fields_set - set(_LOOKS)
    for column in (name for name in type(row).model_fields if name in written):
        both = getattr(first, column), getattr(row, column)
        unread = any(one != one or one == UNREAD for one in both)
        if both[0] != both[1] and not unread:
            yield row.finding("anode told otherwise", key=column, line=first.line)


def potentials(tables: Tables) -> Iterator[Problem]:
    """Yield every problem of potentials.csv."""
    for row in tables.potentials:
        yield from unknown_reference(row, tables.zone_names, "zone")
        if row.zone is None and (row.frame is None or row.side is None):
            yield row.finding("potential nowhere")


def hunts(tables: Tables) -> Iterator[Problem]:
    """Yield every problem of the files in hunts/."""
    for rows in tables.hunts.values():
        for place, row in enumerate(rows, 1):
            if UNREAD in (row.act, row.result):
                continue
            if (row.act == "began") != (place == 1):
                yield row.finding("began later", place=place)
            if row.act == "began":
                yield from unknown_reference(row, tables.system_names, "circuit")
            yield from _acts(row)


def _acts(row: HuntRow) -> Iterator[Problem]:
    """Yield what an act lacks."""
    began, nowhere = row.act == "began", row.act in ("looked", "isolated", "cleared")
    words = _RESULTS.get(row.act, ())
    unit = {"clamped": "milliamperes", "tested": "ohms"}.get(row.act)
    yield from row.findings(
        {
            "hunt of no system": row.circuit is None and began,
            "act on no circuit": row.circuit is None and not began and not nowhere,
            "no such result": words and row.result.lower() not in words,
            "result without number": unit and row.number() is None,
        },
        what=row.result or "blank",
        words=", ".join(words),
        unit=unit,
    )
