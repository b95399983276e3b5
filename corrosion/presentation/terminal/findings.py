"""What was found, as plain text for a terminal."""

from collections.abc import Mapping
from typing import TYPE_CHECKING, Any

from corrosion.foundation.json_values import rows
from corrosion.inspection.sensitivity import best_measurements
from corrosion.presentation.sentences import (
    CAUTIONS,
    answer,
    number,
    percent,
    spread,
    totals_sentence,
)
from corrosion.presentation.terminal.lines import columns, listed

if TYPE_CHECKING:
    from corrosion.estimate import Estimate

__all__ = ["charge_text", "estimate_text", "hull_text", "leakage_text", "metal_text"]

_FAULTS_SHOWN = 8
_MEASURES_SHOWN = 3


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
        for z in rows(result.zones)
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
        for f in rows(leading)
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
        *listed(
            f"What would narrow {first} down most:",
            [
                f"{what} ({percent(share)} of its spread)"
                for what, share in best_measurements(result.influences(first))[
                    :_MEASURES_SHOWN
                ]
            ],
        ),
        "",
        "Faults that took most:",
        columns(
            ("fault", "zone", "hours", "amps", "in water", "kg", "ceiling kg", "state"),
            faults,
        ),
        *listed("Doubts:", result.warnings),
        *listed("Cautions:", CAUTIONS),
    ]
    return "\n".join(parts)


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
            *listed("Still standing, in words:", standing),
            *listed("Doubts:", result["warnings"]),
            *listed("Cautions:", CAUTIONS),
        ]
    )


def hull_text(result: Mapping[str, Any]) -> str:
    """Return the hull as the model sees it, and what crosses the water."""
    zones = [
        [z["zone"], number(z["area_m2"]), number(z["bare_m2"])] for z in result["zones"]
    ]
    berths = []
    for b in result["berths"]:
        normalise = sorted(b["water_share"].values())
        berths.append(
            [
                b["berth"],
                b["from"] or "the beginning",
                b["supply"],
                percent(normalise[0]),
                percent(normalise[-1]),
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
