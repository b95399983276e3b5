"""Tables of what-ifs: faults cleared sooner, other measures, how long faults stand."""

from collections.abc import Sequence
from typing import TYPE_CHECKING, Any, Final

from corrosion.presentation import format as fmt
from corrosion.presentation.tables import table as col
from corrosion.presentation.tables.table import Column, Row, Table

if TYPE_CHECKING:
    import pandas as pd

_AFTER_H: Final = (1.0, 4.0, 12.0, 24.0, 72.0, 168.0, 672.0, 8766.0)
_KEPT: Final = (
    col.interval("Steel kept", "saved_kg", "kg"),
    col.interval("Stray loss then", "stray_kg", "kg"),
    col.number("Zones below limit, expected", "zones_below_limit"),
    col.text("Most kept in", "most_kept_zone", col.WORD),
    col.interval("Depth kept there", "most_kept_mm", "mm"),
    col.interval("Kept of the ceiling", "saved_ceiling_kg", "kg"),
    col.interval(
        "Faults' time spared", "fault_hours_saved", "h", on=col.PAGE | col.TERMINAL
    ),
    col.expected("Kept until the docking", "kept_ahead_kg", "kg"),
    col.number("Second faults until then, expected", "second_faults"),
)
_MONEY: Final = (
    ("saved_money", col.expected("Worth at her price", "saved_money")),
    (
        "spared_renewal_money",
        col.number("Renewal spared, expected", "spared_renewal_money"),
    ),
)


def limits(rows: Sequence[Row]) -> Table:
    """Return what clearing every fault within limits would have kept."""
    return Table(
        name="isolation",
        caption="Had every fault been cleared within a limit of being found",
        columns=(
            col.made(
                "Cleared within",
                lambda row: fmt.duration(row["within_hours"]),
                col.WORD,
            ),
            *_kept(rows),
        ),
        rows=[_with_ahead(row) for row in rows],
    )


def measures(rows: Sequence[Row]) -> Table:
    """Return what other measures would have kept, each alone."""
    return Table(
        name="measures",
        caption="Other measures, each alone and all the time",
        columns=(
            col.text("Measure", "measure"),
            col.text("Needs", "needs"),
            *_kept(rows),
        ),
        rows=[_with_ahead(row) for row in rows],
    )


def _with_ahead(row: Row) -> Row:
    """Return the row with what lies ahead beside what lies behind."""
    ahead = row["from_now"]
    return {
        **row,
        "kept_ahead_kg": ahead["kept_kg"],
        "second_faults": ahead["second_faults"]["another_conductor"],
    }


def _kept(rows: Sequence[Row]) -> tuple[Column, ...]:
    priced = [column for key, column in _MONEY if any(key in row for row in rows)]
    return (*_KEPT, *priced)


def durations(curve: Sequence[Sequence[Any]]) -> Table:
    """Return the share of faults that still stood after some times."""
    rows = []
    for hours in _AFTER_H:
        reached = [step for step in curve if step[0] <= hours]
        if reached:
            _, share, low, high = reached[-1]
            rows.append({"after": hours, "share": share, "low": low, "high": high})
    return Table(
        name="durations",
        caption="Share of the ground faults still standing after being found",
        columns=(
            col.made("After", lambda row: fmt.duration(row["after"]), col.WORD),
            col.percent("Still standing", "share"),
            col.made("95 % interval", _band, col.NUMBER),
        ),
        rows=rows,
        full=lambda: _whole(curve),
    )


def _whole(curve: Sequence[Sequence[Any]]) -> "pd.DataFrame":
    import pandas as pd  # noqa: PLC0415 - slow, and nothing printed needs it

    heads = ["hours", "share_standing", "low", "high"]
    return pd.DataFrame(list(curve), columns=heads)


def _band(row: Row) -> str:
    if row["low"] is None or row["high"] is None:
        return fmt.NOT_KNOWN
    return f"{fmt.percent(row['low'])} to {fmt.percent(row['high'])}"
