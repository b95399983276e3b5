"""How numbers are written: the one place, for pages, terminal, report and figures.

People read a median and the interval from p10 to p90, which holds four estimates in
five; money and counts of events are expectations and say so.
"""

import math
from collections.abc import Callable, Mapping
from datetime import date
from typing import Any, Final

import numpy as np

from corrosion.foundation.units import scaled_ohms
from corrosion.presentation.units import METRIC, UnitSystem

NOT_KNOWN: Final = "not known"
"""What stands where a number is not known."""

THOUSANDS: Final = "\N{NO-BREAK SPACE}"
"""Parts thousands, as ISO 80000-1 has it; no line is broken there."""

_LEAST: Final = 1e-4  # smaller amounts are said to be so
_HALF_PER_MILLE: Final = 0.0005
_MONTHS: Final = "JanFebMarAprMayJunJulAugSepOctNovDec"  # whatever the locale
_IN_DAYS: Final = 2191.5  # three months
_LENGTHS: Final = ((8766.0, "years"), (168.0, "weeks"), (24.0, "days"))


def number(value: float | None, digits: int = 3) -> str:
    """Return a number with a few significant digits, without exponent where short.

    Examples
    --------
    >>> number(1234.5).replace("\N{NO-BREAK SPACE}", "_"), number(0.01234), number(None)
    ('1_230', '0.0123', 'not known')
    """
    if value is None or not math.isfinite(value):
        return NOT_KNOWN
    if value == 0.0:
        return "0"
    rounded = float(f"{value:.{digits - 1}e}")
    size = math.floor(math.log10(abs(rounded)))
    if -5 <= size < 7:
        return whole(rounded, max(0, digits - 1 - size))
    return f"{value:.{digits - 1}e}"


def whole(count: float, places: int = 0) -> str:
    """Return a count, or a number to some places, its thousands parted.

    Examples
    --------
    >>> whole(4096).replace(THOUSANDS, " "), whole(87)
    ('4 096', '87')
    """
    return f"{count:,.{places}f}".replace(",", THOUSANDS)


def amount(value: float | None, digits: int = 3) -> str:
    """Return a number; one that is next to nothing as such.

    Examples
    --------
    >>> amount(12.345), amount(2e-5), amount(-2e-5), amount(0.0)
    ('12.3', 'under 0.0001', 'over -0.0001', '0')
    """
    if value is None or value == 0.0 or not abs(value) < _LEAST:
        return number(value, digits)
    return f"under {_LEAST:g}" if value > 0.0 else f"over -{_LEAST:g}"


def quantity(
    value: float | None, unit: str, digits: int = 3, units: UnitSystem = METRIC
) -> str:
    """Return a number, given in a metric unit, with the unit in which it is read.

    Examples
    --------
    >>> quantity(9.0, "mm"), quantity(2e-5, "kg"), quantity(float("nan"), "kg")
    ('9.00 mm', 'under 0.0001 kg', 'not known')
    """
    factor, unit = units.of(unit)
    said = amount(None if value is None else factor * value, digits)
    return said if said == NOT_KNOWN else f"{said} {unit}"


def percent(share: float | None) -> str:
    """Return a share in per cent, honest at both ends.

    Examples
    --------
    >>> percent(0.183), percent(0.0004), percent(0.9973), percent(0.9996)
    ('18 %', 'under 0.1 %', '99.7 %', 'over 99.9 %')
    """
    if share is None or not math.isfinite(share):
        return NOT_KNOWN
    if 0.0 < share < 0.001:
        return "under 0.1 %"
    if 0.999 < share < 1.0:
        return "over 99.9 %"
    digits = 3 if 0.99 < share < 1.0 else 2
    return f"{number(100.0 * share, digits)} %"


def chance(probability: float | None) -> str:
    """Return a probability found by sampling in per cent: never quite certain.

    Examples
    --------
    >>> chance(0.183), chance(0.0), chance(1.0)
    ('18 %', 'under 0.1 %', 'over 99.9 %')
    """
    if probability is None or math.isnan(probability):
        return NOT_KNOWN
    return percent(min(max(probability, _HALF_PER_MILLE), 1.0 - _HALF_PER_MILLE))


def quantiles(row: Mapping[str, Any], name: str = "") -> tuple[float | None, ...]:
    """Return p10, p50 and p90 of a quantity.

    ``row``: of the quantity's own statistics by name; or of ``name`` to such a mapping;
    or flat, with the statistics behind ``name`` and an underscore. ``name``: the
    quantity.

    Examples
    --------
    >>> quantiles({"kg": {"p10": 1.0, "p50": 2.0, "p90": 4.0}}, "kg")
    (1.0, 2.0, 4.0)
    >>> quantiles({"kg_p10": 1.0, "kg_p50": 2.0, "kg_p90": 4.0}, "kg")
    (1.0, 2.0, 4.0)
    """
    if name in row:
        row, name = row[name], ""
    head = f"{name}_" if name else ""
    return tuple(row[f"{head}{key}"] for key in ("p10", "p50", "p90"))


