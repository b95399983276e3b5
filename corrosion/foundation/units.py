"""The one place where units are converted; everything inside is SI.

Multiply a value in the named unit by the constant to get SI, divide to get back:
``thickness_m = 12.5 * MM`` and ``thickness_mm = thickness_m / MM``.
"""

from typing import Final

MM: Final = 1e-3  # one millimetre [m]
MICROFARAD: Final = 1e-6  # one microfarad [F]
MILLIAMPERE: Final = 1e-3  # one milliampere [A]
PERCENT: Final = 1e-2  # one hundredth [-]
MINUTE: Final = 60.0  # one minute [s]
HOUR: Final = 3600.0  # one hour; also one ampere-hour in coulombs [s]
DAY: Final = 86400.0  # one day [s]
YEAR: Final = 365.25 * DAY  # one Julian year; the only year length used here [s]
MAINS: Final = 60.0
"""Frequency for which the basis table states its alternating-current values. [Hz]"""


def scaled_ohms(value: float) -> tuple[float, str]:
    """Return a resistance [Ω] in the unit that people would write it in.

    Examples
    --------
    >>> scaled_ohms(47e3)
    (47.0, 'kΩ')
    """
    for factor, unit in ((1e6, "MΩ"), (1e3, "kΩ")):
        if abs(value) >= factor:
            return value / factor, unit
    return value, "Ω"
