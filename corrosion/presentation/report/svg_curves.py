"""Steel kept for paper: by quicker isolation as a curve, by measures side by side."""

from collections.abc import Mapping, Sequence
from typing import Any, Final

import numpy as np
import pandas as pd

from corrosion.foundation.types import Array
from corrosion.presentation import format as fmt
from corrosion.presentation.figures import theme
from corrosion.presentation.figures.isolation import hour_ticks, saved_words
from corrosion.presentation.figures.table_columns import (
    column,
    in_units,
    quantile_columns,
)
from corrosion.presentation.format import quantiles
from corrosion.presentation.report.svg_canvas import START, Canvas, even_ticks
from corrosion.presentation.units import METRIC, UnitSystem

_THICK: Final = ' stroke-width="2.5"'


def saved_steel_svg(limits: pd.DataFrame, units: UnitSystem = METRIC) -> str:
    """Draw :func:`~presentation.figures.isolation.saved_steel_curve` for paper."""
    said = saved_words(limits, units)
    limits, kg = in_units(limits, units), units.of("kg")[1]
    hours = column(limits, "within_hours")
    low, middle, high = quantile_columns(limits, "saved_kg")
    along = np.log10(hours)
    top = 1.12 * max(float(high.max()), 0.0) or 1.0
    ends = float(along[0]) - 0.05, float(along[-1]) + 0.05
    sheet = Canvas(height=320, right=60, top=36, x=ends, y=(0.0, top))
    places, words = hour_ticks(hours)
    sheet.bottom_axis(
        zip(np.log10(places), words, strict=True), "Every fault cleared within"
    )
    ticks = [(t, f"{t:g}") for t in even_ticks(0.0, top, 5)]
    sheet.left_axis(ticks, f"Steel kept ({kg}); band: four estimates in five")
    _band(sheet, along, low, high)
    sheet.curve(along, middle, theme.MARK, style=_THICK)
    for at, kept in zip(along, middle, strict=True):
        sheet.dot(at, kept, theme.MARK, 4)
        x, y = sheet.across(at) + 6, sheet.down(kept) - 12
        sheet.text_at(x, y, [fmt.quantity(kept, kg)])
    return sheet.svg(said)


def _band(sheet: Canvas, x: Array, low: Array, high: Array) -> None:
    """Add the interval about a curve."""
    around = np.concatenate([x, x[::-1]])
    edges = np.concatenate([low, high[::-1]])
    sheet.polygon(around, edges, theme.MARK, frame=' fill-opacity=".22"')


_ROW: Final = 46  # height of one measure [px]


def scale_top(rows: Sequence[Mapping[str, Any]]) -> float:
    """Return the end of the one scale: the greatest p90 of what is kept [kg]."""
    return max((quantiles(row, "kept_kg")[2] or 0.0 for row in rows), default=0.0)


def measures_svg(
    rows: Sequence[Mapping[str, Any]], caption: str, units: UnitSystem = METRIC
) -> str:
    """Draw each measure's median and interval of steel kept, on white paper.

    ``rows``: ``measure`` and ``kept_kg`` with p10, p50, p90 [kg]. ``caption``: the
    sentence that it bears out.
    """
    by, kg = units.of("kg")
    top = 1.05 * by * scale_top(rows) or 1.0
    sheet = Canvas(
        height=_ROW * len(rows) + 70,
        left=20,
        right=60,
        top=18,
        x=(0.0, top),
        y=(float(len(rows)), 0.0),
    )
    ticks = [(t, fmt.number(t)) for t in even_ticks(0.0, top, 8)]
    sheet.bottom_axis(ticks, f"Steel kept ({kg}): median, and four estimates in five")
    for place, row in enumerate(rows):
        low, middle, high = (by * (value or 0.0) for value in quantiles(row, "kept_kg"))
        said = f"{row['measure']}: {fmt.interval(row, 'kept_kg', 'kg', units)}"
        sheet.text(0.0, place + 0.3, [said], style=START)
        sheet.rectangle(
            (low, high), (place + 0.55, place + 0.8), theme.MARK, ' fill-opacity=".3"'
        )
        sheet.dot(middle, place + 0.675, theme.MARK)
    return sheet.svg(caption)
