"""Measures side by side on one scale, for a memo: what each would have kept."""

from collections.abc import Mapping, Sequence
from typing import Any, Final

from corrosion.presentation import format as fmt
from corrosion.presentation.figures import theme
from corrosion.presentation.format import quantiles
from corrosion.presentation.report.svg_canvas import Canvas, even_ticks
from corrosion.presentation.units import METRIC, UnitSystem

_ROW: Final = 46  # height of one measure [px]
_START: Final = ' text-anchor="start"'


def scale_top(rows: Sequence[Mapping[str, Any]]) -> float:
    """Return the end of the one scale: the greatest p90 of what is kept [kg]."""
    return max((quantiles(row, "kept_kg")[2] or 0.0 for row in rows), default=0.0)


def measures_svg(
    rows: Sequence[Mapping[str, Any]], caption: str, units: UnitSystem = METRIC
) -> str:
    """Draw each measure's median and interval of steel kept, on white paper.

    Parameters
    ----------
    rows : sequence of mapping
        ``measure`` and ``kept_kg`` with p10, p50, p90. [kg]
    caption : str
        The sentence that it bears out.
    units : UnitSystem, optional
        In which masses are read.
    """
    by, kg = units.of("kg")
    top = 1.05 * by * scale_top(rows) or 1.0
    sheet = Canvas(
        width=1000,
        height=_ROW * len(rows) + 70,
        left=20,
        right=60,
        top=18,
        bottom=48,
        x=(0.0, top),
        y=(float(len(rows)), 0.0),
    )
    ticks = [(t, fmt.number(t)) for t in even_ticks(0.0, top, 8)]
    sheet.bottom_axis(ticks, f"Steel kept ({kg}): median, and four estimates in five")
    for place, row in enumerate(rows):
        low, middle, high = (by * (value or 0.0) for value in quantiles(row, "kept_kg"))
        said = f"{row['measure']}: {fmt.interval(row, 'kept_kg', 'kg', units)}"
        sheet.text(0.0, place + 0.3, [said], style=_START)
        sheet.rectangle(
            (low, high), (place + 0.55, place + 0.8), theme.MARK, ' fill-opacity=".3"'
        )
        sheet.dot(middle, place + 0.675, theme.MARK)
    return sheet.svg(caption)
