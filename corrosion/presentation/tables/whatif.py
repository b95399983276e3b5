"""Tables of what-ifs: faults cleared sooner, other measures, how long faults stand."""

from collections.abc import Sequence
from typing import TYPE_CHECKING, Any, Final

from corrosion.presentation import format as fmt
from corrosion.presentation.tables.table import Row, Table, table

if TYPE_CHECKING:
    import pandas as pd

_AFTER_H: Final = (1.0, 4.0, 12.0, 24.0, 72.0, 168.0, 672.0, 8766.0)
_MONEY: Final = ("saved_money", "spared_renewal_money")


def limits(rows: Sequence[Row]) -> Table:
    """Return what clearing every fault within limits would have kept."""
    return _kept("isolation", rows)


def measures(rows: Sequence[Row]) -> Table:
    """Return what other measures would have kept, each alone."""
    return _kept("measures", rows)


def _kept(name: str, rows: Sequence[Row]) -> Table:
    """Return what was kept, in money too where a price is written."""
    priced = [key for key in _MONEY if any(key in row for row in rows)]
    return table(name, [_with_ahead(row) for row in rows], of=(name, "kept", *priced))


def _with_ahead(row: Row) -> Row:
    """Return the row with what lies ahead beside what lies behind."""
    ahead = row["from_now"]
    return {
        **row,
        "kept_ahead_kg": ahead["kept_kg"],
        "second_faults": ahead["second_faults"]["another_conductor"],
    }


def durations(curve: Sequence[Sequence[Any]]) -> Table:
    """Return the share of faults that still stood after some times."""
    rows = []
    for hours in _AFTER_H:
        reached = [step for step in curve if step[0] <= hours]
        if reached:
            _, share, low, high = reached[-1]
            rows.append({"after": hours, "share": share, "low": low, "high": high})
    return table("durations", rows, lambda: _whole(curve), cell={"low": _band})


def _whole(curve: Sequence[Sequence[Any]]) -> "pd.DataFrame":
    import pandas as pd  # noqa: PLC0415 - slow, and nothing printed needs it

    heads = ["hours", "share_standing", "low", "high"]
    return pd.DataFrame(list(curve), columns=heads)


def _band(row: Row) -> str:
    if row["low"] is None or row["high"] is None:
        return fmt.NOT_KNOWN
    return f"{fmt.percent(row['low'])} to {fmt.percent(row['high'])}"
