"""Ships in order of their worst zone."""

from collections.abc import Iterable
from typing import TYPE_CHECKING, Any, Final

if TYPE_CHECKING:
    import pandas as pd

_WORST: Final = ("priority", "chance_below_limit", "inspect_by")
_COLUMNS: Final = (
    "folder",
    "ship",
    "worst_zone",
    "worst_name",
    *_WORST,
    "zones",
    "zones_due",
    "zones_due_by_docking",
    "stray_kg",
    "natural_kg",
    "steel_kg_a_year",
    "standing",
    "faults_last_year",
    "faults_a_year_before",
    "warnings",
    "doubts",
    "dangers",
)
Record = tuple[dict[str, Any], "pd.DataFrame"]


def ranked(done: dict[str, Record]) -> tuple["pd.DataFrame", "pd.DataFrame"]:
    """Return the ships, the one with the worst zone first, and all their zones."""
    import pandas as pd  # noqa: PLC0415 - importing corrosion stays light

    rows = [_row(name, *record) for name, record in done.items()]
    rows.sort(
        key=lambda row: (-row["priority"], -row["chance_below_limit"], row["folder"])
    )
    ships = pd.DataFrame(rows, columns=list(_COLUMNS))
    ships.insert(0, "rank", range(1, len(ships) + 1))
    parts = []
    for rank, name in zip(ships["rank"], ships["folder"], strict=True):
        summary, zones = done[name]
        zones = zones.copy()
        zones.insert(0, "ship_rank", rank)
        zones.insert(1, "folder", name)
        zones.insert(2, "ship", summary["ship"])
        parts.append(zones)
    return ships, pd.concat(parts, ignore_index=True) if parts else pd.DataFrame()


def _row(folder: str, summary: dict[str, Any], zones: "pd.DataFrame") -> dict[str, Any]:
    worst = zones.iloc[0]
    dates = [day for day in zones["inspect_by"] if isinstance(day, str)]
    return {
        **{name: summary[name] for name in _COLUMNS if name in summary},
        **{name: worst[name] for name in _WORST},
        "folder": folder,
        "worst_zone": worst["zone"],
        "worst_name": worst["name"],
        "zones": len(zones),
        "zones_due": _due(dates, summary["as_of"]),
        "zones_due_by_docking": _due(dates, summary["horizon"]),
    }


def _due(dates: Iterable[str], by: str) -> int:
    return sum(day <= by for day in dates)  # ISO dates sort as text
