"""Results as plain text for a terminal of some width."""

from collections.abc import Mapping, Sequence
from typing import TYPE_CHECKING, Any

from corrosion.inspection.cautions import (
    ESTIMATE,
    LAMPS,
    SHORE,
    THIN,
    TOUCH,
    WELDING,
    ZERO_VOLTS,
)
from corrosion.presentation import explanation_words, sentences
from corrosion.presentation.answers.dangers import (
    dangers_of,
    gauging_cautions,
    grouped,
)
from corrosion.presentation.answers.shore_clamp import clamp_sentences
from corrosion.presentation.format import counted, number, percent, quantity, whole
from corrosion.presentation.tables import (
    currents,
    faults,
    planning,
    whatif,
    zones,
)
from corrosion.presentation.tables.zones import ships
from corrosion.presentation.terminal.lines import (
    caution,
    dangers,
    grid,
    listed,
    paragraph,
)
from corrosion.presentation.units import METRIC, UnitSystem

if TYPE_CHECKING:
    from corrosion.results import Estimate

_MEASURES_SHOWN = 3


def estimate_text(result: "Estimate", width: int, units: UnitSystem = METRIC) -> str:
    """Return the ranking, the leading faults, totals, doubts and cautions."""
    head = (
        f"{result.ship.name} as of {result.as_of}, next docking {result.horizon} "
        f"({whole(result.samples)} samples, seed {result.seed}; medians, p10 to p90 in "
        "brackets)"
    )
    first = result.zone_table.rows[0]["zone"]
    best = result.to_json()["measure_next"][:_MEASURES_SHOWN]
    hurting = dict.fromkeys(row["caution"] for row in best if row["caution"])
    thin = [zone for zone, texts in gauging_cautions(result).items() if THIN in texts]
    ranking, leading = zones.ranking(result), faults.leading(result)
    parts = [
        *dangers(dangers_of(result), width),
        paragraph(head, width),
        "",
        *[caution(THIN, width, f" for {', '.join(thin)}")] * bool(thin),
        caution(ESTIMATE, width),
        "",
        paragraph(sentences.headline(result), width),
        paragraph(sentences.totals_sentence(result, units), width),
        "",
        grid(ranking, width, units),
        *listed(
            f"What would narrow {first} down most:",
            [
                *(f"Caution: {text}" for text in hurting),
                *(
                    f"{row['measure']} ({percent(row['share'])} of its spread; needs: "
                    f"{row['needs']})"
                    for row in best
                ),
            ],
            width,
        ),
    ]
    if leading.rows:
        parts += [
            "",
            paragraph(f"{leading.caption}:", width),
            grid(leading, width, units),
        ]
    parts += listed("Doubts:", result.warnings, width)
    return "\n".join(parts)


def leakage_text(result: Mapping[str, Any], width: int) -> str:
    """Return what leaks, a fault a row, and the least fault that the lamps show."""
    standing = [
        f"{f['fault']}: {f['reading']}" for f in result["faults"] if f["standing"]
    ]
    meant = [
        line
        for f in result["faults"]
        if f["explanations"]
        for line in explanation_words.lines(f)
    ]
    found = faults.leaking(result["faults"])
    lit = any(row["healthy"]["lamp_volts"] for row in result["systems"])
    return "\n".join(
        [
            *dangers(result["dangers"], width),
            *[caution(LAMPS, width, ", lamps")] * lit,
            caution(ZERO_VOLTS, width, ", volts"),
            *[caution(WELDING, width)] * result["welding"],
            "",
            caution(TOUCH, width),
            *(
                paragraph(
                    f"{row['system']}: {sentences.touch(row['touch_ma'])}.", width, "  "
                )
                for row in result["systems"]
            ),
            "",
            grid(faults.systems(result), width),
            *(["", paragraph(f"{found.caption}:", width), grid(found, width)])
            * bool(found.rows),
            *listed("Still standing, in words:", standing, width),
            *listed("What their readings may mean:", meant, width),
            *listed("Doubts:", result["warnings"], width),
        ]
    )


