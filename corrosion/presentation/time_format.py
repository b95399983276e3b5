"""Durations, months and moments as people read them."""

from datetime import date
from typing import Final

import numpy as np

from corrosion.foundation.types import Array
from corrosion.presentation.format import NOT_KNOWN, number

__all__ = ["day", "duration", "hour_ticks", "month"]

_MONTHS: Final = (  # whatever the locale
    *("Jan", "Feb", "Mar", "Apr", "May", "Jun"),
    *("Jul", "Aug", "Sep", "Oct", "Nov", "Dec"),
)


_TICKS: Final = (
    (1.0, "1 h"),
    (4.0, "4 h"),
    (12.0, "12 h"),
    (24.0, "1 day"),
    (72.0, "3 days"),
    (168.0, "1 week"),
    (730.5, "1 month"),
    (2191.5, "3 months"),
    (8766.0, "1 year"),
    (43830.0, "5 years"),
    (175320.0, "20 years"),
)


_IN_DAYS: Final = 2191.5  # three months


_LENGTHS: Final = ((8766.0, "years"), (168.0, "weeks"), (24.0, "days"))


def month(day: date) -> str:
    """Return a day as its month.

    Examples
    --------
    >>> month(date(2028, 2, 29))
    'Feb 2028'
    """
    return f"{_MONTHS[day.month - 1]} {day.year}"


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
            count = f"{float(number(hours / length, 2)):g}"
            return f"{count} {unit[:-1] if count == '1' else unit}"
    return f"{hours:.2g} h"


def hour_ticks(hours: Array) -> tuple[list[float], list[str]]:
    """Return the ticks, and their words, that fall among some hours.

    Parameters
    ----------
    hours : ndarray
        Lengths of time. [h]

    Examples
    --------
    >>> hour_ticks(np.array([3.0, 30.0]))
    ([4.0, 12.0, 24.0], ['4 h', '12 h', '1 day'])
    """
    low, high = float(np.min(hours)), float(np.max(hours))
    inside = [(h, words) for h, words in _TICKS if low <= h <= high]
    return [h for h, _ in inside], [words for _, words in inside]


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
