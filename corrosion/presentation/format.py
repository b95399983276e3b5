"""How numbers with a unit are written, on pages and in the report.

A number never stands without its unit; an estimate never without its interval.
"""

import math
from typing import Final

import numpy as np

from corrosion.foundation.units import scaled_ohms
from corrosion.presentation.sentences import number

__all__ = [
    "NOT_KNOWN",
    "chance",
    "day",
    "interval",
    "kg",
    "mm",
    "ohms",
    "quantity",
]

NOT_KNOWN: Final = "not known"
"""What stands where a number is not known."""

_LEAST: Final = 1e-3


def quantity(value: float, unit: str, digits: int = 3) -> str:
    """Return a number and its unit; very small ones as less than a thousandth."""
    if math.isnan(value):
        return NOT_KNOWN
    if 0.0 < abs(value) < _LEAST:
        return f"under 0.001 {unit}"
    return f"{number(value, digits)} {unit}"


def kg(value: float) -> str:
    """Return a mass in kilograms.

    Examples
    --------
    >>> kg(12.345), kg(2e-5), kg(float("nan"))
    ('12.3 kg', 'under 0.001 kg', 'not known')
    """
    return quantity(value, "kg")


def mm(value: float) -> str:
    """Return a thickness or depth in millimetres.

    Examples
    --------
    >>> mm(9.0)
    '9.00 mm'
    """
    return quantity(value, "mm")


def ohms(value: float, digits: int = 3) -> str:
    """Return a resistance in ohms, thousands and millions of ohms.

    Examples
    --------
    >>> ohms(0.8), ohms(47e3), ohms(2.2e6)
    ('0.800 Ω', '47.0 kΩ', '2.20 MΩ')
    """
    size, unit = scaled_ohms(value)
    return quantity(size, unit, digits)


def chance(probability: float) -> str:
    """Return a probability as a whole percentage, never more certain than it is.

    Parameters
    ----------
    probability : float
        From 0 to 1. [-]

    Examples
    --------
    >>> chance(0.18), chance(0.0004), chance(0.997), chance(1.0)
    ('18 %', 'under 1 %', 'over 99 %', 'over 99 %')
    """
    if math.isnan(probability):
        return NOT_KNOWN
    whole = round(100.0 * probability)
    if whole < 1:
        return "under 1 %"
    return "over 99 %" if whole > 99 else f"{whole} %"


def interval(mean: float, p10: float, p90: float, unit: str) -> str:
    """Return a mean with the bounds that hold four estimates in five.

    Parameters
    ----------
    mean, p10, p90 : float
        Mean, tenth and ninetieth percentile, in ``unit``. [-]
    unit : str
        Their unit.

    Examples
    --------
    >>> interval(12.345, 8.1, 17.2, "kg")
    '12.3 kg (8.10 to 17.2)'
    """
    if math.isnan(mean):
        return NOT_KNOWN
    if 0.0 < abs(mean) < _LEAST and abs(p90) < _LEAST:
        return f"under 0.001 {unit}"
    return f"{number(mean)} {unit} ({number(p10)} to {number(p90)})"


def day(moment: np.datetime64) -> str:
    """Return a moment as an ISO 8601 date.

    Examples
    --------
    >>> day(np.datetime64("2026-11-25T14:20"))
    '2026-11-25'
    """
    if np.isnat(moment):
        return NOT_KNOWN
    return str(moment.astype("datetime64[D]"))