def hull_text(result: Mapping[str, Any], width: int, units: UnitSystem = METRIC) -> str:
    """Return the hull as the model sees it, and what crosses the water."""
    berths = currents.berths(result)
    words = (
        "Linear error: the largest change of any zone's current, in per cent of the "
        "largest, when the Tafel law replaces a constant polarisation resistance."
    )
    return "\n".join(
        [
            *dangers(result["dangers"], width),
            paragraph(
                f"Displacement {quantity(result['displacement_m3'], 'm³', 4, units)}, "
                f"wetted surface {quantity(result['wetted_m2'], 'm²', 4, units)}, "
                "resistance to remote earth "
                f"{number(result['resistance_to_remote_ohm'])} Ω.",
                width,
            ),
            "",
            grid(currents.hull_zones(result), width, units),
            "",
            caution(SHORE, width),
            "",
            paragraph(f"{berths.caption}:", width),
            grid(berths, width, units),
            "",
            paragraph(words, width),
            *(
                f"\n{paragraph(said, width)}"
                for berth in result["berths"][-1:]
                for said in clamp_sentences(berth)
            ),
            *_anodes(result["anodes"] or [], width, units),
        ]
    )


def _anodes(
    rows: Sequence[Mapping[str, Any]], width: int, units: UnitSystem
) -> list[str]:
    if not rows:
        return []
    table = currents.anodes(rows)
    return ["", paragraph(f"{table.caption}:", width), grid(table, width, units)]


def isolation_text(
    result: Mapping[str, Any], width: int, units: UnitSystem = METRIC
) -> str:
    """Return what each limit would have kept, and how long faults stand."""
    limits, others = (
        whatif.limits(result["limits"]),
        whatif.measures(result["measures"]),
    )
    hurting = dict.fromkeys(r["caution"] for r in result["measures"] if r["caution"])
    return "\n".join(
        [
            *dangers(result["dangers"], width),
            paragraph(
                f"{result['ship']} as of {result['as_of']} (medians, p10 to p90 in "
                f"brackets). {limits.caption}:",
                width,
            ),
            "",
            grid(limits, width, units),
            "",
            paragraph(sentences.durations_sentence(result["durations"]), width),
            *(["", *(caution(text, width) for text in hurting)] if hurting else []),
            *(
                ["", f"{others.caption}:", grid(others, width, units)]
                * bool(others.rows)
            ),
        ]
    )


def plan_text(result: Mapping[str, Any], width: int) -> str:
    """Return the zones to gauge, day by day."""
    cautions = grouped({row["zone"]: row["cautions"] for row in result["rows"]})
    return "\n".join(
        [
            *dangers(result["dangers"], width),
            *(
                caution(text, width, f" for {', '.join(where)}")
                for text, where in cautions
            ),
            paragraph(f"{result['ship']}: {sentences.plan_sentence(result)}", width),
            "",
            grid(planning.plan(result), width),
            "",
            grid(planning.days(result), width),
            "",
            paragraph(sentences.further_sentence(result), width),
        ]
    )


def fleet_text(
    result: Mapping[str, Any], width: int, units: UnitSystem = METRIC
) -> str:
    """Return the ships, the one with the worst zone first, and those that failed."""
    many = len(result["ships"])
    failed = [
        f"{one['folder']}: {problem}"
        for one in result["failed"]
        for problem in one["problems"]
    ]
    return "\n".join(
        [
            *dangers(
                [
                    {"text": f"{row['ship']}: {row['text']}"}
                    for row in result["dangers"]
                ],
                width,
            ),
            f"{counted(many, 'ship')} as of {result['as_of']}",
            "",
            grid(ships(result["ships"]), width, units),
            "",
            paragraph(f"All zones of all ships: {result['file']}", width),
            *listed("Not estimated:", failed, width),
        ]
    )


def charge_text(result: Mapping[str, Any], width: int) -> str:
    """Return what logs add up to, a circuit a row, and what is doubtful in them."""
    table = grid(currents.log_charge(result), width)
    return "\n".join([table, *listed("Doubts:", result["warnings"], width)])


def metal_text(result: Mapping[str, Any], width: int) -> str:
    """Return a bench conversion in words."""
    lines = (
        f"{number(result['amps'])} A leaving {result['metal']} for "
        f"{number(result['years'])} years of 365.25 days dissolves "
        f"{number(result['kg'], 4)} kg; 1 A/m² takes "
        f"{number(result['mm_per_year'], 4)} mm a year.",
        f"Equivalent weight {number(result['equivalent_weight_g'], 4)} g a mole of "
        f"electrons, density {number(result['density_kg_per_m3'], 4)} kg/m³. "
        f"Source: {result['source']}",
    )
    return "\n".join(paragraph(line, width) for line in lines)
