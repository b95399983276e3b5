"""Tables of gauging: the plan, its days, gaugings against the estimate."""

from collections.abc import Mapping, Sequence
from typing import TYPE_CHECKING, Any

from corrosion.foundation.json_values import rows
from corrosion.presentation import format as fmt
from corrosion.presentation.tables import table as col
from corrosion.presentation.tables.table import Row, Table

if TYPE_CHECKING:
    import pandas as pd


def plan(found: Mapping[str, Any] | None) -> Table:
    """Return the zones to gauge with the hours at hand."""
    return Table(
        name="plan",
        caption="Zones to gauge, the most value an hour first",
        columns=(
            col.text("Zone", "zone", col.WORD),
            col.text("Where", "name"),
            col.text("Access", "access", col.WORD),
            col.text("Needs", "needs"),
            col.made("Time (h)", lambda row: f"{row['hours']:g}", col.NUMBER),
            col.count("Readings", "readings"),
            col.made("Last gauged", lambda row: row["last_gauged"] or "never"),
            col.chance("Below limit today", "chance_now"),
            col.chance("At the docking", "chance_below_limit"),
            col.chance("Changes the decision", "decision_changes"),
            col.number("Value", "value"),
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
            col.made("Day", lambda row: str(row["day"]), col.WORD),
            col.text("Access", "access", col.WORD),
            col.made("Zones", lambda row: ", ".join(row["zones"])),
            col.made("Time (h)", lambda row: f"{row['hours']:g}", col.NUMBER),
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
            col.text("Zone", "zone", col.WORD),
            col.text("Date", "date", col.WORD),
            col.text("Kind", "kind", col.WORD),
            col.scaled("Gauged", _gauged, "mm"),
            col.interval("Predicted", "predicted_mm", "mm"),
            col.number("Apart (standard deviations)", "deviations", digits=2),
            col.made(
                "In words",
                lambda row: "disagrees" if row["disagrees"] else "as predicted",
                marked=lambda row: bool(row["disagrees"]),
            ),
            col.chance("Chance to be wrong", "chance_wrong"),
            col.number("Campaign reads too thick by (mm)", "bias_mm", digits=2),
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
            col.text("Zone", "zone", col.WORD),
            col.interval("From the records alone", "before_mm", "mm"),
            col.interval("With the gaugings", "after_mm", "mm"),
        ),
        rows=rows(table),
        full=lambda: table,
    )
