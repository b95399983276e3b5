"""Faults and berths arranged in time, for screen and report."""

from dataclasses import dataclass
from typing import Any

import numpy as np
import numpy.typing as npt
import pandas as pd

from corrosion.foundation.json_values import rows_of
from corrosion.presentation import format as fmt
from corrosion.presentation.figures.lanes import lines_of

Moments = npt.NDArray[np.datetime64]


@dataclass(frozen=True, slots=True, kw_only=True)
class Bar:
    """One fault: it may have stood from ``start``, stood from ``found`` to ``end``."""

    row: float  # its height on paper, rows counted downwards
    start: np.datetime64  # its beginning, by the estimate
    found: np.datetime64
    end: np.datetime64  # when cleared, or the present
    fault: str  # id
    current: str  # its kind
    standing: bool  # whether it still stands
    text: str  # what hovering tells


@dataclass(frozen=True, slots=True, kw_only=True)
class Berthing:
    """One berth: its time, its supply, and the words that fit into it."""

    start: np.datetime64
    end: np.datetime64
    supply: str
    words: str
    text: str


@dataclass(frozen=True, slots=True, kw_only=True)
class Schedule:
    """Everything that is drawn, arranged."""

    bars: tuple[Bar, ...]  # system by system; what stood together on rows of its own
    systems: tuple[tuple[str, float], ...]  # names, and the middle of their rows
    berths: tuple[Berthing, ...]  # berths, drawn in one band at ``rows + 0.5``
    rows: float  # rows that the faults take
    start: np.datetime64  # ends of the time axis
    end: np.datetime64


def schedule(
    faults: pd.DataFrame, berths: pd.DataFrame, letters: int = 150
) -> Schedule:
    """Return where every fault and berth is drawn.

    Parameters
    ----------
    faults : DataFrame
        ``fault``, ``system``, ``circuit``, ``zone``, ``current``, ``standing`` and
        the datetimes ``start`` (its beginning, by the estimate), ``found_at`` and
        ``end``.
    berths : DataFrame
        ``berth``, ``supply`` and the datetimes ``start`` and ``end``.
    letters : int, optional
        That fit across the drawing.
    """
    start, end = _reach(faults, berths)
    whole = _seconds(end - start)
    names = max([len(str(name)) for name in faults["fault"]], default=0)
    # The name of a fault stands left of its bar: the axis begins earlier by as much
    # time as the longest name takes on paper.
    start -= np.timedelta64(round(whole * (names + 1.0) / letters), "s")
    bars: list[Bar] = []
    systems: list[tuple[str, float]] = []
    row = 0.0
    named = faults.assign(system=faults["system"].fillna("other"))
    for system, some in named.groupby("system", sort=False):
        # Faults that overlapped lie on separate lines; a bar holds its line until the
        # name of the next one fits behind it.
        lines = lines_of(
            np.array([_seconds(m - start) for m in _moments(some, "start")]),
            np.array([_seconds(m - start) for m in _moments(some, "end")])
            + whole * (names + 3.0) / letters,  # room for the name of the next
        )
        for entry, line in zip(rows_of(some), lines, strict=True):
            bars.append(_bar(entry, row + float(line)))
        height = float(lines.max()) + 1.0
        systems.append((str(system), row + 0.5 * (height - 1.0)))
        row += height + 0.5
    return Schedule(
        bars=tuple(bars),
        systems=tuple(systems),
        berths=tuple(
            _berthing(entry, (start, end), letters) for entry in rows_of(berths)
        ),
        rows=row,
        start=start,
        end=end,
    )


def _bar(entry: dict[str, Any], row: float) -> Bar:
    start, found, end = (_moment(entry[key]) for key in ("start", "found_at", "end"))
    standing = bool(entry["standing"])
    ends = "still standing" if standing else f"cleared {fmt.day(end)}"
    where = entry["zone"] if isinstance(entry["zone"], str) else "place not found"
    circuit = entry["circuit"] if isinstance(entry["circuit"], str) else "no circuit"
    text = (
        f"<b>{entry['fault']}</b> {entry['system']}, {circuit}, {where}<br>"
        f"may have begun {fmt.day(start)}<br>"
        f"found {fmt.day(found)}, {ends}"
    )
    return Bar(
        row=row,
        start=start,
        found=found,
        end=end,
        fault=str(entry["fault"]),
        current=str(entry["current"]),
        standing=standing,
        text=text,
    )


def _berthing(
    entry: dict[str, Any], axis: tuple[np.datetime64, np.datetime64], letters: int
) -> Berthing:
    start, end = _moment(entry["start"]), _moment(entry["end"])
    seen = _seconds(min(end, axis[1]) - max(start, axis[0]))
    words = f"{entry['berth']}: {entry['supply']}"
    room = letters * seen / _seconds(axis[1] - axis[0])
    fits = [text for text in (words, str(entry["supply"])) if len(text) < room]
    return Berthing(
        start=start,
        end=end,
        supply=str(entry["supply"]),
        words=fits[0] if fits else "",
        text=f"{words}<br>{fmt.day(start)} to {fmt.day(end)}",
    )


def _moment(cell: object) -> np.datetime64:
    return np.datetime64(str(cell), "s")


def _moments(table: pd.DataFrame, name: str) -> Moments:
    return table[name].to_numpy(dtype="datetime64[s]")


def _seconds(length: np.timedelta64) -> float:
    return float(length / np.timedelta64(1, "s"))


def _reach(
    faults: pd.DataFrame, berths: pd.DataFrame
) -> tuple[np.datetime64, np.datetime64]:
    """Return the ends of the time axis: all faults, and berths where there are none."""
    some = berths if faults.empty else faults
    if some.empty:
        return np.datetime64("2000-01-01", "s"), np.datetime64("2001-01-01", "s")
    start, end = _moments(some, "start").min(), _moments(some, "end").max()
    room = max((end - start) // 60, np.timedelta64(3600, "s"))
    return start - room, end + room


def schedule_words(plan: Schedule) -> str:
    """Return in one sentence what a timeline shows."""
    if not plan.bars:
        return f"No faults; {len(plan.berths)} berths."
    standing = sum(bar.standing for bar in plan.bars)
    first, last = min(b.start for b in plan.bars), max(b.end for b in plan.bars)
    return (
        f"{len(plan.bars)} faults between {fmt.day(first)} and "
        f"{fmt.day(last)}, {standing} still standing, with "
        f"{len(plan.berths)} berths beneath."
    )
