"""What is said in sentences: the headline, totals, plans, hunts, cautions, limits."""

from collections.abc import Mapping, Sequence
from typing import TYPE_CHECKING, Any, Final

from corrosion.foundation.data_files import text_beside
from corrosion.presentation import format as fmt
from corrosion.presentation.answers.surveys import halves
from corrosion.presentation.units import METRIC, UnitSystem

if TYPE_CHECKING:
    from corrosion.results import Estimate

LIMITS: Final = tuple(text_beside(__file__, "limits.txt").splitlines())
"""Limits of the model."""

_CAUSES: Final = {
    "faults": "stray current from faults",
    "natural": "natural corrosion from the sea side",
    "inside": "natural corrosion from inside",
    "own metals": "the ship's own nobler metals",
    "unexplained": "not explained by any record",
    "shore couple": "the couple with the earthed shore supply",
}
_NOTHING: Final = 1e-9  # a gain of rounding alone


ORDER: Final = (
    "The order: the chance to be one of the five zones nearest to a limit, or furthest "
    "below it, at the next docking, times the consequence."
)
"""How zones are ranked."""

OWN_CURRENCY: Final = "in the currency of ship.toml"


def headline(result: "Estimate") -> str:
    """Return what to do first, and why, in one or two sentences."""
    if result.zone_table.rows[0]["chance_below_limit"] <= 0.0:
        return first_sentence(result)
    return f"{first_sentence(result)} {couple_sentence(result)}"


def first_sentence(result: "Estimate") -> str:
    """Return which zone to gauge first, when and why."""
    zones = result.zone_table.rows
    first = zones[0]
    where = (
        f"{first['zone']} ({first['name']}, frames {first['frame_from']:g} to "
        f"{first['frame_to']:g})"
    )
    if max(zone["chance_below_limit"] for zone in zones) <= 0.0:
        return (
            "In these samples no zone falls below its limit by "
            f"{result.horizon}; nearest to it is {where}."
        )
    due = first["inspect_by"]
    when = "after the years looked at" if due is None else f"by {due}"
    if due is not None and due <= result.as_of.isoformat():
        when = "now"
    return (
        f"Gauge {where} {when}: {fmt.chance(first['chance_below_limit'])} chance to be "
        f"below its limit on {result.horizon}; most of its loss is "
        f"{_CAUSES.get(first['leading_cause'], first['leading_cause'])}."
    )


def couple_sentence(result: "Estimate") -> str:
    """Return how much of the stray loss the couple with the shore earth is."""
    stray = result.totals["stray_kg"]["mean"]
    if stray <= 0.0:
        return "Stray currents took nothing from the hull."
    share = fmt.percent(result.totals["couple_kg"]["mean"] / stray)
    return (
        f"Of the ship's stray loss, expect {share} to come from the couple with the "
        "shore earth."
    )


def totals_sentence(result: "Estimate", units: UnitSystem = METRIC) -> str:
    """Return what the ship has lost, and what a simple calculation would say."""
    return f"{lost_sentence(result, units)} {ceiling_sentence(result, units)}"


def lost_sentence(result: "Estimate", units: UnitSystem = METRIC) -> str:
    """Return what the ship has lost, in one sentence."""
    stray, own, natural, spared = (
        fmt.interval(result.totals, f"{name}_kg", "kg", units)
        for name in ("stray", "own_metals", "natural", "protection_spared")
    )
    metals = f", her own metals {own}" * (result.totals["own_metals_kg"]["p90"] > 0.0)
    held = result.totals["protection_spared_kg"]["p90"] > 0.0
    return (
        f"Up to {result.as_of}, stray currents took {stray}{metals} and natural "
        f"corrosion {natural}{f', of which protection spared {spared}' * held}."
    )


def ceiling_sentence(result: "Estimate", units: UnitSystem = METRIC) -> str:
    """Return what a simple calculation would charge, and what the loss is worth."""
    ceiling = fmt.interval(result.totals, "ceiling_kg", "kg", units)
    return (
        "Were every ampere of the faults to dissolve steel where it entered (the "
        f"ceiling), it would be {ceiling}.{_worth(result)}"
    )


def docking_sentence(found: Mapping[str, Any], units: UnitSystem = METRIC) -> str:
    """Return how many zones the yard is to renew, and how much plate that may be."""
    count, more = len(found["renew"]), len(found["gauge"])
    area, most = (
        fmt.quantity(found["area_m2"][p], "m²", 2, units) for p in ("p50", "p90")
    )
    heavy = fmt.quantity(found["kg"]["p90"], "kg", 2, units)
    return (
        f"{fmt.counted(count, 'zone', 'No')} to renew at the docking of "
        f"{found['horizon']}, {more} to gauge before the yard decides: together {area} "
        f"of plate may lie below a limit then, one chance in ten of over {most} "
        f"({heavy})."
    )


