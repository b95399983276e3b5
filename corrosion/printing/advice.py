"""What to do, as plain text for a terminal."""

from collections.abc import Mapping
from typing import Any

from corrosion.printing.lines import columns, listed
from corrosion.words import CAUTIONS, number, percent, spread

__all__ = ["fleet_text", "hunt_text", "isolation_text", "plan_text"]


def isolation_text(result: Mapping[str, Any]) -> str:
    """Return what each limit would have kept, and how long faults stand."""
    rows = [
        [
            f"{number(row['within_hours'])} h",
            spread(row["stray_kg"]),
            spread(row["saved_kg"]),
            number(row["saved_ceiling_kg"]["mean"]),
            number(row["zones_below_limit"]),
            f"{row['most_kept_zone']} ({number(row['most_kept_mm']['mean'])} mm)",
        ]
        for row in result["limits"]
    ]
    median = result["durations"]["median_hours"]
    stood = (
        "more than half outlast the records"
        if median is None
        else (f"half of them were cleared within {number(median)} h of being found")
    )
    return "\n".join(
        [
            f"{result['ship']} as of {result['as_of']}: had every fault been cleared "
            "within a limit of being found,",
            "",
            columns(
                (
                    "within",
                    "stray kg",
                    "kept kg",
                    "ceiling kept kg",
                    "zones below limit",
                    "most kept",
                ),
                rows,
            ),
            "",
            f"Of the ground faults, {stood}. {result['durations']['note']}",
        ]
    )


def plan_text(result: Mapping[str, Any]) -> str:
    """Return the zones to gauge, day by day."""
    rows = [
        [
            row["zone"],
            row["name"],
            row["access"],
            number(row["hours"]),
            str(row["readings"]),
            percent(row["chance_below_limit"]),
            number(row["value"]),
        ]
        for row in result["rows"]
    ]
    days = [
        f"day {day['day']}, {day['access']}: {', '.join(day['zones'])} "
        f"({number(day['hours'])} h)"
        for day in result["days"]
    ]
    gains = [
        f"{number(row['hours'])} h in all: {number(row['gain'])} more"
        for row in result["further"]
    ]
    left = result["left_out"]
    return "\n".join(
        [
            f"{result['ship']}: the best use of {number(result['hours'])} h "
            f"({number(result['hours_used'])} h used; "
            f"{'proven best' if result['proven_best'] else 'not proven best'})",
            "",
            columns(
                ("zone", "name", "access", "hours", "readings", "below limit", "value"),
                rows,
            ),
            *listed("Day by day:", days),
            *listed("What further hours would add to the value:", gains),
            "",
            f"Left out: {percent(left['share_of_risk'])} of the ship's risk, first "
            f"{', '.join(left['zones']) or 'nothing'}.",
            *listed("Cautions:", CAUTIONS),
        ]
    )


def hunt_text(result: Mapping[str, Any]) -> str:
    """Return the hunt sheet."""
    rows = [
        [
            row["circuit"],
            percent(row["chance"]),
            number(row["minutes"]),
            row["fed_from"] or "switchboard",
            f"ask {row['permission']}" if row["permission"] else "-",
        ]
        for row in result["order"]
    ]
    return "\n".join(
        [
            f"{result['ship']}, {result['system']}: open and test in this order",
            "",
            columns(("circuit", "chance", "minutes", "fed from", "permission"), rows),
            "",
            f"Expected {number(result['expected_minutes'])} min "
            f"(nine times in ten within {number(result['minutes_90'])} min); in the "
            f"order of the list {number(result['expected_minutes_by_list'])} min, by "
            f"halves {number(result['expected_minutes_halving'])} min.",
            *listed("Notes:", result["notes"]),
            *listed("Cautions:", result["cautions"]),
        ]
    )


def fleet_text(result: Mapping[str, Any]) -> str:
    """Return the ships, the one with the worst zone first, and those that failed."""
    rows = [
        [
            row["ship"],
            row["worst_zone"],
            percent(row["chance_below_limit"]),
            row["inspect_by"] or "later",
            f"{row['zones_due']} of {row['zones']}",
            number(row["stray_kg"]),
            number(row["natural_kg"]),
            number(row["steel_kg_a_year"]),
        ]
        for row in result["ships"]
    ]
    head = (
        "ship",
        "worst zone",
        "below limit",
        "inspect by",
        "zones due",
        "stray kg",
        "natural kg",
        "kg a year",
    )
    failed = [
        f"{one['folder']}: {problem}"
        for one in result["failed"]
        for problem in one["problems"]
    ]
    return "\n".join(
        [
            f"{len(rows)} ships as of {result['as_of']}",
            "",
            columns(head, rows),
            *listed("Not estimated:", failed),
            *listed("Cautions:", CAUTIONS),
        ]
    )
