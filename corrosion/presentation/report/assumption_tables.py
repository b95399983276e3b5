"""The report's tables of what the numbers rest on: assumptions, sources, doubts."""

from collections.abc import Iterable, Iterator, Sequence
from importlib.resources import files
from typing import Final

import pandas as pd

from corrosion.foundation.assumptions import Assumption, default_assumptions
from corrosion.presentation.tables import NUMBER, TEXT, WORD, Cell, Row, Table
from corrosion.records.ship import Ship
from corrosion.wastage.metals import metal

__all__ = ["assumption_table", "doubts", "sources"]

_LONG: Final = 1e9
_CITED: Final = ("published", "from memory")


def _entries(ship: Ship) -> list[Assumption]:
    """Return every entry in the order of the table, as restated for the ship."""
    return list(ship.assumptions.rows)


def assumption_table(ship: Ship) -> Table:
    """Return every constant and assumption; those restated for the ship come first."""
    entries = sorted(_entries(ship), key=lambda one: one.status != "user")
    return Table(
        name="assumptions",
        caption="Constants and assumptions; those restated for this ship come first",
        heads={
            "Assumption": WORD,
            "Value": NUMBER,
            "Spread": NUMBER,
            "Standing": TEXT,
            "Source": TEXT,
        },
        rows=[_assumption(one) for one in entries],
        full=pd.DataFrame([_plain(one) for one in entries]),
    )


def _assumption(one: Assumption) -> Row:
    mine = one.status == "user"
    before = default_assumptions()[one.name]
    return [
        Cell(one.name, (one.meaning,)),
        Cell(
            _with_unit(one),
            (f"in place of {_with_unit(before)}",) if mine else (),
        ),
        "fixed" if one.geometric_sd == 1.0 else f"× or ÷ {one.geometric_sd:g}",
        Cell("restated for this ship" if mine else one.status, marked=mine),
        one.source,
    ]


def _with_unit(one: Assumption) -> str:
    whole = one.median.is_integer() and one.median < _LONG
    value = f"{one.median:.0f}" if whole else f"{one.median:.4g}"
    return value if one.unit == "-" else f"{value} {one.unit}"


def _plain(one: Assumption) -> dict[str, str | float | bool]:
    return {
        "name": one.name,
        "median": one.median,
        "spread": one.geometric_sd,
        "low": one.low,
        "high": one.high,
        "unit": "" if one.unit == "-" else one.unit,
        "standing": one.status,
        "restated": one.status == "user",
        "table_median": default_assumptions()[one.name].median,
        "source": one.source,
        "meaning": one.meaning,
    }


def sources(ship: Ship) -> Table:
    """Return the sources that are cited, and what comes from each."""
    used: dict[str, list[str]] = {}
    for source, name in _used(ship):
        names = used.setdefault(source, [])
        if name not in names:
            names.append(name)
    rows = [[source, ", ".join(names)] for source, names in sorted(used.items())]
    return Table(
        name="sources",
        caption="Sources cited; 'from memory' was recalled and not read",
        heads={"Source": TEXT, "What comes from it": TEXT},
        rows=rows,
        full=pd.DataFrame(rows, columns=["source", "used_for"]),
    )


def _used(ship: Ship) -> Iterator[tuple[str, str]]:
    for one in _entries(ship):
        if one.status in _CITED:
            yield one.source, one.name
    for name in dict.fromkeys(zone.metal for zone in ship.zones):
        yield metal(name).source, f"metal {name}"
    natural = pd.read_csv(str(files("corrosion.wastage") / "natural.csv"))
    for curve, source in zip(natural["curve"], natural["source"], strict=True):
        yield source, f"natural loss, {curve}"


def doubts(words: Iterable[str]) -> Table:
    """Return everything that is doubtful, one a row."""
    said: Sequence[str] = list(words)
    return Table(
        name="doubts",
        caption="Doubts about the records, the gaugings and the model",
        heads={"No.": NUMBER, "Doubt": TEXT},
        rows=[[str(place), doubt] for place, doubt in enumerate(said, start=1)],
        full=pd.DataFrame({"doubt": said}),
        named_by=1,
    )
