"""Dates in their order: what happened after what, within the widths as written.

Two dates that surely stand the wrong way round, but by less than the width of what was
written, are a doubt; by more, a problem.
"""

from collections.abc import Iterable, Iterator
from math import inf, isfinite
from typing import Final

from corrosion.foundation.errors import Problem
from corrosion.foundation.units import DAY
from corrosion.records.dates import When
from corrosion.records.folder.columns import BerthRow, FaultRow, GaugingRow
from corrosion.records.folder.folder_tables import Tables
from corrosion.records.folder.row import Row, date_fields

_FOREVER: Final = 1e15  # s
_AHEAD: Final = DAY  # ship's time may run ahead of the clock of this computer
_PAIRS: Final = (
    ("last_good", "found"),
    ("found", "cleared"),
    ("found", "isolated"),
    ("isolated", "cleared"),
)
_PLANS: Final = ("next_docking", "from", "to", "date")
"""Columns in which a date may lie in the future, of berths.csv and works.csv."""


def impossible_dates(tables: Tables) -> Iterator[Problem]:
    """Yield every date that cannot stand where it does."""
    for fault in tables.faults:
        yield from (problem for problem, sure in _swapped(fault) if sure)
    yield from _before_built(tables)
    for berth in tables.berths:
        if berth.start and berth.end and _surely(berth.end, berth.start) >= 0.0:
            yield berth.finding("stay ends first")
    yield from _overlaps(tables)


def doubtful_dates(tables: Tables, now: float) -> Iterator[Problem]:
    """Yield every date that stands doubtfully.

    ``now``: today, from 1970-01-01. [s]
    """
    for fault in tables.faults:
        yield from (problem for problem, sure in _swapped(fault) if not sure)
    for row, column, when in _dates(tables):
        plan = column in _PLANS and not isinstance(row, GaugingRow)
        if not plan and when.earliest > now + _AHEAD:
            yield row.finding("date to come", key=column, when=when)
    docking = tables.file.ship.next_docking
    yield from tables.file.ship.findings(
        {
            "docking not told": docking is None,
            "docking passed": docking and docking.latest < now,
        }
    )
    yield from _gaps(tables)


def _surely(earlier: When, later: When) -> float:
    """Return the time [s] that surely lies between; negative: they may meet."""
    return later.earliest - earlier.latest


def _swapped(row: FaultRow) -> Iterator[tuple[Problem, bool]]:
    """Yield dates the wrong way round, and whether by more than their widths."""
    for before, after in _PAIRS:
        early: When | None = getattr(row, before)
        late: When | None = getattr(row, after)
        if early is None or late is None:
            continue
        gap = _surely(late, early)
        if gap >= 0.0:
            cells = {"key": after, "before": before, "early": early, "late": late}
            sure = gap >= max(early.width, late.width)
            yield row.finding("dates exchanged", **cells), sure


def _dates(tables: Tables) -> Iterator[tuple[Row, str, When]]:
    rows: tuple[tuple[Row, ...], ...] = (
        (tables.file.ship,),
        tables.zones or (),
        tables.faults,
        tables.berths,
        tables.gaugings,
        tables.readings,
        tables.works,
        tables.anodes,
        tables.potentials,
        *tables.hunts.values(),
    )
    for table in rows:
        for row in table:
            for name, column in date_fields(type(row)):
                if (when := getattr(row, name)) is not None:
                    yield row, column, when


def _before_built(tables: Tables) -> Iterator[Problem]:
    built = tables.file.ship.built
    for row, column, when in _dates(tables):
        if column != "built" and _surely(when, built) >= 0.0:
            cells = {"key": column, "when": when, "built": built}
            yield row.finding("before she was built", **cells)


def in_order(berths: Iterable[BerthRow]) -> list[BerthRow]:
    """Return stays in the order in which she can have lain there.

    Of two stays that do not overlap, both the beginning and the end of one come first,
    so the sum of the middles of what was written orders them, however wide it is.
    """
    return sorted(berths, key=lambda row: _middle(row.start, -1) + _middle(row.end, 1))


def _middle(when: When | None, side: int) -> float:
    ends = when is not None and isfinite(when.earliest)
    return when.middle if when is not None and ends else side * _FOREVER


def _stays(tables: Tables) -> Iterator[tuple[BerthRow, BerthRow]]:
    """Yield each stay with the one before it that ends last."""
    last: BerthRow | None = None
    for stay in in_order(tables.berths):
        if last is not None:
            yield last, stay
        if last is None or _end(stay) > _end(last):
            last = stay


def _end(row: BerthRow) -> float:
    return row.end.earliest if row.end else inf


def _overlaps(tables: Tables) -> Iterator[Problem]:
    for before, stay in _stays(tables):
        start = stay.start.latest if stay.start else -inf
        if start < _end(before):
            since = stay.start.text if stay.start else "blank"
            until = f"to {before.end.text}" if before.end else "on, with no end"
            cells = {"since": since, "until": until, "line": before.line}
            yield stay.finding("two berths at once", **cells)


def _gaps(tables: Tables) -> Iterator[Problem]:
    for before, stay in _stays(tables):
        if stay.start and before.end and _surely(before.end, stay.start) > 0.0:
            yield stay.finding("gap between berths", other=before)
