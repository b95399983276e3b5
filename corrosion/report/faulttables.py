"""The report's tables of faults: what-ifs, leading faults, hunt sheets, durations."""

from collections.abc import Mapping, Sequence
from typing import Any, Final

import pandas as pd

from corrosion.estimate import Estimate
from corrosion.figures.spans import duration
from corrosion.report.table import Cell, Row, Table
from corrosion.results import records
from corrosion.words import number, percent, spread

__all__ = ["durations", "hunt", "leading", "measures", "what_ifs"]

_SHOWN: Final = 10
_AFTER_H: Final = (1.0, 4.0, 12.0, 24.0, 72.0, 168.0, 720.0, 8766.0)
_KEPT: Final = {
    "Stray loss then (kg)": True,
    "Kept (kg)": True,
    "Of the ceiling (kg)": True,
    "Zones below limit": True,
    "Most kept in": False,
}


def _kept(row: Mapping[str, Any]) -> list[Cell | str]:
    money = row.get("saved_money")
    return [
        spread(row["stray_kg"]),
        Cell(
            spread(row["saved_kg"]),
            "" if money is None else f"worth {number(money['mean'])} at her price",
        ),
        number(row["saved_ceiling_kg"]["mean"]),
        number(row["zones_below_limit"]),
        Cell(row["most_kept_zone"], f"{number(row['most_kept_mm']['mean'])} mm"),
    ]


def what_ifs(limits: Sequence[Mapping[str, Any]]) -> Table:
    """Return what clearing every fault within limits would have kept."""
    return Table(
        name="isolation",
        caption="Had every fault been cleared within a limit of being found",
        heads={"Cleared within": False} | _KEPT,
        rows=[[duration(row["within_hours"]), *_kept(row)] for row in limits],
        full=_flat(limits),
    )


def measures(rows: Sequence[Mapping[str, Any]]) -> Table:
    """Return what measures on the shore supply would have kept."""
    return Table(
        name="shore-measures",
        caption="Had the shore supply been otherwise all the time",
        heads={"Measure": False} | _KEPT,
        rows=[[row["measure"], *_kept(row)] for row in rows],
        full=_flat(rows),
    )


def _flat(rows: Sequence[Mapping[str, Any]]) -> pd.DataFrame:
    return pd.json_normalize([dict(row) for row in rows], sep="_")


def leading(result: Estimate) -> Table:
    """Return the faults that took most, and all that stand; the file has every one."""
    faults = result.faults.sort_values("kg_mean", ascending=False, kind="stable")
    most = [number < _SHOWN for number in range(len(faults))]
    shown = faults[pd.Series(most, index=faults.index) | faults["standing"]]
    return Table(
        name="faults",
        caption=(
            f"The {min(_SHOWN, len(faults))} faults that took most of {len(faults)}, "
            "and those that stand"
        ),
        heads={
            "Fault": False,
            "Where": False,
            "Found": False,
            "Hours": True,
            "Into the hull (A)": True,
            "In water": True,
            "Steel (kg)": True,
            "Ceiling (kg)": True,
            "State": False,
        },
        rows=[_fault(f) for f in records(shown)],
        full=faults,
    )


def _fault(f: Mapping[str, Any]) -> Row:
    circuit = ", ".join(filter(None, (f["system"], f["circuit"]))) or f["source"]
    standing = bool(f["standing"])
    return [
        f["fault"],
        Cell(f["zone"] or "not found", circuit),
        f["found"],
        spread(f, "hours"),
        f"{spread(f, 'amps')} {f['current']}",
        percent(f["water_share_mean"]),
        spread(f, "kg"),
        number(f["ceiling_kg_mean"]),
        Cell("standing" if standing else "cleared", marked=standing),
    ]


def hunt(name: str, found: Mapping[str, Any]) -> Table:
    """Return the hunt sheet of a system, with a box to tick."""
    order = found["order"]
    return Table(
        name=name,
        caption=f"{found['system']}: open and test in this order",
        heads={
            "No.": True,
            "Circuit": False,
            "Chance": True,
            "Minutes": True,
            "Fed from": False,
            "Permission": False,
            "Done": False,
        },
        rows=[
            [
                str(place),
                row["circuit"],
                percent(row["chance"]),
                number(row["minutes"]),
                row["fed_from"] or "switchboard",
                Cell(f"ask {row['permission']}", marked=True)
                if row["permission"]
                else "-",
                "☐",
            ]
            for place, row in enumerate(order, start=1)
        ],
        full=pd.DataFrame(order),
    )


def durations(curve: Sequence[Sequence[float]]) -> Table:
    """Return the share of faults that still stood after some times."""
    rows = []
    for hours in _AFTER_H:
        reached = [step for step in curve if step[0] <= hours]
        if reached:
            _, share, low, high = reached[-1]
            interval = f"{percent(low)} to {percent(high)}"
            rows.append([duration(hours), percent(share), interval])
    return Table(
        name="durations",
        caption="Share of the ground faults still standing after being found",
        heads={"After": False, "Still standing": True, "95 % interval": True},
        rows=rows,
        full=pd.DataFrame(
            list(curve), columns=["hours", "share_standing", "low", "high"]
        ),
    )
