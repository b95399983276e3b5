"""Numbers that can be, but are most often another unit's: a question each.

The bounds are common practice of ships' electrics and plating, with no source: outside
them a number is rare enough to ask. Nothing is changed.
"""

from collections.abc import Iterator
from functools import cache
from math import isfinite
from typing import Final

from corrosion.foundation.data_files import csv_rows
from corrosion.foundation.errors import Problem
from corrosion.records.folder.cell_messages import unit_of
from corrosion.records.folder.columns import BerthRow
from corrosion.records.folder.folder_tables import Tables
from corrosion.records.folder.row import Row
from corrosion.records.folder.ship_toml_keys import SystemKeys

_VOLTAGES: Final = (
    *(12, 24, 28, 32, 36, 42, 48, 60, 80, 100, 110, 115, 120, 127, 200, 208, 220),
    *(225, 230, 240, 250, 380, 400, 415, 440, 450, 460, 480, 500, 525, 575, 600, 660),
    *(690, 750, 1000, 1500, 3000, 3300, 4160, 6000, 6600, 10000, 11000, 13800, 15000),
)
_FREQUENCIES: Final = (16.7, 25, 50, 60, 400)
_NEAR: Final = 0.04


@cache
def _usual() -> tuple[tuple[str, str, float, float, str], ...]:
    """Return table and column, what it holds as a rule, and what to ask elsewhere."""
    rows = [row.values() for row in csv_rows(__file__, "usual.csv")]
    return tuple((t, c, float(low), float(high), q) for t, c, low, high, q in rows)


def odd_numbers(tables: Tables) -> Iterator[Problem]:
    """Yield each number outside what its column holds as a rule; zero is none."""
    file = tables.file
    systems = file.systems or ()
    keys = {"ship": (file.ship,), "water": (file.water,), "system": systems}
    for table, column, low, high, question in _usual():
        if table != "prices":
            for row in keys.get(table) or getattr(tables, table, None) or ():
                yield from _odd(row, column, low, high, question)
            continue
        steel = file.prices.steel_per_kg  # of a record already
        if steel and not low <= steel <= high:
            found, expected = f"{steel:g} is not usual here", f"write {question}"
            yield Problem("ship.toml", None, "prices.steel_per_kg", found, expected, 2)
    rows: tuple[SystemKeys | BerthRow, ...] = (*systems, *tables.berths)
    for row in rows:
        for value, known, check in (
            (row.volts, _VOLTAGES, "no such volts"),
            (row.hertz, _FREQUENCIES, "no such hertz"),
        ):
            if value and not any(abs(value / one - 1.0) <= _NEAR for one in known):
                yield row.finding(check)


def _odd(
    row: Row, column: str, low: float, high: float, question: str
) -> Iterator[Problem]:
    value = getattr(row, column)
    size = value if low < 0.0 or value is None else abs(value)
    if size and isfinite(size) and not low <= size <= high:
        unit = unit_of(type(row).model_fields[column])
        shown = f"{value:g} {unit.unit if unit else ''}".strip()
        shown = shown.replace(" Ω, or none", " Ω")
        cells = {"key": column, "shown": shown, "question": question}
        yield row.finding("outside the usual", **cells)
