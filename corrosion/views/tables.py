"""Tables as people read them: few columns, intervals in the cells, words."""

from collections.abc import Mapping, Sequence
from typing import Any, Final

import pandas as pd

from corrosion.figures import numbers
from corrosion.figures.tables import rows_of
from corrosion.words import number, percent

__all__ = ["fault_rows", "planned", "ranking", "total_rows", "zone_facts"]

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
    return numbers.interval(mean, low, high, unit)


def ranking(zones: pd.DataFrame) -> pd.DataFrame:
    """Return the zones as ranked, with what makes them urgent."""
    return pd.DataFrame(
        [
            {
                "No.": row["rank"],
                "Zone": row["zone"],
                "Where": row["name"],
                "Chance below limit": numbers.chance(row["chance_below_limit"]),
                "Gauge by": row["inspect_by"] or "later",
                "Left": spread(row, "left_mm", "mm", "p50"),
                "Limit": numbers.mm(row["limit_mm"]),
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
            "Mean": numbers.quantity(totals[stem]["mean"], unit),
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
        ("Chance below a limit at next docking", percent(row["chance_below_limit"])),
        ("Gauge by", row["inspect_by"] or "after the years looked at"),
        ("Built", numbers.mm(row["built_mm"])),
        ("Left, mean of the zone", spread(row, "left_mm", "mm", "p50")),
        ("Limit of the zone", numbers.mm(row["limit_mm"])),
        ("Deepest pit", spread(row, "deepest_mm", "mm", "p50")),
        ("Left under it", spread(row, "left_under_pit_mm", "mm", "p50")),
        ("Limit under a pit", numbers.mm(row["pit_limit_mm"])),
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


def fault_rows(faults: Sequence[Mapping[str, Any]]) -> pd.DataFrame:
    """Return the faults of the answer on leakage as people read them."""
    return pd.DataFrame(
        [
            {
                "Fault": row["fault"],
                "Resistance": _ohms(row["resistance_ohm"]),
                "Into the hull": _interval(row["amps"], "A"),
                "Crosses the water": percent(row["water_share"]["mean"]),
                "Lamps": ", ".join(f"{k} {v}" for k, v in row["lamps"].items())
                or "none",
                "In words": row["reading"],
            }
            for row in faults
        ]
    )


def _ohms(spread_of: Mapping[str, float | None]) -> str:
    if spread_of["p50"] is None:
        return "none: a measured current"
    low, middle, high = (spread_of[key] or 0.0 for key in ("p10", "p50", "p90"))
    return f"{numbers.ohms(middle)} ({numbers.ohms(low, 2)} to {numbers.ohms(high, 2)})"


def _interval(values: Mapping[str, float | None], unit: str) -> str:
    mean, low, high = (values[key] for key in ("mean", "p10", "p90"))
    if mean is None or low is None or high is None:
        return numbers.NOT_KNOWN
    return numbers.interval(mean, low, high, unit)
