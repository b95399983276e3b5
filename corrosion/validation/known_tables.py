"""Which tables and columns the estimate's reader knows, asked of the reader itself.

A column is offered to it once, in a folder of its own; what it refuses is not written.
"""

import tempfile
from collections.abc import Mapping
from dataclasses import dataclass
from functools import cache
from pathlib import Path
from types import MappingProxyType
from typing import Final

from corrosion import RecordError, read_ship
from corrosion.foundation.errors import Problem

__all__ = ["SECOND_EDITION", "Known", "ask_reader"]

SECOND_EDITION: Final[Mapping[str, tuple[str, ...]]] = MappingProxyType(
    {
        "faults": ("standing", "present_percent"),
        "berths": ("earth_metal",),
        "zones": ("inside",),
        "gaugings": ("surface",),
        "works": ("date", "zone", "work", "percent", "bare_percent"),
        "readings": ("time", "system", "fault", "conductor", "amps", "current"),
        "anodes": ("anode", "zone", "metal", "form", "count", "net_kg", "fitted"),
    }
)
"""Columns and tables that are written where the reader knows them."""

_FIRST: Final = {  # what each optional table of the first edition begins with
    "faults": "fault,system,source,found",
    "berths": "from,to,supply,earth_cable_ohm",
    "zones": "zone,frame_from,frame_to,side,top_m,bottom_m,exposure,built_mm,limit_mm",
    "gaugings": "zone,date,thickness_mm",
}
_NONSENSE: Final = "no such column"
_SHIP: Final = """[ship]
name = "Asked"
length_m = 20
beam_m = 5
draught_m = 1.5
block_coefficient = 0.5
built = 1990
frame_spacing_m = 0.5
[water]
salinity_g_per_kg = 30
temperature_c = 10
"""


@dataclass(frozen=True, slots=True)
class Known:
    """What the reader knows beyond the first edition.

    Attributes
    ----------
    tables : frozenset of str
        Tables that it reads.
    refused : frozenset of (str, str)
        Table and column that it does not know.
    no_cable : bool
        Whether ``earth_cable_ohm`` may say ``none``.
    """

    tables: frozenset[str]
    refused: frozenset[tuple[str, str]]
    no_cable: bool

    def table(self, table: str) -> bool:
        """Return whether a table is read at all."""
        return table in self.tables or table not in SECOND_EDITION

    def column(self, table: str, column: str) -> bool:
        """Return whether a column is read."""
        if column not in SECOND_EDITION.get(table, ()):
            return True
        return self.table(table) and (table, column) not in self.refused


@cache
def ask_reader() -> Known:
    """Return what the reader knows, by the problems it finds in folders that ask."""
    heads = {
        table: ",".join([_FIRST.get(table, ""), *columns, _NONSENSE]).strip(",") + "\n"
        for table, columns in SECOND_EDITION.items()
    }
    problems = _problems(heads)
    seen = {problem.file.removesuffix(".csv") for problem in problems}
    word = _problems({"berths": f"{_FIRST['berths']}\n1991,1992,shore earthed,none\n"})
    return Known(
        tables=frozenset(seen & set(SECOND_EDITION)),
        refused=frozenset((p.file.removesuffix(".csv"), p.column) for p in problems),
        no_cable=not any(problem.column == "earth_cable_ohm" for problem in word),
    )


def _problems(tables: Mapping[str, str]) -> tuple[Problem, ...]:
    with tempfile.TemporaryDirectory() as name:
        folder = Path(name)
        (folder / "ship.toml").write_text(_SHIP, encoding="utf-8")
        for table, text in tables.items():
            (folder / f"{table}.csv").write_text(text, encoding="utf-8")
        try:
            read_ship(folder)
        except RecordError as error:
            return error.problems
    return ()
