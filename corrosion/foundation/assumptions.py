"""The basis table: every constant and assumption with its spread and its source.

The rows are in ``basis.csv`` beside this file; the dashboard, the report and the
documentation print that table. A quantity with a spread is lognormal: its median, a
geometric standard deviation, and the limits at which it is cut off. A spread of 1 is
a fixed value.
"""

import csv
from collections.abc import Iterable, Iterator, Mapping
from contextlib import contextmanager
from contextvars import ContextVar
from dataclasses import dataclass, replace
from functools import cache
from importlib.resources import files
from math import inf
from types import MappingProxyType
from typing import Final, Literal, cast, get_args

from corrosion.foundation.errors import InputError, LookupFailed

__all__ = ["Entry", "Standing", "entry", "restate", "stated", "table", "value"]

Standing = Literal["published", "common practice", "judgement", "from memory", "user"]
_STANDINGS: Final = frozenset(get_args(Standing))


@dataclass(frozen=True, slots=True, kw_only=True)
class Entry:
    """One row of the basis table.

    Attributes
    ----------
    name : str
        Name, as in ``[assumption.NAME]`` of ship.toml.
    median : float
        Median, in ``unit``.
    spread : float
        Geometric standard deviation, at least 1; 1: a fixed value. [-]
    low, high : float
        Limits at which the distribution is cut off, in ``unit``.
    unit, source, meaning : str
        Unit, where the value comes from, and what it stands for.
    standing : str
        ``published``, ``common practice``, ``judgement``, ``from memory`` (recalled
        and not read) or ``user`` (restated in ship.toml).

    Raises
    ------
    InputError
        If the median is not positive or lies outside its limits, or the spread is
        below 1.
    """

    name: str
    median: float
    spread: float
    low: float
    high: float
    unit: str
    source: str
    standing: Standing
    meaning: str

    def __post_init__(self) -> None:
        if not (self.median > 0.0 and self.low <= self.median <= self.high < inf):
            msg = (
                f"{self.name}: median must be positive and lie between {self.low:g} "
                f"and {self.high:g} {self.unit}, got {self.median:g}"
            )
            raise InputError(msg)
        if not 1.0 <= self.spread < inf:
            msg = (
                f"{self.name}: spread is a geometric standard deviation and must be "
                f"1 (exact) or more, got {self.spread:g}"
            )
            raise InputError(msg)
        if not self.source or self.standing not in _STANDINGS:
            msg = f"{self.name}: needs a source, and one of {sorted(_STANDINGS)}"
            raise InputError(msg)


@cache
def table() -> Mapping[str, Entry]:
    """Return the whole basis table by name, in the order of the file."""
    text = (files("corrosion.foundation") / "assumptions.csv").read_text(
        encoding="utf-8"
    )
    rows: dict[str, Entry] = {}
    for row in csv.DictReader(text.splitlines()):
        median = float(row["median"])
        fixed = float(row["spread"]) == 1.0
        if row["name"] in rows:
            msg = f"basis.csv: {row['name']} is given twice"
            raise InputError(msg)
        rows[row["name"]] = Entry(
            name=row["name"],
            median=median,
            spread=float(row["spread"]),
            low=float(row["low"] or (median / 100.0 if fixed else 0.0)),
            high=float(row["high"] or median * 100.0),
            unit=row["unit"],
            source=row["source"],
            standing=cast("Standing", row["standing"]),
            meaning=row["meaning"],
        )
    return MappingProxyType(rows)


_RESTATED: ContextVar[Mapping[str, Entry]] = ContextVar("restated")


@contextmanager
def stated(entries: Iterable[Entry]) -> Iterator[None]:
    """Let entries that a user restates stand in for the table's, for a while.

    Parameters
    ----------
    entries : iterable of Entry
        From :func:`restate`.

    Examples
    --------
    >>> with stated([restate("shore_earth_ohm", median=4.0, spread=2.0, why="test")]):
    ...     value("shore_earth_ohm")
    4.0
    """
    token = _RESTATED.set({one.name: one for one in entries})
    try:
        yield
    finally:
        _RESTATED.reset(token)


def entry(name: str) -> Entry:
    """Return one entry, as the user restates it where that is in force.

    Raises
    ------
    LookupFailed
        If the table has no such entry.
    """
    mine = _RESTATED.get({}).get(name)
    if mine is not None:
        return mine
    try:
        return table()[name]
    except KeyError:
        raise LookupFailed.among("assumption", name, table()) from None


def value(name: str) -> float:
    """Return the median of one entry, in its own unit.

    Raises
    ------
    LookupFailed
        If the table has no such entry.

    Examples
    --------
    >>> value("substantial_share")
    0.75
    """
    return entry(name).median


def restate(name: str, *, median: float, spread: float, why: str) -> Entry:
    """Return an entry as the user restates it, with the user as its source.

    Raises
    ------
    LookupFailed
        If the table has no such entry.
    InputError
        If the median leaves the entry's limits or the spread is below 1.
    """
    return replace(
        entry(name),
        median=median,
        spread=spread,
        source=why or "restated in ship.toml, no reason written",
        standing="user",
    )
