"""Ticks of an axis of hours, in the words that people would use."""

from typing import Final

import numpy as np

from corrosion.foundation.types import Array

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