def surveys_sentence(found: Mapping[str, Any]) -> str:
    """Return which circuit's insulation is the lowest, and how it falls."""
    if not found["trends"]:
        return "No insulation test of a sound branch is written with its temperature."
    least = found["trends"][0]
    falls = least["halving_years"] is not None
    return (
        f"Lowest of {len(found['trends'])} circuits at "
        f"{found['reference_celsius']:g} °C: {least['circuit']}, "
        f"{fmt.ohms(least['corrected_ohm'])}{f', halves in {halves(least)}' * falls}."
    )


def _worth(result: "Estimate") -> str:
    """Return what the stray loss is worth, where the price of steel is written."""
    price = result.ship.prices.steel_per_kg
    if price is None:
        return ""
    money = price * result.totals["stray_kg"]["mean"]
    currency = result.ship.display.currency or OWN_CURRENCY
    worth = fmt.number(money)
    return f" By weight the stray loss is worth an expected {worth} {currency}."


def plan_sentence(plan: Mapping[str, Any]) -> str:
    """Return how a plan uses the hours at hand, and what it leaves out."""
    cost = f" at {fmt.number(plan['cost'])} {OWN_CURRENCY}" if "cost" in plan else ""
    best = (
        "no other set of zones is worth more"
        if plan["proven_best"]
        else "the set was not proven best"
    )
    rest, enough = plan["left_out"], len(plan["told_enough"])
    again = (
        f"{enough} zones need no gauging again: less than 1 % that it would change "
        "whether they are renewed. "
    )
    return (
        f"It is expected to find {fmt.number(plan['deficits'], 2)} deficits, zones "
        "below a limit today, and to change "
        f"{fmt.number(plan['decisions'], 2)} decisions: whether "
        "a zone is dealt with at once, renewed at the docking, gauged again or left. "
        f"{plan['hours_used']:g} of {plan['hours']:g} hours are used{cost}; {best}. "
        f"{again * bool(enough)}{settled_sentence(plan['settled'])}"
        f"Left out is {fmt.percent(rest['share_of_risk'])} of the ship's risk, first "
        f"{', '.join(rest['zones']) or 'nothing'}."
    )


def settled_sentence(zones: Sequence[str]) -> str:
    """Return which zones are left out because it is clear what becomes of them.

    Examples
    --------
    >>> settled_sentence(["E1-P-BOT"])[:50]
    'E1-P-BOT is left out: likelier below a limit at th'
    """
    if not zones:
        return ""
    them = f"{', '.join(zones)} {'is' if len(zones) == 1 else 'are'}"
    return (
        f"{them} left out: likelier below a limit at the docking than not, whatever is "
        "read there. Settle the renewal with the yard and the surveyor, who gauge to "
        "mark out the plates. "
    )


def further_sentence(plan: Mapping[str, Any]) -> str:
    """Return what a plan is worth, and what further hours would add."""
    more = "; ".join(
        f"{row['hours']:g} h in all, {fmt.number(row['gain'])} more"
        for row in plan["further"]
        if row["gain"] > _NOTHING
    )
    return (
        f"The plan is worth {fmt.number(plan['value'])}: what the gaugings are "
        "expected to take off the chance below limit, times the consequence (1 to 5). "
        f"Further hours: {more or 'they add nothing'}."
    )


def durations_sentence(durations: Mapping[str, Any]) -> str:
    """Return how long the ground faults stood."""
    note, median = str(durations["note"]), durations["median_hours"]
    if not durations["curve"]:
        return f"{fmt.capital(note)}."
    stood = (
        "more than half outlast the records"
        if median is None
        else f"half were cleared within {fmt.duration(median)} of being found"
    )
    return f"Of the ground faults, {stood}. {note}"


def touch(amps: Mapping[str, float]) -> str:
    """Return what a body would carry from one conductor to hull.

    Parameters
    ----------
    amps : mapping
        ``healthy``, ``as_she_stands`` and, from what on it can kill, ``danger``. [mA]

    Examples
    --------
    >>> milliamperes = {"healthy": 214.3, "as_she_stands": 12.0, "danger": 30.0}
    >>> touch(milliamperes).partition(": ")[2]
    '214 mA healthy and without lamps (can kill), 12.0 mA as she stands (no sign of \
safety)'
    """
    healthy, now = (
        f"{fmt.number(amps[key])} mA {words} "
        f"({'can kill' if amps[key] > amps['danger'] else 'no sign of safety'})"
        for key, words in (
            ("healthy", "healthy and without lamps"),
            ("as_she_stands", "as she stands"),
        )
    )
    return f"through a body from one conductor to hull: {healthy}, {now}"
