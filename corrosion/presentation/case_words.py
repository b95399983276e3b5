"""The case for isolating sooner in sentences: what was, and what is to come."""

from collections.abc import Mapping
from typing import Any, Final

from corrosion.presentation import format as fmt
from corrosion.presentation.units import METRIC, UnitSystem

_READABLE_MM: Final = 0.01  # what a gauge can tell
_LEAST_KG: Final = 0.001  # less is nothing that anybody could weigh
_DAYS: Final = 30.44  # in a month


def case_sentence(
    row: Mapping[str, Any],
    *,
    zone: str | None,
    currency: str = "",
    units: UnitSystem = METRIC,
) -> str:
    """Return what one limit would have kept, for a memo.

    ``row``: of ``corrosion isolate``'s ``limits``. ``zone``: name of the zone in which
    most was kept; None: none. ``currency``: in which its price is written. Returns one
    sentence: mass, depth on the worst plate, money where it is priced.
    """
    worth = row.get("saved_money")
    coin = currency or "in her own money"
    money = f", worth an expected {fmt.number(worth['mean'])} {coin}" if worth else ""
    where = "" if zone is None else f", {depth(row, units)} on {zone}"
    return (
        f"Had every fault been cleared within {fmt.duration(row['within_hours'])} of "
        f"being found, {fmt.interval(row, 'kept_kg', 'kg', units)} more steel would be "
        f"in her{where}{money}."
    )


def depth(row: Mapping[str, Any], units: UnitSystem = METRIC) -> str:
    """Return the depth kept where most is; what no gauge can read as such.

    Examples
    --------
    >>> depth({"most_kept_mm": {"p10": 0.0004, "p50": 0.003, "p90": 0.02}})
    'under 0.01 mm'
    """
    if (fmt.quantiles(row, "most_kept_mm")[1] or 0.0) < _READABLE_MM:
        return f"under {fmt.quantity(_READABLE_MM, 'mm', 1, units)}"
    return fmt.interval(row, "most_kept_mm", "mm", units)


def future_sentence(
    row: Mapping[str, Any],
    now: Mapping[str, float],
    *,
    zone: str,
    units: UnitSystem = METRIC,
) -> str:
    """Return what it keeps from now on until the next docking, as expectations.

    What is to come is made of rare events: their medians say nothing.

    Parameters
    ----------
    row : mapping
        As for :func:`case_sentence`, with ``from_now``.
    now : mapping
        Second faults to be expected with nothing changed.
    zone : str
        Name of the zone in which it keeps most from now on.
    units : UnitSystem, optional
        In which it is read.
    """
    ahead = row["from_now"]
    later = ahead["months"]["mean"]
    months = f" and {zone} as thin {_later(later)} later" if later else ""
    return (
        f"Kept up from now to the next docking, expect {ahead_kg(row, units)} kept"
        f"{months}; "
        f"{second_faults(row, now)}."
    )


def ahead_kg(row: Mapping[str, Any], units: UnitSystem = METRIC) -> str:
    """Return what is expected to be kept from now on; what none could weigh as such.

    Examples
    --------
    >>> ahead_kg({"from_now": {"kept_kg": {"mean": 0.00025}}})
    'under 0.001 kg'
    """
    mean = row["from_now"]["kept_kg"]["mean"] or 0.0
    if 0.0 < mean < _LEAST_KG:
        return f"under {fmt.quantity(_LEAST_KG, 'kg', 1, units)}"
    return fmt.quantity(mean, "kg", 2, units)


def _later(months: float) -> str:
    """Return by how much later, in months, or days where it is less than one."""
    days = months * _DAYS
    if days < 1.0:
        return "less than a day"
    many, unit = (days, "days") if months < 1.0 else (months, "months")
    return f"{fmt.amount(many, 2)} {unit}"


def second_faults(row: Mapping[str, Any], now: Mapping[str, float]) -> str:
    """Return the second faults to be expected with a measure and without.

    Those on another conductor are all that close a circuit; some of them trip a
    breaker, the others smoulder below it.

    Examples
    --------
    >>> few = {"another_conductor": 0.4, "past_trip": 0.1, "between": 0.3}
    >>> many = {"another_conductor": 1.4, "past_trip": 0.5, "between": 0.9}
    >>> second_faults({"from_now": {"second_faults": few}}, many)
    '0.40 second faults on another conductor for 1.4 (0.10 for 0.50 trip a breaker, \
0.30 for 0.90 do not)'
    """
    then = row["from_now"]["second_faults"]
    total, past, between = (
        f"{fmt.amount(then[key], 2)} for {fmt.amount(now[key], 2)}"
        for key in ("another_conductor", "past_trip", "between")
    )
    with_it, without = total.split(" for ")
    return (
        f"{with_it} second faults on another conductor for {without} ({past} trip a "
        f"breaker, {between} do not)"
    )
