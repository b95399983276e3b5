"""Results as plain text for a terminal: columns, words and cautions."""

from collections.abc import Mapping, Sequence
from typing import TYPE_CHECKING, Any

from corrosion.inspection.narrowing import to_measure
from corrosion.results import records
from corrosion.words import CAUTIONS, answer, number, percent, spread, totals_sentence

if TYPE_CHECKING:
    from corrosion.estimate import Estimate

__all__ = [
    "charge_text",
    "columns",
    "estimate_text",
    "fleet_text",
    "hull_text",
    "hunt_text",
    "isolation_text",
    "leakage_text",
    "metal_text",
    "plan_text",
]

_FAULTS_SHOWN = 8
_MEASURES_SHOWN = 3


def columns(head: Sequence[str], rows: Sequence[Sequence[str]]) -> str:
    """Return a table with aligned columns, all but the first flush right."""
    table = [list(head), *(list(row) for row in rows)]
    width = [max(map(len, column)) for column in zip(*table, strict=True)]
    lines = [
        "  ".join(
            cell.ljust(w) if k == 0 else cell.rjust(w)
            for k, (cell, w) in enumerate(zip(row, width, strict=True))
        ).rstrip()
        for row in table
    ]
    rule = "  ".join("-" * w for w in width)
    return "\n".join([lines[0], rule, *lines[1:]])


def _listed(head: str, items: Sequence[str]) -> list[str]:
    return ["", head, *(f"  - {item}" for item in items)] if items else []


def estimate_text(result: "Estimate") -> str:
    """Return the ranking, the leading faults, totals, doubts and cautions."""
    zones = [
        [
            z["zone"],
            percent(z["chance_below_limit"]),
            z["inspect_by"] or "later",
            spread(z, "left_mm"),
            number(z["limit_mm"]),
            spread(z, "left_under_pit_mm"),
            number(z["pit_limit_mm"]),
            spread(z, "stray_kg"),
            number(z["natural_kg_mean"]),
            z["leading_cause"],
            z["leading_fault"] or "-",
        ]
        for z in records(result.zones)
    ]
    leading = result.faults.nlargest(_FAULTS_SHOWN, "kg_mean")
    faults = [
        [
            f["fault"],
            f["zone"] or "not found",
            spread(f, "hours"),
            f"{spread(f, 'amps')} {f['current']}",
            percent(f["water_share_mean"]),
            spread(f, "kg"),
            number(f["ceiling_kg_mean"]),
            "standing" if f["standing"] else "cleared",
        ]
        for f in records(leading)
    ]
    head = (
        f"{result.ship.name} as of {result.as_of}, next docking {result.horizon} "
        f"({result.samples} samples, seed {result.seed}; means, p10 to p90 in brackets)"
    )
    first = result.zones["zone"].iloc[0]
    parts = [
        head,
        "",
        answer(result),
        totals_sentence(result),
        "",
        columns(
            (
                "zone",
                "below limit",
                "inspect by",
                "left mm",
                "limit",
                "under pit mm",
                "limit",
                "stray kg",
                "natural kg",
                "leading cause",
                "fault",
            ),
            zones,
        ),
        *_listed(
            f"What would narrow {first} down most:",
            [
                f"{what} ({percent(share)} of its spread)"
                for what, share in to_measure(result.narrowing(first))[:_MEASURES_SHOWN]
            ],
        ),
        "",
        "Faults that took most:",
        columns(
            ("fault", "zone", "hours", "amps", "in water", "kg", "ceiling kg", "state"),
            faults,
        ),
        *_listed("Doubts:", result.warnings),
        *_listed("Cautions:", CAUTIONS),
    ]
    return "\n".join(parts)


def metal_text(result: Mapping[str, Any]) -> str:
    """Return a bench conversion in words."""
    return (
        f"{number(result['amps'])} A leaving {result['metal']} for "
        f"{number(result['years'])} years of 365.25 days dissolves "
        f"{number(result['kg'], 4)} kg; 1 A/m² takes "
        f"{number(result['mm_per_year'], 4)} mm a year.\n"
        f"Equivalent weight {number(result['equivalent_weight_g'], 4)} g a mole of "
        f"electrons, density {number(result['density_kg_per_m3'], 4)} kg/m³. "
        f"Source: {result['source']}"
    )


