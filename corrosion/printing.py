"""Results as plain text for a terminal: columns, words and cautions."""

from collections.abc import Mapping, Sequence
from typing import TYPE_CHECKING, Any

from corrosion.words import CAUTIONS, answer, number, percent, spread, totals_sentence

if TYPE_CHECKING:
    from corrosion.estimate import Estimate

__all__ = ["columns", "estimate_text", "hull_text", "leakage_text", "metal_text"]

_FAULTS_SHOWN = 8


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
        for z in result.zones.to_dict("records")
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
        for f in leading.to_dict("records")
    ]
    head = (
        f"{result.ship.name} as of {result.as_of}, next docking {result.horizon} "
        f"({result.samples} samples, seed {result.seed}; means, p10 to p90 in brackets)"
    )
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
                ("berth", "from", "supply", "least", "most", "couple A"),
                berths,
            ),
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
            f["reading"],
        ]
        for f in result["faults"]
    ]
    return "\n".join(
        [
            *systems,
            "",
            columns(("fault", "ohms", "amps", "in water", "lamps", "in words"), rows),
            *_listed("Doubts:", result["warnings"]),
            *_listed("Cautions:", CAUTIONS),
        ]
    )
