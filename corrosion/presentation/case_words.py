"""The case for isolating sooner in sentences: what was, and what is to come."""

from collections.abc import Mapping
from typing import Any, Final

from corrosion.presentation.format import (
    duration,
    interval,
    number,
    quantiles,
    quantity,
)
from corrosion.presentation.units import METRIC, UnitSystem

__all__ = ["case_sentence", "depth", "future_sentence", "second_faults"]

_READABLE_MM: Final = 0.01  # what a gauge can tell
_SECOND: Final = {
    "another_conductor": "on another conductor",
    "past_trip": "past what a breaker trips at",
    "between": "below that, unseen and warm",
}
"""What a second fault does, by its key, in words."""


def case_sentence(
    row: Mapping[str, Any],
    *,
    zone: str | None,
    currency: str = "",
    units: UnitSystem = METRIC,
) -> str:
    """Return what one limit would have kept, for a memo.

    Parameters
    ----------
    row : mapping
        Of ``corrosion isolate``'s ``limits``.
    zone : str or None
        Name of the zone in which most was kept; None: none.
    currency : str, optional
        In which its price is written.
    units : UnitSystem, optional
        In which it is read.

    Returns
    -------
    str
        One sentence: mass, depth on the worst plate, money where it is priced.
    """
    worth = row.get("saved_money")
    money = f", worth an expected {number(worth['mean'])} {currency}" if worth else ""
    where = "" if zone is None else f", {depth(row, units)} on {zone}"
    return (
        f"Had every fault been cleared within {duration(row['within_hours'])} of being "
        f"found, {interval(row, 'kept_kg', 'kg', units)} more steel would be in her"
        f"{where}{money.rstrip()}."
    )


def depth(row: Mapping[str, Any], units: UnitSystem = METRIC) -> str:
    """Return the depth kept where most is; what no gauge can read as such.

    Examples
    --------
    >>> depth({"most_kept_mm": {"p10": 0.0004, "p50": 0.003, "p90": 0.02}})
    'under 0.01 mm'
    """
    if (quantiles(row, "most_kept_mm")[1] or 0.0) < _READABLE_MM:
        return f"under {quantity(_READABLE_MM, 'mm', 1, units)}"
    return interval(row, "most_kept_mm", "mm", units)


def future_sentence(
    row: Mapping[str, Any],
    now: Mapping[str, float] | None,
    units: UnitSystem = METRIC,
) -> str:
    """Return what it keeps from now on until the next docking.

    Parameters
    ----------
    row : mapping
        As for :func:`case_sentence`; without ``from_now`` there is nothing to say.
    now : mapping or None
        Second faults to be expected with nothing changed.
    units : UnitSystem, optional
        In which it is read.

    Examples
    --------
    >>> few = {"p10": 0.1, "p50": 0.2, "p90": 0.4}
    >>> row = {"from_now": {"kept_kg": few, "months": few}}
    >>> future_sentence(row, None)
    'Kept up from now to the next docking, it keeps 0.200 (0.100 to 0.400) kg and \
moves the first limit by 0.200 (0.100 to 0.400) months.'
    """
    ahead = row.get("from_now")
    if not ahead or not ahead.get("kept_kg"):
        return ""
    until = ahead.get("until") or "the next docking"
    words = (
        f"Kept up from now to {until}, it keeps "
        f"{interval(ahead, 'kept_kg', 'kg', units)}"
    )
    if ahead.get("months"):
        plate = f"the limit of {ahead['zone']}" if ahead.get("zone") else "the first"
        plate += " limit" * (not ahead.get("zone"))
        words += f" and moves {plate} by {interval(ahead, 'months')} months"
    fewer = second_faults(row, now)
    if fewer:
        avoided = sum(before - after for _, before, after in fewer)
        words += f"; expect {number(avoided, 2)} second faults fewer"
    return f"{words}."


def second_faults(
    row: Mapping[str, Any], now: Mapping[str, float] | None
) -> list[tuple[str, float, float]]:
    """Return second faults to be expected: in words, with nothing changed, with it."""
    ahead = row.get("from_now") or {}
    then = ahead.get("second_faults")
    if not then or not now:
        return []
    return [
        (words, float(now[key]), float(then[key]))
        for key, words in _SECOND.items()
        if now.get(key) is not None and then.get(key) is not None
    ]
