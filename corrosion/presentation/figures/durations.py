"""Lengths of time on paper: ticks in words, from an hour to a century."""

import numpy as np

from corrosion.foundation.types import Array
from corrosion.presentation.sentences import number

__all__ = ["duration", "hour_ticks"]

_STEPS = (
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
_IN_DAYS = 2191.5  # three months
_UNITS = ((8766.0, "years"), (168.0, "weeks"), (24.0, "days"))


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
    inside = [(h, words) for h, words in _STEPS if low <= h <= high]
    return [h for h, _ in inside], [words for _, words in inside]


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
    for length, unit in _UNITS:
        if unit == "weeks" and hours < _IN_DAYS and hours % length:
            continue  # 30 days are not 4.3 weeks
        if hours >= length:
            count = f"{float(number(hours / length, 2)):g}"
            return f"{count} {unit[:-1] if count == '1' else unit}"
    return f"{hours:.2g} h"
