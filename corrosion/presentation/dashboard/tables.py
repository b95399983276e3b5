"""Tables as people read them: few columns, intervals in the cells, words."""

from collections.abc import Mapping, Sequence
from typing import Any, Final

import pandas as pd

from corrosion.foundation.assumptions import Assumptions
from corrosion.presentation import format
from corrosion.presentation.figures.tables import rows_of
from corrosion.presentation.sentences import number, percent

__all__ = [
    "assumption_rows",
    "fleet_rows",
    "gauging_rows",
    "planned",
    "ranking",
    "spread",
    "taught_rows",
    "total_rows",
    "zone_facts",
]

CAUSES: Final[Mapping[str, str]] = {
    "stray": "stray current from faults",
    "natural": "natural corrosion",
    "shore couple": "couple with the shore earth",
}

_TOTALS: Final = (
    ("stray_kg", "Steel that stray currents took", "kg"),
    ("couple_kg", "of it, by the couple with the shore earth", "kg"),
    ("natural_kg", "Steel that natural corrosion took", "kg"),
    ("ceiling_kg", "Ceiling: were every ampere to dissolve steel", "kg"),
    ("charge_ah", "Charge that reached the hull", "Ah"),
)


def spread(row: Mapping[str, Any], stem: str, unit: str, middle: str = "mean") -> str:
    """Return a quantity of a table's row with its interval and unit."""
    mean, low, high = (float(row[f"{stem}_{key}"]) for key in (middle, "p10", "p90"))
    return format.interval(mean, low, high, unit)


def ranking(zones: pd.DataFrame) -> pd.DataFrame:
    """Return the zones as ranked, with what makes them urgent."""
    return pd.DataFrame(
        [
            {
                "No.": row["rank"],
                "Zone": row["zone"],
                "Where": row["name"],
                "Chance below limit": percent(row["chance_below_limit"]),
                "Gauge by": row["inspect_by"] or "later",
                "Left": spread(row, "left_mm", "mm", "p50"),
                "Limit": format.mm(row["limit_mm"]),
                "Left under the deepest pit": spread(
                    row, "left_under_pit_mm", "mm", "p50"
                ),
                "Lost to stray current": spread(row, "stray_kg", "kg"),
                "Lost naturally": spread(row, "natural_kg", "kg"),
                "Most of it": CAUSES[row["leading_cause"]],
                "Leading fault": row["leading_fault"] or "none",
                "Reached from": row["access"],
            }
            for row in rows_of(zones)
        ]
    )


def total_rows(totals: Mapping[str, Mapping[str, float]]) -> pd.DataFrame:
    """Return the ship's totals in words and numbers."""
    rows = [
        {
            "What": words,
            "Mean": format.quantity(totals[stem]["mean"], unit),
            "Four estimates in five": (
                f"{number(totals[stem]['p10'])} to {number(totals[stem]['p90'])} {unit}"
            ),
        }
        for stem, words, unit in _TOTALS
    ]
    share = totals["water_share"]
    rows.append(
        {
            "What": "Share of that charge that crossed the water",
            "Mean": percent(share["mean"]),
            "Four estimates in five": (
                f"{percent(share['p10'])} to {percent(share['p90'])}"
            ),
        }
    )
    return pd.DataFrame(rows)


