"""Tables of current: the hull's zones and berths, what leaves them, and logs."""

from collections.abc import Mapping, Sequence
from typing import Any

from corrosion.foundation.json_values import rows_of
from corrosion.presentation import format as fmt
from corrosion.presentation.answers.currents import Leaving
from corrosion.presentation.tables.table import Row, Table, table


def hull_zones(answer: Mapping[str, Any]) -> Table:
    """Return each zone's area, and how much of it is bare."""
    return table("hull-zones", answer["zones"])


def berths(answer: Mapping[str, Any]) -> Table:
    """Return what crosses the water at each berth."""
    return table(
        "berths",
        answer["berths"],
        cell={
            "least": lambda row: fmt.percent(min(row["water_share"].values())),
            "most": lambda row: fmt.percent(max(row["water_share"].values())),
        },
    )


def leaving(gone: Leaving) -> Table:
    """Return what leaves each zone into the water, the most first."""
    some = gone.table[gone.table["leaving_ma"] != 0.0]
    return table(
        "leaving",
        rows_of(some.sort_values("leaving_ma", ascending=False)),
        lambda: gone.table,
        cell={
            "leaving_ma": lambda row: fmt.amount(abs(row["leaving_ma"])),
            "way": _way,
            "density_ma_per_m2": _density,
        },
    )


def _density(row: Row, factor: float) -> str:
    return fmt.amount(abs(factor * row["density_ma_per_m2"]))


def _way(row: Row) -> str:
    return "leaves the steel" if row["leaving_ma"] > 0.0 else "enters"


def log_charge(answer: Mapping[str, Any]) -> Table:
    """Return what logs add up to, a circuit a row."""
    return table("charge", answer["rows"])


def anodes(rows: Sequence[Mapping[str, Any]] | None) -> Table:
    """Return what each group of anodes does, and who ate it."""
    ate = ("protection", "own metals", "shore couple", "faults")
    return table(
        "anodes",
        list(rows or ()),
        cell={
            "what": lambda row: f"{row['count']} {row['metal']}",
            "left_percent": lambda row: _some(row["left_percent"]),
            **{by: lambda row, by=by: _eaten(row, by) for by in ate},
        },
    )


def _some(values: Mapping[str, float] | None) -> str:
    return "-" if values is None else fmt.amount(values["p50"])


def _eaten(row: Row, by: str) -> str:
    """Return what a cause drew, less where it spared the anode."""
    if by not in row["eaten_ah"]:
        return "-"
    drawn = row["eaten_ah"][by]["p50"] - row["relieved_ah"][by]["p50"]
    return fmt.amount(drawn) if drawn >= 0.0 else f"-{fmt.amount(-drawn)}"
