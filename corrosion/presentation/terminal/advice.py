"""What to do, as plain text for a terminal."""

from collections.abc import Mapping, Sequence
from typing import Any, Final

from corrosion.presentation import format
from corrosion.presentation.answers.dangers import grouped
from corrosion.presentation.figures.durations import duration
from corrosion.presentation.hunt_words import (
    after,
    blocks,
    expectation,
    open_now,
    withheld,
)
from corrosion.presentation.sentences import number, percent, spread
from corrosion.presentation.terminal.lines import columns, dangers, listed, said

__all__ = ["fleet_text", "hunt_text", "isolation_text", "plan_text"]


def isolation_text(result: Mapping[str, Any]) -> str:
    """Return what each limit would have kept, and how long faults stand."""
    limits = [
        {"within": duration(row["within_hours"])} | _kept(row)
        for row in result["limits"]
    ]
    others = [
        {"other measures, each alone": row["measure"], "needs": row["needs"]}
        | _kept(row)
        for row in result["measures"]
    ]
    hurting = dict.fromkeys(row["caution"] for row in result["measures"])
    return "\n".join(
        [
            *dangers(result["dangers"]),
            f"{result['ship']} as of {result['as_of']}: had every fault been cleared "
            "within a limit of being found,",
            "",
            _table(limits),
            "",
            _stood(result["durations"]),
            *(["", *map(_caution, filter(None, hurting))] if others else []),
            *(["", _table(others)] if others else []),
        ]
    )


def _caution(text: str) -> str:
    return said(f"Caution: {text}")


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


_PLANNED: Final = (
    *("zone", "name", "access", "needs", "hours", "readings"),
    *("below limit", "value"),
)


def plan_text(result: Mapping[str, Any]) -> str:
    """Return the zones to gauge, day by day."""
    rows = [
        [
            row["zone"],
            row["name"],
            row["access"],
            row["needs"],
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
    cautions = grouped({row["zone"]: row["cautions"] for row in result["rows"]})
    return "\n".join(
        [
            *dangers(result["dangers"]),
            f"{result['ship']}: the best use of {number(result['hours'])} h "
            f"({number(result['hours_used'])} h used{cost}; "
            f"{'proven best' if result['proven_best'] else 'not proven best'})",
            *(
                said(f"Caution for {', '.join(zones)}: {text}")
                for text, zones in cautions
            ),
            "",
            columns(_PLANNED, rows),
            *listed("Day by day:", days),
            *listed("What further hours would add to the value:", gains),
            "",
            f"Left out: {percent(left['share_of_risk'])} of the ship's risk, first "
            f"{', '.join(left['zones']) or 'nothing'}.",
        ]
    )


def hunt_text(result: Mapping[str, Any]) -> str:
    """Return the hunt sheet: what is open on top, each act under its caution."""
    parts = [
        *dangers(result["dangers"]),
        *open_now(result),
        f"{result['ship']}, {result['system']}{after(result)}",
    ]
    for block in blocks(result):
        ruled = columns(block.columns, block.rows)
        parts += ["", f"{block.head}.", said(f"Caution: {block.caution}"), "", ruled]
    return "\n".join(
        [
            *parts,
            *listed("Not proposed to be opened, and why:", withheld(result)),
            "",
            said(expectation(result)),
            *listed("Notes:", result["notes"]),
            "",
            said(f"At the end: {result['cautions']['end']}"),
            *open_now(result),
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
            *dangers(
                [{"text": f"{row['ship']}: {row['text']}"} for row in result["dangers"]]
            ),
            f"{len(rows)} ship{'s' * (len(rows) != 1)} as of {result['as_of']}",
            "",
            columns(head, rows),
            "",
            f"All zones of all ships: {result['file']}",
            *listed("Not estimated:", failed),
        ]
    )
