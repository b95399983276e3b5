"""The report's tables of zones: totals, ranking, plan, gaugings."""

from collections.abc import Mapping
from dataclasses import replace
from typing import Any, Final

import pandas as pd

from corrosion.estimate import Estimate
from corrosion.foundation import assumptions
from corrosion.foundation.json_values import rows
from corrosion.presentation.report.bars import interval_bar, margin_bar
from corrosion.presentation.sentences import number, percent
from corrosion.presentation.tables import (
    NUMBER,
    TEXT,
    WORD,
    Cell,
    Table,
    between,
    inline,
)

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
        heads={"What": TEXT, "Mean": NUMBER, "Four in five": NUMBER, "Unit": WORD},
        rows=rows,
        full=pd.DataFrame(full),
    )


def ranking(result: Estimate) -> Table:
    """Return the zones in order of priority, with intervals drawn in the cells."""
    zones = rows(result.zones)
    top = max((z["stray_kg_p90"] for z in zones), default=0.0)
    return Table(
        name="ranking",
        caption="Zones, the most urgent first: means, with p10 to p90 beneath",
        heads={
            "No.": NUMBER,
            "Zone": WORD,
            "Below limit": NUMBER,
            "Gauge by": WORD,
            "Limit to as built": TEXT,
            "Left, mean (mm)": NUMBER,
            "Left, deepest pit (mm)": NUMBER,
            "Stray loss (kg)": NUMBER,
            "Natural loss (kg)": NUMBER,
            "Mostly, and fault": TEXT,
        },
        rows=[_ranked(z, top) for z in zones],
        full=result.zones,
        named_by=1,
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
    stray = [z[f"stray_kg_{q}"] for q in ("p10", "mean", "p90")]
    bar_of_stray = interval_bar(*stray, top=top, unit="kg") if any(stray) else None
    frames = f"frames {z['frame_from']:g} to {z['frame_to']:g}, {z['side']}"
    chance = z["chance_below_limit"]
    thickness = [
        replace(cell, small=(*cell.small, f"limit {number(z[limit])}"))
        for cell, limit in (
            (between(z, "left_mm"), "limit_mm"),
            (between(z, "left_under_pit_mm"), "pit_limit_mm"),
        )
    ]
    return [
        str(z["rank"]),
        Cell(z["zone"], (z["name"], frames)),
        Cell(percent(chance), marked=chance >= _LIKELY),
        z["inspect_by"] or "later",
        Cell("", drawing=bar),
        *thickness,
        replace(between(z, "stray_kg"), drawing=bar_of_stray),
        between(z, "natural_kg"),
        Cell(z["leading_cause"], (z["leading_fault"] or "no fault",)),
    ]


def plan(found: Mapping[str, Any] | None) -> Table:
    """Return the zones to gauge with the hours at hand."""
    rows = [] if found is None else found["rows"]
    return Table(
        name="plan",
        caption="Zones to gauge, the most value an hour first",
        heads={
            "Zone": WORD,
            "Where": TEXT,
            "Reached from": WORD,
            "Hours": NUMBER,
            "Readings": NUMBER,
            "Below limit": NUMBER,
            "Value": NUMBER,
        },
        rows=[
            [
                row["zone"],
                row["name"],
                row["access"],
                f"{row['hours']:g}",
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
        heads={"Day": NUMBER, "Reached from": WORD, "Zones": TEXT, "Hours": NUMBER},
        rows=[
            [str(d["day"]), d["access"], ", ".join(d["zones"]), f"{d['hours']:g}"]
            for d in each
        ],
        full=pd.DataFrame([{**d, "zones": ", ".join(d["zones"])} for d in each]),
    )


def gaugings(table: pd.DataFrame) -> Table:
    """Return every gauging beside what the records alone had foreseen."""
    enough = assumptions.value("disagreement_deviations")
    return Table(
        name="gaugings",
        caption="Gaugings against the estimate made without them",
        heads={
            "Zone": WORD,
            "Date": WORD,
            "Kind": WORD,
            "Gauged (mm)": NUMBER,
            "Foreseen (mm)": NUMBER,
            "Apart (deviations)": NUMBER,
            "In words": TEXT,
        },
        rows=[
            [
                g["zone"],
                g["date"],
                g["kind"],
                f"{number(g['measured_mm'])} ± {number(g['sd_mm'], 2)}",
                inline(between(g, "predicted_mm", "p50")),
                number(g["deviations"], 2),
                Cell("disagrees", marked=True)
                if abs(g["deviations"]) >= enough
                else "as foreseen",
            ]
            for g in rows(table)
        ],
        full=table,
    )


def taught(table: pd.DataFrame) -> Table:
    """Return what the gaugings changed."""
    heads = {"Zone": WORD, "From the records alone (mm)": NUMBER}
    heads |= {"With the gaugings (mm)": NUMBER, "Samples behind it": NUMBER}
    return Table(
        name="gaugings-taught",
        caption="What the gaugings changed: left today, median and p10 to p90",
        heads=heads,
        rows=[
            [
                row["zone"],
                inline(between(row, "before_mm", "p50")),
                inline(between(row, "after_mm", "p50")),
                f"{row['effective']:.0f}",
            ]
            for row in rows(table)
        ],
        full=table,
    )