def hull_text(result: Mapping[str, Any]) -> str:
    """Return the hull as the model sees it, and what crosses the water."""
    zones = [
        [z["zone"], number(z["area_m2"]), number(z["bare_m2"])] for z in result["zones"]
    ]
    berths = []
    for b in result["berths"]:
        shares = sorted(b["water_share"].values())
        berths.append(
            [
                b["berth"],
                b["from"] or "the beginning",
                b["supply"],
                percent(shares[0]),
                percent(shares[-1]),
                spread(b["couple_amps"]),
                "-" if b["linear_error"] is None else percent(b["linear_error"]),
            ]
        )
    return "\n".join(
        [
            f"Displacement {number(result['displacement_m3'], 4)} m³, wetted surface "
            f"{number(result['wetted_m2'], 4)} m², resistance to remote earth "
            f"{number(result['resistance_to_remote_ohm'])} Ω.",
            "",
            columns(("zone", "area m²", "bare m²"), zones),
            "",
            "Of an ampere injected into the steel, the share that crosses the water:",
            columns(
                ("berth", "from", "supply", "least", "most", "couple A", "bend"),
                berths,
            ),
            "",
            "bend: by how much of the largest zone current a bent interface of steel "
            "and water moves any zone's, at most, at the direct currents that stood.",
        ]
    )


def leakage_text(result: Mapping[str, Any]) -> str:
    """Return what leaks, a fault a row, and the least fault that the lamps show."""
    systems = []
    for s in result["systems"]:
        volts = ", ".join(
            f"{name} {number(v)} V" for name, v in s["healthy"]["hull_volts"].items()
        )
        least = s["least_visible_fault_ohm"]
        seen = (
            "it has no detector lamps"
            if least is None
            else f"its lamps show no fault above {number(least)} Ω"
        )
        systems.append(f"{s['system']}: healthy conductors stand at {volts}; {seen}.")
    rows = [
        [
            f["fault"],
            spread(f["resistance_ohm"]) if f["resistance_ohm"]["mean"] else "-",
            spread(f["amps"]),
            percent(f["water_share"]["mean"]),
            " ".join(f"{name}:{picture}" for name, picture in f["lamps"].items())
            or "-",
            "-" if f["lamps_could_show"] is None else percent(f["lamps_could_show"]),
        ]
        for f in result["faults"]
    ]
    standing = [
        f"{f['fault']}: {f['reading']}" for f in result["faults"] if f["standing"]
    ]
    head = ("fault", "ohms", "amps", "in water", "lamps would show", "seen by them")
    return "\n".join(
        [
            *systems,
            "",
            columns(head, rows),
            *_listed("Still standing, in words:", standing),
            *_listed("Doubts:", result["warnings"]),
            *_listed("Cautions:", CAUTIONS),
        ]
    )


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
            *_listed("Day by day:", days),
            *_listed("What further hours would add to the value:", gains),
            "",
            f"Left out: {percent(left['share_of_risk'])} of the ship's risk, first "
            f"{', '.join(left['zones']) or 'nothing'}.",
            *_listed("Cautions:", CAUTIONS),
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
            *_listed("Notes:", result["notes"]),
            *_listed("Cautions:", result["cautions"]),
        ]
    )


def charge_text(result: Mapping[str, Any]) -> str:
    """Return what logs add up to, a circuit a row."""
    rows = [
        [
            row["system"],
            row["circuit"] or "-",
            row["current"],
            number(row["charge_ah"], 4),
            number(row["hours"], 4),
            number(row["gap_hours"], 4),
        ]
        for row in result["rows"]
    ]
    return columns(
        ("system", "circuit", "current", "charge Ah", "hours", "not covered h"), rows
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
            *_listed("Not estimated:", failed),
            *_listed("Cautions:", CAUTIONS),
        ]
    )
