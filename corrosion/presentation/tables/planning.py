"""Tables of gauging: the plan, its days, gaugings against the estimate."""

from collections.abc import Mapping, Sequence
from typing import TYPE_CHECKING, Any

from corrosion.foundation.json_values import rows_of
from corrosion.presentation import format as fmt
from corrosion.presentation.tables.table import Row, Table, table

if TYPE_CHECKING:
    import pandas as pd


def plan(found: Mapping[str, Any] | None) -> Table:
    """Return the zones to gauge with the hours at hand."""
    rows = [] if found is None else found["rows"]
    return table("plan", rows)


def days(found: Mapping[str, Any] | None) -> Table:
    """Return the plan day by day."""
    each = [] if found is None else found["days"]
    return table("plan-days", each, lambda: _with_zones(each))


def _with_zones(each: Sequence[Row]) -> "pd.DataFrame":
    import pandas as pd  # noqa: PLC0415 - slow, and seldom needed

    return pd.DataFrame([{**row, "zones": ", ".join(row["zones"])} for row in each])


def gaugings(found: "pd.DataFrame") -> Table:
    """Return every gauging beside what the records alone had predicted."""
    return table(
        "gaugings",
        rows_of(found),
        lambda: found,
        cell={"measured_mm": _gauged, "disagrees": _disagrees},
        marked={"disagrees": lambda row: bool(row["disagrees"])},
    )


def _gauged(row: Row, factor: float) -> str:
    measured, sd = factor * row["measured_mm"], factor * row["sd_mm"]
    return f"{fmt.number(measured)} ± {fmt.number(sd, 2)}"


def _disagrees(row: Row) -> str:
    return "disagrees" if row["disagrees"] else "as predicted"


def calibrated_thickness(found: "pd.DataFrame") -> Table:
    """Return each gauged zone's thickness before and after the gaugings."""
    return table("gaugings-effect", rows_of(found), lambda: found)
