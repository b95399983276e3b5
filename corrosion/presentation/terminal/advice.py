"""What to do, as plain text for a terminal."""

from collections.abc import Mapping, Sequence
from typing import Any

from corrosion.presentation import format
from corrosion.presentation.figures.durations import duration
from corrosion.presentation.sentences import CAUTIONS, PANEL, number, percent, spread
from corrosion.presentation.terminal.lines import columns, listed

__all__ = ["fleet_text", "hunt_text", "isolation_text", "plan_text"]


def isolation_text(result: Mapping[str, Any]) -> str:
    """Return what each limit would have kept, and how long faults stand."""
    limits = [
        {"within": duration(row["within_hours"])} | _kept(row)
        for row in result["limits"]
    ]
    others = [
        {"other measures, each alone": row["measure"]} | _kept(row)
        for row in result["measures"]
    ]
    return "\n".join(
        [
            f"{result['ship']} as of {result['as_of']}: had every fault been cleared "
            "within a limit of being found,",
            "",
            _table(limits),
            "",
            _stood(result["durations"]),
            *(["", _table(others)] if others else []),
        ]
    )


def _stood(durations: Mapping[str, Any]) -> str:
    note, median = str(durations["note"]), durations["median_hours"]
    if not durations["curve"]:
        return f"{note[:1].upper()}{note[1:]}."
    stood = (
        "more than half outlast the records"
        if median is None
        else f"half of them were cleared within {duration(median)} of being found"
    )
    return f"Of the ground faults, {stood}. {note}"


def _kept(row: Mapping[str, Any]) -> dict[str, str]:
    cells = {
        "stray kg": spread(row["stray_kg"]),
        "kept kg": spread(row["saved_kg"]),
        "kept of ceiling": format.kg(row["saved_ceiling_kg"]["mean"]),
        "zones below limit": number(row["zones_below_limit"]),
        "most kept": f"{row['most_kept_zone']} "
        f"({number(row['most_kept_mm']['mean'])} mm)",
    }
    if "saved_money" in row:
        cells["worth at her price"] = spread(row["saved_money"])
    if "spared_renewal_money" in row:
        cells["renewal spared"] = number(row["spared_renewal_money"])
    return cells


def _table(rows: Sequence[Mapping[str, str]]) -> str:
    return columns(list(rows[0]), [list(row.values()) for row in rows])


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
    cost = f", {number(result['cost'])} at her price" if "cost" in result else ""
    return "\n".join(
        [
            f"{result['ship']}: the best use of {number(result['hours'])} h "
            f"({number(result['hours_used'])} h used{cost}; "
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
            f"{row['circuit']} (panel)" if row["opened_first"] else row["circuit"],
            percent(row["chance"]),
            number(row["minutes"]),
            row["fed_from"] or "switchboard",
            f"ask {row['permission']}" if row["permission"] else "-",
        ]
        for row in result["order"]
    ]
    panels = any(row["opened_first"] for row in result["order"])
    notes = [*result["notes"], *[PANEL] * panels]
    after = "".join(
        f"; {words} {names}"
        for words, names in (
            ("the lamps point to conductor", result["conductor"]),
            ("the indication stayed with", ", ".join(result["stayed"])),
            ("it went with", result["gone"]),
        )
        if names
    )
    cost = (
        f", {number(result['expected_cost'])} at her price of a crew hour"
        if "expected_cost" in result
        else ""
    )
    return "\n".join(
        [
            f"{result['ship']}, {result['system']}: open and test in this order{after}",
            "",
            columns(("circuit", "chance", "minutes", "fed from", "permission"), rows),
            "",
            f"Expected {number(result['expected_minutes'])} min{cost} "
            f"(nine times in ten within {number(result['minutes_90'])} min); in the "
            f"order of the list {number(result['expected_minutes_by_list'])} min, by "
            f"halves {number(result['expected_minutes_halving'])} min.",
            *listed("Notes:", notes),
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
            f"{len(rows)} ship{'s' * (len(rows) != 1)} as of {result['as_of']}",
            "",
            columns(head, rows),
            "",
            f"All zones of all ships: {result['file']}",
            *listed("Not estimated:", failed),
            *listed("Cautions:", CAUTIONS),
        ]
    )
