"""Answers as people read them: the commands' objects as tables with words."""

from collections.abc import Mapping, Sequence
from typing import Any

import pandas as pd

from corrosion.presentation import format
from corrosion.presentation.figures.durations import duration
from corrosion.presentation.figures.tables import rows_of
from corrosion.presentation.sentences import number, percent, spread

__all__ = [
    "berth_rows",
    "fault_rows",
    "hunt_rows",
    "leaving_rows",
    "limit_rows",
    "measure_rows",
]


def fault_rows(faults: Sequence[Mapping[str, Any]]) -> pd.DataFrame:
    """Return the faults of the answer on leakage as people read them."""
    return pd.DataFrame(
        [
            {
                "Fault": row["fault"],
                "State": "standing" if row["standing"] else "cleared",
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


def limit_rows(rows: Sequence[Mapping[str, Any]]) -> pd.DataFrame:
    """Return what each limit would have kept."""
    return pd.DataFrame(
        [
            {"Cleared within": duration(row["within_hours"]), **_kept(row)}
            for row in rows
        ]
    )


def measure_rows(rows: Sequence[Mapping[str, Any]]) -> pd.DataFrame:
    """Return what each measure would have kept."""
    return pd.DataFrame([{"Measure": row["measure"], **_kept(row)} for row in rows])


def hunt_rows(order: Sequence[Mapping[str, Any]]) -> pd.DataFrame:
    """Return the order of opening."""
    return pd.DataFrame(
        [
            {
                "No.": place,
                "Circuit": row["circuit"],
                "What": "panel" if row["opened_first"] else "circuit",
                "Fed from": row["fed_from"] or "switchboard",
                "Chance": percent(row["chance"]),
                "Minutes": number(row["minutes"]),
                "Ask first": row["permission"] or "nobody",
            }
            for place, row in enumerate(order, 1)
        ]
    )


def leaving_rows(rows: pd.DataFrame) -> pd.DataFrame:
    """Return what leaves each zone into the water, the most first."""
    some = rows[rows["leaving_ma"] != 0.0].sort_values("leaving_ma", ascending=False)
    return pd.DataFrame(
        [
            {
                "Zone": row["zone"],
                "Where": row["name"],
                "Current": format.quantity(abs(row["leaving_ma"]), "mA"),
                "Which way": "leaves the steel" if row["leaving_ma"] > 0 else "enters",
                "A square metre": format.quantity(
                    abs(row["density_ma_per_m2"]), "mA/m²"
                ),
            }
            for row in rows_of(some)
        ]
    )


def berth_rows(berths: Sequence[Mapping[str, Any]]) -> pd.DataFrame:
    """Return what crosses the water at each berth."""
    return pd.DataFrame(
        [
            {
                "From": row["from"] or "the beginning",
                "Berth": row["berth"],
                "Supply": row["supply"],
                "Least": percent(min(row["water_share"].values())),
                "Most": percent(max(row["water_share"].values())),
                "Couple drives": _interval(row["couple_amps"], "A"),
            }
            for row in berths
        ]
    )


def _kept(row: Mapping[str, Any]) -> dict[str, str]:
    """Return what a limit or measure would have kept, as people read it."""
    money = {}
    if "saved_money" in row:
        money["Worth at her price"] = spread(row["saved_money"])
    if "spared_renewal_money" in row:
        money["Renewal spared"] = number(row["spared_renewal_money"])
    return {
        "Steel kept": _interval(row["saved_kg"], "kg"),
        "Stray loss then": _interval(row["stray_kg"], "kg"),
        "Kept of the ceiling": format.kg(row["saved_ceiling_kg"]["mean"]),
        "Hours of faults spared": number(row["fault_hours_saved"]["mean"]),
        "Zones below a limit, expected": number(row["zones_below_limit"]),
        "Most kept": (
            f"{row['most_kept_zone']}, {format.mm(row['most_kept_mm']['mean'])}"
        ),
        **money,
    }


def _ohms(spread_of: Mapping[str, float | None]) -> str:
    if spread_of["p50"] is None:
        return "none: a measured current"
    low, middle, high = (spread_of[key] or 0.0 for key in ("p10", "p50", "p90"))
    return f"{format.ohms(middle)} ({format.ohms(low, 2)} to {format.ohms(high, 2)})"


def _interval(values: Mapping[str, float | None], unit: str) -> str:
    mean, low, high = (values[key] for key in ("mean", "p10", "p90"))
    if mean is None or low is None or high is None:
        return format.NOT_KNOWN
    return format.interval(mean, low, high, unit)
