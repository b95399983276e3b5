"""Numbers on cards: three digits, thin spaces, a unit that never breaks off."""

from datetime import date
from typing import Final

__all__ = ["age", "chance", "chance_error", "current", "kilograms", "month"]

_MONTHS: Final = (
    *("Jan", "Feb", "Mar", "Apr", "May", "Jun"),
    *("Jul", "Aug", "Sep", "Oct", "Nov", "Dec"),
)
_HARD: Final = "\N{NO-BREAK SPACE}"
_THIN: Final = "\N{NARROW NO-BREAK SPACE}"
_DAYS_AS_DAYS: Final = 400.0


def _digits(value: float, count: int) -> str:
    rounded = float(f"{value:.{count}g}")
    places = 0 if rounded >= 10.0 ** (count - 1) else 1
    return f"{rounded:,.{places}f}".replace(",", _THIN)


def kilograms(mass: float) -> str:
    """Return a mass in three digits, never a false zero.

    Examples
    --------
    >>> kilograms(0.02).replace(_HARD, " "), kilograms(7.13).replace(_HARD, " ")
    ('under 0.1 kg', '7.1 kg')
    """
    if mass < 0.1:
        return f"under 0.1{_HARD}kg"
    shown = f"{mass:.1f}" if mass < 10.0 else _digits(mass, 3)
    return f"{shown}{_HARD}kg"


def chance(probability: float) -> str:
    """Return a chance in whole per cent; below one as such."""
    if probability < 0.01:
        return f"under 1{_HARD}%"
    if probability > 0.99:
        return f"over 99{_HARD}%"
    return f"{100.0 * probability:.0f}{_HARD}%"


def chance_error(error: float) -> str:
    """Return the sampling error of a chance, where it reaches a point."""
    points = round(100.0 * error)
    return f"± {points} point{'s' * (points > 1)}" if points >= 1 else ""


def current(amps: float) -> str:
    """Return a current in words that keep two digits.

    Examples
    --------
    >>> current(0.0064).replace(_HARD, " "), current(2e-5).replace(_HARD, " ")
    ('6.4 mA', 'under 0.1 mA')
    """
    size = abs(amps)
    if size < 1e-4:
        return f"under 0.1{_HARD}mA"
    unit, shown = ("A", size) if size >= 1.0 else ("mA", 1e3 * size)
    return f"{_digits(shown, 2)}{_HARD}{unit}"


def month(day: date) -> str:
    """Return a day as its month: Feb 2028."""
    return f"{_MONTHS[day.month - 1]} {day.year}"


def age(days: float) -> str:
    """Return how long something has stood."""
    if days < 2.0:
        return f"{24.0 * days:.0f} hours"
    years = days / 365.25
    return f"{days:.0f} days" if days < _DAYS_AS_DAYS else f"{years:.0f} years"