def interval(
    row: Mapping[str, Any], name: str = "", unit: str = "", units: UnitSystem = METRIC
) -> str:
    """Return a median with the interval that holds four estimates in five.

    ``row`` and ``name`` as :func:`quantiles` takes them; the unit of a share is "%".

    Examples
    --------
    >>> interval({"p10": 8.1, "p50": 12.345, "p90": 17.2}, unit="kg")
    '12.3 (8.10 to 17.2) kg'
    >>> interval({"p10": 0.0, "p50": 0.0, "p90": 0.0})
    '0'
    >>> interval({"p10": 800.0, "p50": 1990.0, "p90": 3e6}, unit="Ω")
    '1.99 kΩ (800 Ω to 3.00 MΩ)'
    """
    factor, unit = units.of(unit)
    if unit == "Ω":
        return scaled_interval(row, name, said=ohms)
    if unit == "%":
        return scaled_interval(row, name, said=percent)
    words = scaled_interval(row, name, factor)
    return words if not unit or words == NOT_KNOWN else f"{words} {unit}"


def scaled_interval(
    row: Mapping[str, Any],
    name: str = "",
    factor: float = 1.0,
    said: Callable[[float | None], str] = amount,
) -> str:
    """Return the same without a unit, each number times a factor."""
    low, middle, high = (
        said(None if value is None else factor * value)
        for value in quantiles(row, name)
    )
    return middle if low == middle == high else f"{middle} ({low} to {high})"


def ohms(value: float | None, digits: int = 3) -> str:
    """Return a resistance in ohms, thousands and millions of ohms.

    Examples
    --------
    >>> ohms(0.8), ohms(47e3), ohms(2.2e6)
    ('0.800 Ω', '47.0 kΩ', '2.20 MΩ')
    """
    if value is None:
        return NOT_KNOWN
    size, unit = scaled_ohms(value)
    return quantity(size, unit, digits)


def amperes(value: float | None) -> str:
    """Return the size of a current in amperes, or in milliamperes below one.

    Examples
    --------
    >>> amperes(-0.0064), amperes(2e-5), amperes(1.23)
    ('6.4 mA', 'under 0.1 mA', '1.2 A')
    """
    if value is None or not math.isfinite(value):
        return NOT_KNOWN
    size = abs(value)
    if 0.0 < size < _LEAST:
        return "under 0.1 mA"
    if size >= 1.0:
        return f"{number(size, 2)} A"
    return f"{number(1e3 * size, 2)} mA"


def counted(many: int, what: str, none: str = "0") -> str:
    """Return how many of something there are; ``none`` stands for no number.

    Examples
    --------
    >>> counted(2, "zone"), counted(1, "zone"), counted(0, "zone", "no")
    ('2 zones', '1 zone', 'no zones')
    """
    return f"{many or none} {what}{'s' * (many != 1)}"


def capital(words: str) -> str:
    """Return words as a sentence begins."""
    return f"{words[:1].upper()}{words[1:]}"


def chance_error(error: float) -> str:
    """Return the sampling error of a chance, where it reaches a point.

    Examples
    --------
    >>> chance_error(0.021), chance_error(0.004)
    ('± 2 points', '')
    """
    points = round(100.0 * error)
    return f"± {counted(points, 'point')}" if points >= 1 else ""


def month(day: date) -> str:
    """Return a day as its month.

    Examples
    --------
    >>> month(date(2028, 2, 29))
    'Feb 2028'
    """
    return f"{_MONTHS[3 * day.month - 3 : 3 * day.month]} {day.year}"


def duration(hours: float) -> str:
    """Return a length of time in the unit that people would use.

    Parameters
    ----------
    hours : float
        Length of time. [h]

    Examples
    --------
    >>> duration(4.0), duration(60.0), duration(8766.0), duration(24.0)
    ('4 h', '2.5 days', '1 year', '1 day')
    >>> duration(720.0), duration(672.0)
    ('30 days', '4 weeks')
    """
    for length, unit in _LENGTHS:
        if unit == "weeks" and hours < _IN_DAYS and hours % length:
            continue  # 30 days are not 4.3 weeks
        if hours >= length:
            count = f"{float(f'{hours / length:.1e}'):g}"
            return f"{count} {unit[:-1] if count == '1' else unit}"
    return f"{hours:.2g} h"


def day(moment: np.datetime64) -> str:
    """Return a moment as an ISO 8601 date.

    Examples
    --------
    >>> day(np.datetime64("2026-11-25T14:20"))
    '2026-11-25'
    """
    return NOT_KNOWN if np.isnat(moment) else str(moment.astype("datetime64[D]"))
