"""What a hull can be coloured by: label, unit, colours and words of each quantity."""

from collections.abc import Iterator, Mapping
from dataclasses import dataclass, replace
from typing import Any, Final, Self

import numpy as np
import pandas as pd

from corrosion.foundation.errors import LookupFailed
from corrosion.foundation.types import Array
from corrosion.presentation import format as fmt
from corrosion.presentation.figures import theme
from corrosion.presentation.figures.shell_layout import Patch, ShellLayout
from corrosion.presentation.figures.table_columns import column
from corrosion.presentation.units import UnitSystem


@dataclass(frozen=True, slots=True)
class Quantity:
    """One column of the zones table as people read it."""

    column: str  # column of the zones table
    label: str  # words for menus and colour bars
    unit: str  # unit in which it is shown
    factor: float = 1.0  # from the column's unit to the one shown [-]
    # the scale reaches at least this value, in the column's unit, so that a sound ship
    # does not look alarming [-]
    least_high: float = 0.0
    low_is_worse: bool = False  # whether the dark end stands for small values
    signed: bool = False  # zero is the scale's middle, values on both sides

    def read_in(self, units: UnitSystem) -> Self:
        """Return it for a table that :func:`in_units` has converted."""
        by, unit = units.of(self.unit)
        return replace(self, unit=unit, least_high=by * self.least_high)

    @property
    def stops(self) -> tuple[str, ...]:
        """Colours of the scale, evenly apart, from its low end on."""
        if self.signed:
            return theme.DIVERGING
        return theme.SEQUENTIAL[::-1] if self.low_is_worse else theme.SEQUENTIAL

    def text(self, value: float) -> str:
        """Return a value of the column as text with its unit."""
        if self.unit == "%":
            return fmt.chance(value)
        return fmt.quantity(value, self.unit)

    def values(self, zones: pd.DataFrame) -> Array:
        """Return the column as numbers in its own unit; not known is NaN."""
        return column(zones, self.column)

    def span(self, values: Array) -> tuple[float, float]:
        """Return the ends of the colour scale, in the column's unit."""
        known = values[np.isfinite(values)]
        if self.signed:
            reach = float(np.abs(known).max(initial=self.least_high)) or 1.0
            return -reach, reach
        high = max(float(known.max(initial=0.0)), self.least_high)
        low = float(known.min()) if self.low_is_worse and known.size else 0.0
        return low, high if high > low else low + 1.0

    def ends(self, values: Array) -> tuple[str, str]:
        """Return the ends of the colour scale as text, pale end first."""
        low, high = (self.text(end) for end in self.span(values))
        return (high, low) if self.low_is_worse else (low, high)

    def detail(self, row: Mapping[str, Any]) -> str:
        """Return the value of one zone in words, with its interval if it has one."""
        stem, _, statistic = self.column.rpartition("_")
        if statistic == "p50":
            return fmt.interval(row, stem, self.unit)
        return self.text(float(row[self.column]))


QUANTITIES: Final[Mapping[str, Quantity]] = {
    q.column: q
    for q in (
        Quantity("chance_below_limit", "Chance below limit", "%", 100.0, 0.2),
        Quantity("left_mm_p50", "Thickness left", "mm", low_is_worse=True),
        Quantity(
            "left_under_pit_mm_p50",
            "Left under the deepest pit",
            "mm",
            low_is_worse=True,
        ),
        Quantity("deepest_mm_p50", "Deepest pit", "mm", least_high=0.5),
        Quantity("bare_loss_mm_p50", "Loss at bare steel", "mm", least_high=0.2),
        Quantity("stray_mm_p50", "Loss by stray current", "mm", least_high=0.01),
        Quantity("stray_kg_p50", "Steel lost to stray current", "kg"),
        Quantity("couple_kg_p50", "Steel lost to the shore couple", "kg"),
        Quantity("natural_kg_p50", "Steel lost to natural corrosion", "kg"),
        Quantity("ceiling_kg_p50", "Ceiling: every ampere dissolves steel", "kg"),
    )
}
"""Column of the zones table → how it is read, in the order of the menu."""


LEAVING: Final = Quantity(
    "density_ma_per_m2", "Current out of the steel", "mA/m²", signed=True
)
"""Of one ampere: not a result of the estimate, and not in the menu."""


def quantity_of(name: str) -> Quantity:
    """Return how a column of the zones table is read.

    Raises LookupFailed if zones are not coloured by that column.
    """
    if name not in QUANTITIES:
        what = "quantity"
        raise LookupFailed.among(what, name, QUANTITIES)
    return QUANTITIES[name]


_LETTER: Final = 6.6
_LINE: Final = 14.0
_UNKNOWN: Final = "#c3c9cf"


def zone_colours(zones: pd.DataFrame, asked: Quantity) -> list[str]:
    """Return each zone's fill; grey where the value is not known."""
    values = asked.values(zones)
    return [
        theme.at_share(asked.stops, share) if np.isfinite(share) else _UNKNOWN
        for share in np.interp(values, asked.span(values), (0.0, 1.0)).tolist()
    ]


def _fitting(
    patch: Patch, zone: str, value: str, scale: tuple[float, float]
) -> list[str]:
    """Return the lines of words that fit into a patch: id and value, id, or none."""
    width, height = patch.width * scale[0], patch.height * scale[1]
    lines = [zone, value]
    if height < 2.0 * _LINE + 4.0:
        joined = f"{zone}  {value}"
        lines = [joined] if len(joined) * _LETTER < width else [zone]
    wide = max(len(line) for line in lines) * _LETTER
    return lines if wide < width and height >= _LINE else []


def zone_words(
    zones: pd.DataFrame,
    drawing: ShellLayout,
    asked: Quantity,
    scale: tuple[float, float],
) -> Iterator[tuple[Patch, str, list[str], bool]]:
    """Yield what is written on each zone: its patch, its fill, the lines that fit.

    Where none does, a strip beneath the shell has its id beside it: then True.
    ``scale``: pixels a frame, and pixels a metre of girth [px].
    """
    fills, values = zone_colours(zones, asked), asked.values(zones)
    for patch, fill, name, value in zip(
        drawing.patches, fills, zones["zone"], values, strict=True
    ):
        lines = _fitting(patch, str(name), asked.text(float(value)), scale)
        if lines or patch.beneath:
            yield patch, fill, lines or [str(name)], not lines


def shell_words(zones: pd.DataFrame, asked: Quantity) -> str:
    """Return in one sentence what the unfolded shell shows."""
    values = asked.values(zones)
    if not np.isfinite(values).any():
        return f"Shell unfolded, {len(zones)} zones; {asked.label.lower()} not known."
    worst = np.nanargmin(values) if asked.low_is_worse else np.nanargmax(values)
    word = "least" if asked.low_is_worse else "most"
    row = zones.iloc[int(worst)]
    return (
        f"Shell unfolded, {len(zones)} zones coloured by {asked.label.lower()}; "
        f"{word} in {row['zone']}, {row['name']}: {asked.text(float(values[worst]))}."
    )
