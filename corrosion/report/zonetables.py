"""The report's tables of zones: totals, ranking, plan, gaugings."""

from collections.abc import Mapping
from typing import Any, Final

import pandas as pd

from corrosion import basis
from corrosion.estimate import Estimate
from corrosion.report.bars import interval_bar, margin_bar
from corrosion.report.table import Cell, Table
from corrosion.results import records
from corrosion.words import number, percent, spread

__all__ = ["days", "gaugings", "plan", "ranking", "taught", "totals"]

_TOTALS: Final = {
    "stray_kg": ("Steel that stray currents took", "kg"),
    "couple_kg": ("of it, by the couple with the shore earth", "kg"),
    "natural_kg": ("Steel that natural corrosion took", "kg"),
    "ceiling_kg": ("Ceiling: were every ampere of the faults to dissolve steel", "kg"),
    "charge_ah": ("Charge that the faults brought to the hull", "Ah"),
    "water_share": ("Share of that charge that crossed the water", "share"),
}
_LIKELY: Final = 0.1


def totals(result: Estimate) -> Table:
    """Return the ship's totals."""
    rows, full = [], []
    for name, (words, unit) in _TOTALS.items():
        values = result.totals[name]
        told = percent if unit == "share" else number
        rows.append(
            [
                words,
                told(values["mean"]),
                f"{told(values['p10'])} to {told(values['p90'])}",
                "" if unit == "share" else unit,
            ]
        )
        full.append({"quantity": name, "what": words, "unit": unit, **values})
    return Table(
        name="totals",
        caption="The ship as a whole, up to the date of the estimate",
        heads={"What": False, "Mean": True, "Four in five": True, "Unit": False},
        rows=rows,
        full=pd.DataFrame(full),
    )


def ranking(result: Estimate) -> Table:
    """Return the zones in order of priority, with intervals drawn in the cells."""
    zones = records(result.zones)
    top = max((z["stray_kg_p90"] for z in zones), default=0.0)
    return Table(
        name="ranking",
        caption="Zones, the most urgent first; mean, and p10 to p90 in brackets",
        heads={
            "No.": True,
            "Zone": False,
            "Below limit": True,
            "Gauge by": False,
            "Limit to as built": False,
            "Left, mean (mm)": True,
            "Left, deepest pit (mm)": True,
            "Stray loss (kg)": True,
            "Natural loss (kg)": True,
            "Mostly": False,
        },
        rows=[_ranked(z, top) for z in zones],
        full=result.zones,
    )


def _ranked(z: Mapping[str, Any], top: float) -> list[Cell | str]:
    left, pit = (
        tuple(z[f"{stem}_{q}"] for q in ("p10", "p50", "p90"))
        for stem in ("left_mm", "left_under_pit_mm")
    )
    bar = margin_bar(
        left,
        pit,
        built_mm=z["built_mm"],
        limit_mm=z["limit_mm"],
        pit_limit_mm=z["pit_limit_mm"],
    )
    stray = (z[f"stray_kg_{q}"] for q in ("p10", "mean", "p90"))
    frames = f"frames {z['frame_from']:g} to {z['frame_to']:g}, {z['side']}"
    chance = z["chance_below_limit"]
    return [
        str(z["rank"]),
        Cell(z["zone"], f"{z['name']}; {frames}"),
        Cell(percent(chance), marked=chance >= _LIKELY),
        z["inspect_by"] or "later",
        Cell("", drawing=bar),
        Cell(spread(z, "left_mm"), f"limit {number(z['limit_mm'])}"),
        Cell(spread(z, "left_under_pit_mm"), f"limit {number(z['pit_limit_mm'])}"),
        Cell(spread(z, "stray_kg"), drawing=interval_bar(*stray, top=top, unit="kg")),
        number(z["natural_kg_mean"]),
        Cell(z["leading_cause"], f"fault {z['leading_fault'] or '-'}"),
    ]


def plan(found: Mapping[str, Any] | None) -> Table:
    """Return the zones to gauge with the hours at hand."""
    rows = [] if found is None else found["rows"]
    return Table(
        name="plan",
        caption="Zones to gauge, the most value an hour first",
        heads={
            "Zone": False,
            "Where": False,
            "Reached from": False,
            "Hours": True,
            "Readings": True,
            "Below limit": True,
            "Value": True,
        },
        rows=[
            [
                row["zone"],
                row["name"],
                row["access"],
                number(row["hours"]),
                str(row["readings"]),
                percent(row["chance_below_limit"]),
                number(row["value"]),
            ]
            for row in rows
        ],
        full=pd.DataFrame(rows),
    )


def days(found: Mapping[str, Any] | None) -> Table:
    """Return the plan day by day."""
    each = [] if found is None else found["days"]
    return Table(
        name="plan-days",
        caption="The plan, day by day",
        heads={"Day": True, "Reached from": False, "Zones": False, "Hours": True},
        rows=[
            [str(d["day"]), d["access"], ", ".join(d["zones"]), number(d["hours"])]
            for d in each
        ],
        full=pd.DataFrame([{**d, "zones": ", ".join(d["zones"])} for d in each]),
    )


def gaugings(table: pd.DataFrame) -> Table:
    """Return every gauging beside what the records alone had foreseen."""
    enough = basis.value("disagreement_deviations")
    return Table(
        name="gaugings",
        caption="Gaugings against the estimate made without them",
        heads={
            "Zone": False,
            "Date": False,
            "Kind": False,
            "Gauged (mm)": True,
            "Foreseen (mm)": True,
            "Apart (standard deviations)": True,
            "In words": False,
        },
        rows=[
            [
                g["zone"],
                g["date"],
                g["kind"],
                Cell(number(g["measured_mm"]), f"± {number(g['sd_mm'], 2)}"),
                (
                    f"{number(g['predicted_mm_p50'])} ({number(g['predicted_mm_p10'])}"
                    f" to {number(g['predicted_mm_p90'])})"
                ),
                number(g["deviations"], 2),
                Cell("disagrees", marked=True)
                if abs(g["deviations"]) >= enough
                else "as foreseen",
            ]
            for g in records(table)
        ],
        full=table,
    )


def taught(table: pd.DataFrame) -> Table:
    """Return what the gaugings changed."""
    heads = {"Zone": False, "From the records alone (mm)": True}
    heads |= {"With the gaugings (mm)": True, "Samples behind it": True}
    return Table(
        name="gaugings-taught",
        caption="What the gaugings changed: left today, median and p10 to p90",
        heads=heads,
        rows=[
            [
                row["zone"],
                *(
                    f"{number(row[f'{when}_mm_p50'])} ({number(row[f'{when}_mm_p10'])}"
                    f" to {number(row[f'{when}_mm_p90'])})"
                    for when in ("before", "after")
                ),
                number(row["effective"]),
            ]
            for row in records(table)
        ],
        full=table,
    )