def zone_facts(row: Mapping[str, Any]) -> list[tuple[str, str]]:
    """Return what is known of one zone, as pairs of words and numbers."""
    fault = row["leading_fault"]
    return [
        ("Chance below limit", percent(row["chance_below_limit"])),
        ("Gauge by", row["inspect_by"] or "after the years looked at"),
        ("Built", format.mm(row["built_mm"])),
        ("Left, mean of the zone", spread(row, "left_mm", "mm", "p50")),
        ("Limit of the zone", format.mm(row["limit_mm"])),
        ("Deepest pit", spread(row, "deepest_mm", "mm", "p50")),
        ("Left under it", spread(row, "left_under_pit_mm", "mm", "p50")),
        ("Limit under a pit", format.mm(row["pit_limit_mm"])),
        ("Bare steel", f"{percent(row['bare_share'])} of {number(row['area_m2'])} m²"),
        ("Lost at bare steel", spread(row, "bare_loss_mm", "mm")),
        ("of it by stray current", spread(row, "stray_mm", "mm")),
        ("Steel lost to stray current", spread(row, "stray_kg", "kg")),
        ("Steel lost naturally", spread(row, "natural_kg", "kg")),
        ("Most of the loss is", CAUSES[row["leading_cause"]]),
        ("Fault that took most", fault or "none"),
        (
            "Consequence, access",
            (
                f"{row['consequence']} of 5, {row['access']}, "
                f"{number(row['gauge_hours'])} h to gauge"
            ),
        ),
    ]


def planned(rows: Sequence[Mapping[str, Any]]) -> pd.DataFrame:
    """Return the zones of a plan as people read them."""
    return pd.DataFrame(
        [
            {
                "Zone": row["zone"],
                "Where": row["name"],
                "Reached from": row["access"],
                "Hours": number(row["hours"]),
                "Readings to take": str(row["readings"]),
                "Chance below limit": percent(row["chance_below_limit"]),
            }
            for row in rows
        ]
    )


def gauging_rows(rows: pd.DataFrame) -> pd.DataFrame:
    """Return each gauging beside what was foreseen, the least expected first."""
    worst = rows["deviations"].abs().sort_values(ascending=False).index
    return pd.DataFrame(
        [
            {
                "Zone": row["zone"],
                "Date": row["date"],
                "Measured": f"{format.mm(row['measured_mm'])} ({row['kind']})",
                "Foreseen": spread(row, "predicted_mm", "mm", "p50"),
                "Off by": f"{row['deviations']:+.1f} standard deviations",
            }
            for row in rows_of(rows.loc[worst])
        ]
    )


def taught_rows(rows: pd.DataFrame) -> pd.DataFrame:
    """Return each gauged zone's thickness before and after the gaugings."""
    return pd.DataFrame(
        [
            {
                "Zone": row["zone"],
                "From the records alone": spread(row, "before_mm", "mm", "p50"),
                "With the gaugings": spread(row, "after_mm", "mm", "p50"),
                "Samples behind it": number(row["effective"]),
            }
            for row in rows_of(rows)
        ]
    )


def fleet_rows(ships: pd.DataFrame) -> pd.DataFrame:
    """Return the ships of a fleet, the one with the worst zone first."""
    return pd.DataFrame(
        [
            {
                "No.": row["rank"],
                "Ship": row["ship"],
                "Worst zone": f"{row['worst_zone']}: {row['worst_name']}",
                "Chance below limit": percent(row["chance_below_limit"]),
                "Gauge by": row["inspect_by"] or "later",
                "Zones due now": f"{row['zones_due']} of {row['zones']}",
                "Due by her docking": str(row["zones_due_by_docking"]),
                "Steel lost a year, mean": format.kg(row["steel_kg_a_year"]),
                "Lost to stray current, mean": format.kg(row["stray_kg"]),
                "Lost naturally, mean": format.kg(row["natural_kg"]),
                "Doubts": row["warnings"],
            }
            for row in rows_of(ships)
        ]
    )


def assumption_rows(assumptions: Assumptions) -> pd.DataFrame:
    """Return the table of assumptions, what the ship states herself first."""
    return pd.DataFrame(
        [
            {
                "Name": row.name,
                "Stands for": row.meaning,
                "Median": f"{row.median:g}",
                "Spread": "fixed"
                if row.geometric_sd == 1.0
                else number(row.geometric_sd),
                "Unit": row.unit,
                "Source": row.source,
                "Standing": row.status,
                "Restated, because": row.source if row.overridden else "",
            }
            for row in sorted(assumptions.rows, key=lambda row: not row.overridden)
        ]
    )
