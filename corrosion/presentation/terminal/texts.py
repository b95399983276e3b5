"""Results as plain text for a terminal of some width: one function a command."""

from collections.abc import Callable, Mapping
from typing import TYPE_CHECKING, Any, Final

from corrosion.inspection import cautions
from corrosion.presentation import sentences
from corrosion.presentation.answers.dangers import dangers_of, gauging_cautions, grouped
from corrosion.presentation.answers.shore_clamp import clamp_sentences
from corrosion.presentation.format import counted, number, percent, quantity, whole
from corrosion.presentation.tables import (
    currents,
    faults,
    planning,
    upkeep,
    whatif,
    zones,
)
from corrosion.presentation.terminal.lines import Lines
from corrosion.presentation.units import METRIC, UnitSystem

if TYPE_CHECKING:
    from corrosion.results import Estimate

_MEASURES_SHOWN: Final = 3

Answer = Mapping[str, Any]


def text_of(command: str, result: Any, width: int, units: UnitSystem = METRIC) -> str:
    """Return a command's result as text.

    Parameters
    ----------
    command : str
        Its name.
    result : Estimate or mapping
        Of ``estimate`` the estimate, else the object that it writes as JSON.
    width : int
        Letters in a line.
    units : UnitSystem, optional
        In which it is read.
    """
    page = Lines(width, units)
    _TEXTS[command](page, result)
    return page.text()


def _estimate(page: Lines, result: "Estimate") -> None:
    first = result.zone_table.rows[0]["zone"]
    best = result.to_json()["measure_next"][:_MEASURES_SHOWN]
    hurting = dict.fromkeys(row["caution"] for row in best if row["caution"])
    thin = cautions.THIN
    holed = [zone for zone, texts in gauging_cautions(result).items() if thin in texts]
    page.dangers(dangers_of(result))
    page.say(
        f"{result.ship.name} as of {result.as_of}, next docking {result.horizon} "
        f"({whole(result.samples)} samples, seed {result.seed}; medians, p10 to p90 in "
        "brackets)",
        "",
    )
    if holed:
        page.caution(thin, f" for {', '.join(holed)}")
    page.caution(cautions.ESTIMATE)
    totals = sentences.totals_sentence(result, page.units)
    page.say("", sentences.headline(result), totals, "")
    page.grid(zones.ranking(result))
    page.listed(
        f"What would narrow {first} down most:",
        *(f"Caution: {text}" for text in hurting),
        *(
            f"{row['measure']} ({percent(row['share'])} of its spread; needs: "
            f"{row['needs']})"
            for row in best
        ),
    )
    page.table(faults.leading(result))
    page.listed("Doubts:", *result.warnings)


def _leakage(page: Lines, result: Answer) -> None:
    from corrosion.presentation import explanation_words  # noqa: PLC0415 - only here

    found = result["faults"]
    page.dangers(result["dangers"])
    if any(row["healthy"]["lamp_volts"] for row in result["systems"]):
        page.caution(cautions.LAMPS, ", lamps")
    page.caution(cautions.ZERO_VOLTS, ", volts")
    if result["welding"]:
        page.caution(cautions.WELDING)
    page.say("")
    page.caution(cautions.TOUCH)
    for row in result["systems"]:
        said = f"{row['system']}: {sentences.touch(row['touch_ma'])}."
        page.say(said, indent="  ")
    page.say("")
    page.grid(faults.systems(result))
    page.table(faults.leaking(found))
    page.listed(
        "Still standing, in words:",
        *(f"{one['fault']}: {one['reading']}" for one in found if one["standing"]),
    )
    page.listed(
        "What their readings may mean:",
        *(
            line
            for one in found
            if one["explanations"]
            for line in explanation_words.lines(one)
        ),
    )
    page.listed("Doubts:", *result["warnings"])


def _hull(page: Lines, result: Answer) -> None:
    berths = currents.berths(result)
    displaced, wetted = (
        quantity(result[name], unit, 4, page.units)
        for name, unit in (("displacement_m3", "m³"), ("wetted_m2", "m²"))
    )
    page.dangers(result["dangers"])
    page.say(
        f"Displacement {displaced}, wetted surface {wetted}, resistance to remote "
        f"earth {number(result['resistance_to_remote_ohm'])} Ω.",
        "",
    )
    page.grid(currents.hull_zones(result))
    page.say("")
    page.caution(cautions.SHORE)
    page.say("", f"{berths.caption}:")
    page.grid(berths)
    page.say(
        "",
        "Linear error: the largest change of any zone's current, in per cent of the "
        "largest, when the Tafel law replaces a constant polarisation resistance.",
    )
    for berth in result["berths"][-1:]:
        for said in clamp_sentences(berth):
            page.say("", said)
    page.table(currents.anodes(result["anodes"]))


