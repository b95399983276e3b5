"""The answer in one sentence, numbers as people read them, and the cautions."""

import math
from typing import TYPE_CHECKING, Any, Final

if TYPE_CHECKING:
    from collections.abc import Mapping

    from corrosion.estimate import Estimate

__all__ = [
    "CAUTIONS",
    "PANEL",
    "answer",
    "number",
    "percent",
    "spread",
    "totals_sentence",
]

CAUTIONS: Final = (
    (
        "An estimate replaces neither a gauging nor the class surveyor: gauge before "
        "you decide, and decide with the yard and the surveyor."
    ),
    (
        "An ungrounded system can kill, with a healthy lamp picture too: treat every "
        "conductor as live until it is proven dead. Test dead, lock out and tag out, "
        "follow local codes and the yard's procedures, and leave the work to licensed "
        "electricians."
    ),
    "Opening a breaker can stop a vital load: ask whoever must agree first.",
    (
        "Thin plating can give way under a hammer, a probe or blasting; diving near an "
        "energised shore supply can kill. Agree both with those responsible beforehand."
    ),
)
"""Shown wherever numbers could lead somebody to act."""

PANEL: Final = (
    "A panel is opened first: where the indication goes with it, go on below it; "
    "where it stays, pass over all that it feeds."
)
"""Said on a hunt sheet that begins with a panel somewhere."""


def number(value: float | None, digits: int = 3) -> str:
    """Return a number with a few significant digits, without exponent where short.

    Examples
    --------
    >>> number(1234.5), number(0.01234), number(None)
    ('1230', '0.0123', 'not known')
    """
    if value is None or not math.isfinite(value):
        return "not known"
    if value == 0.0:
        return "0"
    rounded = float(f"{value:.{digits - 1}e}")
    size = math.floor(math.log10(abs(rounded)))
    if -5 <= size < 7:
        return f"{rounded:.{max(0, digits - 1 - size)}f}"
    return f"{value:.{digits - 1}e}"


def percent(share: float | None) -> str:
    """Return a share in per cent, honest at both ends.

    Examples
    --------
    >>> percent(0.183), percent(0.0004), percent(0.9973), percent(0.9996)
    ('18 %', 'under 0.1 %', '99.7 %', 'over 99.9 %')
    """
    if share is None or not math.isfinite(share):
        return "not known"
    if 0.0 < share < 0.001:
        return "under 0.1 %"
    if 0.999 < share < 1.0:
        return "over 99.9 %"
    digits = 3 if 0.99 < share < 1.0 else 2
    return f"{number(100.0 * share, digits)} %"


def spread(row: "Mapping[str, Any]", name: str = "") -> str:
    """Return a mean with its 80 % interval: ``12.3 (8.1 to 17)``.

    Parameters
    ----------
    row : mapping
        Of ``mean``, ``p10`` and ``p90``, behind ``name`` and an underscore if given.
    name : str, optional
        The quantity.

    Examples
    --------
    >>> spread({"mean": 12.31, "p10": 8.12, "p90": 17.0})
    '12.3 (8.12 to 17.0)'
    """
    head = f"{name}_" if name else ""
    mean, low, high = (number(row[head + key]) for key in ("mean", "p10", "p90"))
    return f"{mean} ({low} to {high})"


def answer(result: "Estimate") -> str:
    """Return what to do first, and why, in one sentence."""
    first = result.zones.iloc[0]
    frames = f"frames {first.frame_from:g} to {first.frame_to:g}"
    chance = percent(first.chance_below_limit)
    if first.chance_below_limit <= 0.0:
        return (
            "In these samples no zone falls below its limit by "
            f"{result.horizon}; the most wasted is {first.zone} ({first['name']}, "
            f"{frames})."
        )
    due = first.inspect_by
    when = "after the years looked at" if due is None else f"by {due}"
    if due is not None and due <= result.as_of.isoformat():
        when = "now"
    return (
        f"Gauge {first.zone} ({first['name']}, {frames}) {when}: {chance} chance to be "
        f"below its limit on {result.horizon}; most of its loss is "
        f"{_CAUSES[first.leading_cause]}. {_couple(result)}"
    )


_CAUSES: Final = {
    "stray": "stray current from faults",
    "natural": "natural corrosion",
    "shore couple": "the couple with the earthed shore supply",
}


def _couple(result: "Estimate") -> str:
    stray = result.totals["stray_kg"]["mean"]
    couple = result.totals["couple_kg"]["mean"]
    if stray <= 0.0:
        return "Stray currents took nothing from the hull."
    share = percent(couple / stray)
    return (
        f"Of the ship's stray loss, {share} comes from the couple with the shore earth."
    )


def totals_sentence(result: "Estimate") -> str:
    """Return what the ship has lost, in one sentence."""
    t = result.totals
    return (
        f"Up to {result.as_of}, stray currents took {spread(t['stray_kg'])} kg and "
        f"natural corrosion {spread(t['natural_kg'])} kg. Were every ampere of the "
        "faults to dissolve steel where it entered (the ceiling), it would be "
        f"{spread(t['ceiling_kg'])} kg.{_worth(result)}"
    )


def _worth(result: "Estimate") -> str:
    """Return what the stray loss is worth, where the price of steel is written."""
    price = result.ship.prices.steel_per_kg
    if price is None:
        return ""
    money = {name: price * kg for name, kg in result.totals["stray_kg"].items()}
    return f" By weight the stray loss is worth {spread(money)} at her price of steel."
