"""Tables of gauging: the plan, its days, gaugings against the estimate."""

from collections.abc import Mapping, Sequence
from typing import TYPE_CHECKING, Any

from corrosion.foundation.json_values import rows
from corrosion.presentation import format as fmt
from corrosion.presentation.tables.table import (
    NUMBER,
    WORD,
    Row,
    Table,
    chance,
    interval,
    made,
    number,
    scaled,
    text,
)

if TYPE_CHECKING:
    import pandas as pd


def plan(found: Mapping[str, Any] | None) -> Table:
    """Return the zones to gauge with the hours at hand."""
    return Table(
        name="plan",
        caption="Zones to gauge, the most value an hour first",
        columns=(
            text("Zone", "zone", WORD),
            text("Where", "name"),
            text("Access", "access", WORD),
            text("Needs", "needs"),
            made("Time (h)", lambda row: f"{row['hours']:g}", NUMBER),
            made("Readings", lambda row: str(row["readings"]), NUMBER),
            made("Last gauged", lambda row: row["last_gauged"] or "never"),
            chance("Below limit today", "chance_now"),
            chance("At the docking", "chance_below_limit"),
            chance("Changes the decision", "decision_changes"),
            number("Value", "value"),
        ),
        rows=[] if found is None else found["rows"],
    )


def days(found: Mapping[str, Any] | None) -> Table:
    """Return the plan day by day."""
    each = [] if found is None else found["days"]
    return Table(
        name="plan-days",
        caption="The plan, day by day",
        columns=(
            made("Day", lambda row: str(row["day"]), WORD),
            text("Access", "access", WORD),
            made("Zones", lambda row: ", ".join(row["zones"])),
            made("Time (h)", lambda row: f"{row['hours']:g}", NUMBER),
        ),
        rows=each,
        full=lambda: _with_zones(each),
    )


def _with_zones(each: Sequence[Row]) -> "pd.DataFrame":
    import pandas as pd  # noqa: PLC0415 - slow, and nothing printed needs it

    return pd.DataFrame([{**row, "zones": ", ".join(row["zones"])} for row in each])


def gaugings(table: "pd.DataFrame") -> Table:
    """Return every gauging beside what the records alone had predicted."""
    return Table(
        name="gaugings",
        caption="Gaugings against the estimate made without them",
        columns=(
            text("Zone", "zone", WORD),
            text("Date", "date", WORD),
            text("Kind", "kind", WORD),
            scaled("Gauged", _gauged, "mm"),
            interval("Predicted", "predicted_mm", "mm"),
            number("Apart (standard deviations)", "deviations", digits=2),
            made(
                "In words",
                lambda row: "disagrees" if row["disagrees"] else "as predicted",
                marked=lambda row: bool(row["disagrees"]),
            ),
            chance("Chance to be wrong", "chance_wrong"),
            number("Campaign reads too thick by (mm)", "bias_mm", digits=2),
        ),
        rows=rows(table),
        full=lambda: table,
    )


def _gauged(row: Row, factor: float) -> str:
    measured, sd = factor * row["measured_mm"], factor * row["sd_mm"]
    return f"{fmt.number(measured)} ± {fmt.number(sd, 2)}"


def calibrated_thickness(table: "pd.DataFrame") -> Table:
    """Return each gauged zone's thickness before and after the gaugings."""
    return Table(
        name="gaugings-effect",
        caption="What the gaugings changed: zone mean left at the date of the estimate",
        columns=(
            text("Zone", "zone", WORD),
            interval("From the records alone", "before_mm", "mm"),
            interval("With the gaugings", "after_mm", "mm"),
        ),
        rows=rows(table),
        full=lambda: table,
    )
