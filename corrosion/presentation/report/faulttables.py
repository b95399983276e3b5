"""The report's tables of faults: what-ifs, leading faults, hunt sheets, durations."""

from collections.abc import Mapping, Sequence
from dataclasses import replace
from typing import Any, Final

import numpy as np
import pandas as pd

from corrosion.estimate import Estimate
from corrosion.foundation.json_values import rows
from corrosion.presentation.figures.durations import duration
from corrosion.presentation.sentences import number, percent
from corrosion.presentation.tables import NUMBER, TEXT, WORD, Cell, Row, Table, between

__all__ = ["durations", "hunt", "leading", "measures", "what_ifs"]

_SHOWN: Final = 10
_AFTER_H: Final = (1.0, 4.0, 12.0, 24.0, 72.0, 168.0, 672.0, 8766.0)
_KEPT: Final = {
    "Stray loss then (kg)": NUMBER,
    "Kept (kg)": NUMBER,
    "Kept of the ceiling (kg)": NUMBER,
    "Zones below limit, expected": NUMBER,
    "Most kept in": WORD,
}


def _kept(row: Mapping[str, Any]) -> list[Cell | str]:
    kept, money = between(row["saved_kg"]), row.get("saved_money")
    if money is not None:
        words = f"worth {between(money).text} at her price"
        kept = replace(kept, small=(*kept.small, words))
    if "spared_renewal_money" in row:
        words = f"renewal of {number(row['spared_renewal_money'])} spared"
        kept = replace(kept, small=(*kept.small, words))
    deepest = between(row["most_kept_mm"])
    return [
        between(row["stray_kg"]),
        kept,
        between(row["saved_ceiling_kg"]),
        number(row["zones_below_limit"]),
        Cell(row["most_kept_zone"], (f"{deepest.text} mm",)),
    ]


def what_ifs(limits: Sequence[Mapping[str, Any]]) -> Table:
    """Return what clearing every fault within limits would have kept."""
    return Table(
        name="isolation",
        caption="Had every fault been cleared within a limit of being found",
        heads={"Cleared within": WORD} | _KEPT,
        rows=[[duration(row["within_hours"]), *_kept(row)] for row in limits],
        full=_flat(limits),
    )


def measures(rows: Sequence[Mapping[str, Any]]) -> Table:
    """Return what measures on the shore supply would have kept."""
    return Table(
        name="shore-measures",
        caption="Had the shore supply been otherwise all the time",
        heads={"Measure": TEXT} | _KEPT,
        rows=[[row["measure"], *_kept(row)] for row in rows],
        full=_flat(rows),
    )


def _flat(rows: Sequence[Mapping[str, Any]]) -> pd.DataFrame:
    return pd.json_normalize([dict(row) for row in rows], sep="_")


def leading(result: Estimate) -> Table:
    """Return the faults that took most, and all that stand; the file has every one."""
    faults = result.faults.sort_values("kg_mean", ascending=False, kind="stable")
    first = np.arange(len(faults)) < _SHOWN
    shown = faults[first | faults["standing"].to_numpy(dtype=np.bool_)]
    return Table(
        name="faults",
        caption=(
            f"Of {len(faults)} faults the {min(_SHOWN, len(faults))} that took most, "
            "and those that stand: means, with p10 to p90 beneath"
        ),
        heads={
            "Fault": WORD,
            "Where": TEXT,
            "Found": WORD,
            "Hours": NUMBER,
            "Into the hull (A)": NUMBER,
            "In water": NUMBER,
            "Steel (kg)": NUMBER,
            "Ceiling (kg)": NUMBER,
            "State": WORD,
        },
        rows=[_fault(f) for f in rows(shown)],
        full=faults,
    )


def _fault(f: Mapping[str, Any]) -> Row:
    circuit = ", ".join(filter(None, (f["system"], f["circuit"]))) or f["source"]
    standing, amps = bool(f["standing"]), between(f, "amps")
    return [
        f["fault"],
        Cell(f["zone"] or "not found", (circuit,)),
        f["found"],
        between(f, "hours"),
        replace(amps, text=f"{amps.text} {f['current']}"),
        percent(f["water_share_mean"]),
        between(f, "kg"),
        between(f, "ceiling_kg"),
        Cell("standing" if standing else "cleared", marked=standing),
    ]


def hunt(name: str, found: Mapping[str, Any]) -> Table:
    """Return the hunt sheet of a system, with a box to tick."""
    order = found["order"]
    return Table(
        name=name,
        caption=f"{found['system']}: open and test in this order",
        heads={
            "No.": NUMBER,
            "Circuit": TEXT,
            "Chance": NUMBER,
            "Minutes": NUMBER,
            "Fed from": TEXT,
            "Permission": TEXT,
            "Done": WORD,
        },
        rows=[
            [
                str(place),
                Cell(row["circuit"], ("panel",) if row["opened_first"] else ()),
                percent(row["chance"]),
                f"{row['minutes']:g}",
                row["fed_from"] or "switchboard",
                Cell(f"ask {row['permission']}", marked=True)
                if row["permission"]
                else "-",
                "☐",
            ]
            for place, row in enumerate(order, start=1)
        ],
        full=pd.DataFrame(order),
        named_by=1,
    )


def durations(curve: Sequence[Sequence[Any]]) -> Table:
    """Return the share of faults that still stood after some times."""
    rows = []
    for hours in _AFTER_H:
        reached = [step for step in curve if step[0] <= hours]
        if reached:
            _, share, low, high = reached[-1]
            interval = f"{percent(low)} to {percent(high)}"
            if low is None or high is None:
                interval = "not known"
            rows.append([duration(hours), percent(share), interval])
    return Table(
        name="durations",
        caption="Share of the ground faults still standing after being found",
        heads={"After": WORD, "Still standing": NUMBER, "95 % interval": NUMBER},
        rows=rows,
        full=pd.DataFrame(
            list(curve), columns=["hours", "share_standing", "low", "high"]
        ),
    )
