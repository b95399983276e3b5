"""The units in which people read: metric, or those of the United States.

Files and JSON stay as their columns and keys say.
"""

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Final

_INCH_MM: Final = 25.4
_FOOT_M: Final = 0.3048
_POUND_KG: Final = 0.45359237
# International yard and pound agreement of 1959, exact (from memory).


@dataclass(frozen=True, slots=True)
class UnitSystem:
    """Units that stand in for metric ones."""

    name: str  # ``metric`` or ``us``, as ``[display] units`` in ship.toml
    # metric unit → what a number in it is multiplied by, and the unit then
    factors: Mapping[str, tuple[float, str]]

    def of(self, unit: str) -> tuple[float, str]:
        """Return the factor from a metric unit, and the unit that people read.

        Examples
        --------
        >>> US.of("kg")[1], METRIC.of("kg")
        ('lb', (1.0, 'kg'))
        """
        return self.factors.get(unit, (1.0, unit))


METRIC: Final = UnitSystem("metric", {})
"""As everything is computed."""

US: Final = UnitSystem(
    "us",
    {
        "mm": (1000.0 / _INCH_MM, "mil"),
        "kg": (1.0 / _POUND_KG, "lb"),
        "m²": (1.0 / _FOOT_M**2, "ft²"),
        "m³": (1.0 / _FOOT_M**3, "ft³"),
        "mA/m²": (_FOOT_M**2, "mA/ft²"),
    },
)
"""Thousandths of an inch, pounds, square and cubic feet."""

SYSTEMS: Final[Mapping[str, UnitSystem]] = {one.name: one for one in (METRIC, US)}
"""By name."""