def _isolation(page: Lines, result: Answer) -> None:
    limits = whatif.limits(result["limits"])
    page.dangers(result["dangers"])
    page.say(
        f"{result['ship']} as of {result['as_of']} (medians, p10 to p90 in brackets). "
        f"{limits.caption}:",
        "",
    )
    page.grid(limits)
    page.say("", sentences.durations_sentence(result["durations"]))
    hurting = dict.fromkeys(r["caution"] for r in result["measures"] if r["caution"])
    if hurting:
        page.say("")
    for text in hurting:
        page.caution(text)
    page.table(whatif.measures(result["measures"]))


def _plan(page: Lines, result: Answer) -> None:
    page.dangers(result["dangers"])
    for text, where in grouped(
        {row["zone"]: row["cautions"] for row in result["rows"]}
    ):
        page.caution(text, f" for {', '.join(where)}")
    page.say(f"{result['ship']}: {sentences.plan_sentence(result)}", "")
    page.grid(planning.plan(result))
    page.say("")
    page.grid(planning.days(result))
    page.say("", sentences.further_sentence(result))


def _fleet(page: Lines, result: Answer) -> None:
    page.dangers(
        [{"text": f"{row['ship']}: {row['text']}"} for row in result["dangers"]]
    )
    page.say(f"{counted(len(result['ships']), 'ship')} as of {result['as_of']}", "")
    page.grid(zones.ships(result["ships"]))
    page.say("", f"All zones of all ships: {result['file']}")
    page.listed(
        "Not estimated:",
        *(
            f"{one['folder']}: {problem}"
            for one in result["failed"]
            for problem in one["problems"]
        ),
    )


def _charge(page: Lines, result: Answer) -> None:
    page.grid(currents.log_charge(result))
    page.listed("Doubts:", *result["warnings"])


def _metal(page: Lines, result: Answer) -> None:
    page.say(
        f"{number(result['amps'])} A leaving {result['metal']} for "
        f"{number(result['years'])} years of 365.25 days dissolves "
        f"{number(result['kg'], 4)} kg; 1 A/m² takes "
        f"{number(result['mm_per_year'], 4)} mm a year.",
        f"Equivalent weight {number(result['equivalent_weight_g'], 4)} g a mole of "
        f"electrons, density {number(result['density_kg_per_m3'], 4)} kg/m³. "
        f"Source: {result['source']}",
    )


def _docking(page: Lines, result: Answer) -> None:
    page.dangers(result["dangers"])
    for text in (cautions.ESTIMATE, cautions.ENCLOSED, cautions.WELDING):
        page.caution(text)
    said = sentences.docking_sentence(result, page.units)
    page.say("", f"{result['ship']}: {said}")
    for table in upkeep.docking(result).values():
        page.table(table)
    page.listed("Doubts:", *result["warnings"])


def _surveys(page: Lines, result: Answer) -> None:
    page.caution(cautions.SURVEY)
    page.say("", f"{result['ship']}: {sentences.surveys_sentence(result)}")
    page.table(upkeep.survey_trends(result["trends"]))
    page.table(upkeep.surveys(result["surveys"]))
    page.listed("Doubts:", *result["warnings"])


def _hunt(page: Lines, result: Answer) -> None:
    from corrosion.presentation import hunt_words  # noqa: PLC0415 - only here
    from corrosion.presentation.tables.hunt import blocks  # noqa: PLC0415 - likewise

    still = hunt_words.open_now(result)
    after = hunt_words.after(result)
    page.dangers(result["dangers"])
    page.say(*still, f"{result['ship']}, {result['system']}{after}")
    if "next" in result:
        steps = result["steps"]
        page.say(
            "",
            f"Hunt {result['hunt']}, begun {steps[0]['time']}, "
            f"{counted(len(steps) - 1, 'step')} so far. Now: {result['next']['words']}",
        )
    for block in blocks(result):
        page.say("", f"{block.head}.")
        page.caution(block.caution)
        page.say("")
        page.grid(block.table)
    page.listed("Not proposed to be opened, and why:", *hunt_words.withheld(result))
    page.say("", hunt_words.expectation(result))
    page.listed("Notes:", *result["notes"])
    page.say("", f"At the end: {result['cautions']['end']}", *still)


_TEXTS: Final[Mapping[str, Callable[[Lines, Any], None]]] = {
    "charge": _charge,
    "docking": _docking,
    "estimate": _estimate,
    "fleet": _fleet,
    "hull": _hull,
    "hunt": _hunt,
    "isolate": _isolation,
    "leakage": _leakage,
    "metal": _metal,
    "plan": _plan,
    "surveys": _surveys,
}
