"""Tables of what the numbers rest on: assumptions, sources, doubts."""

import csv
from collections.abc import Iterator, Sequence
from importlib.resources import files
from typing import Final

from corrosion.foundation.assumptions import (
    Assumption,
    Assumptions,
    default_assumptions,
)
from corrosion.presentation import format as fmt
from corrosion.presentation.tables.table import Row, Table, table
from corrosion.records.ship import Ship
from corrosion.wastage.metals import metal

_LONG: Final = 1e9
_CITED: Final = ("published", "from memory")


def assumption_table(assumptions: Assumptions) -> Table:
    """Return every constant and assumption; those of this ship come first."""
    ordered = sorted(assumptions.rows, key=lambda one: not one.overridden)
    return table(
        "assumptions",
        [_row(one) for one in ordered],
        cell={"median": _median, "spread": _spread, "standing": _status},
        beneath={"name": lambda row, _: (row["meaning"],), "median": _before},
        marked={"standing": lambda row: bool(row["restated"])},
    )


def _row(one: Assumption) -> Row:
    return {
        "name": one.name,
        "median": one.median,
        "spread": one.geometric_sd,
        "low": one.low,
        "high": one.high,
        "unit": "" if one.unit == "-" else one.unit,
        "standing": one.status,
        "restated": one.overridden,
        "table_median": default_assumptions()[one.name].median,
        "source": one.source,
        "meaning": one.meaning,
    }


def _with_unit(value: float, unit: str) -> str:
    whole = value.is_integer() and value < _LONG
    return f"{fmt.whole(value) if whole else f'{value:.4g}'} {unit}".strip()


def _median(row: Row) -> str:
    return _with_unit(row["median"], row["unit"])


def _before(row: Row, _: float) -> tuple[str, ...]:
    before = _with_unit(row["table_median"], row["unit"])
    return (f"in place of {before}",) if row["restated"] else ()


def _spread(row: Row) -> str:
    return "fixed" if row["spread"] == 1.0 else f"× or ÷ {row['spread']:g}"


def _status(row: Row) -> str:
    return "restated for this ship" if row["restated"] else str(row["standing"])


def sources(ship: Ship) -> Table:
    """Return the sources that are cited, and what comes from each."""
    used: dict[str, list[str]] = {}
    for source, name in _used(ship):
        names = used.setdefault(source, [])
        if name not in names:
            names.append(name)
    return table(
        "sources",
        [
            {"source": source, "used_for": ", ".join(names)}
            for source, names in sorted(used.items())
        ],
    )


def _used(ship: Ship) -> Iterator[tuple[str, str]]:
    for one in ship.assumptions.rows:
        if one.status in _CITED:
            yield one.source, one.name
    for name in dict.fromkeys(zone.metal for zone in ship.zones):
        yield metal(name).source, f"metal {name}"
    natural = (files("corrosion.wastage") / "natural.csv").read_text("utf-8")
    for row in csv.DictReader(natural.splitlines()):
        yield row["source"], f"natural loss, {row['curve']}"


def doubts(words: Sequence[str]) -> Table:
    """Return everything that is doubtful, one a row."""
    return table(
        "doubts",
        [{"place": k, "doubt": doubt} for k, doubt in enumerate(words, start=1)],
    )
