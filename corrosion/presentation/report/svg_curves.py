"""The report's curves: steel kept by quicker isolation, thickness over the years."""

from typing import Final

import numpy as np
import pandas as pd

from corrosion.foundation.types import Array
from corrosion.presentation import format
from corrosion.presentation.figures import theme
from corrosion.presentation.figures.durations import hour_ticks
from corrosion.presentation.figures.isolation import saved_words
from corrosion.presentation.figures.tables import column, rows_of
from corrosion.presentation.figures.thickness_and_loss import fan_words
from corrosion.presentation.report.svg_canvas import Canvas, even_ticks

__all__ = ["saved_steel_svg", "thickness_fan_svg"]

_START: Final = ' text-anchor="start"'
_THICK: Final = ' stroke-width="2.5"'
_DASHED: Final = ' stroke-width="1.5" stroke-dasharray="5 4"'


def saved_steel_svg(limits: pd.DataFrame) -> str:
    """Draw :func:`~presentation.figures.isolation.saved_steel_curve` for paper."""
    hours = column(limits, "within_hours")
    mean, low, high = (column(limits, f"saved_kg_{s}") for s in ("mean", "p10", "p90"))
    along = np.log10(hours)
    top = 1.12 * float(high.max()) or 1.0
    sheet = _sheet((float(along[0]) - 0.05, float(along[-1]) + 0.05), (0.0, top))
    places, words = hour_ticks(hours)
    sheet.bottom_axis(
        zip(np.log10(places), words, strict=True), "Every fault cleared within"
    )
    ticks = [(t, f"{t:g}") for t in even_ticks(0.0, top, 5)]
    sheet.left_axis(ticks, "Steel kept (kg); band: four estimates in five")
    _band(sheet, along, low, high)
    sheet.curve(along, mean, theme.MARK, style=_THICK)
    for at, kept in zip(along, mean, strict=True):
        sheet.dot(at, kept, theme.MARK, 4)
        sheet.text_at(
            sheet.across(at) + 6, sheet.down(kept) - 12, [format.kg(float(kept))]
        )
    return sheet.svg(saved_words(limits))


def thickness_fan_svg(
    fan: pd.DataFrame,
    gaugings: pd.DataFrame,
    *,
    limit_mm: float,
    pit_limit_mm: float,
) -> str:
    """Draw :func:`~presentation.figures.thickness_and_loss.thickness_fan` for paper.

    Parameters
    ----------
    fan, gaugings, limit_mm, pit_limit_mm
        As there. [mm]
    """
    year = column(fan, "year")
    low, middle, high = (column(fan, p) for p in ("p10", "p50", "p90"))
    ends = (limit_mm, pit_limit_mm, float(low.min()), float(high.max()))
    sheet = _sheet(
        (float(year[0]), float(year[-1])), (min(ends) - 0.5, max(ends) + 0.5)
    )
    sheet.bottom_axis([(t, f"{t:g}") for t in even_ticks(*sheet.x, 9)], "Year")
    ticks = [(t, f"{t:g}") for t in even_ticks(*sheet.y, 6)]
    sheet.left_axis(ticks, "Thickness (mm); band: four estimates in five")
    _band(sheet, year, low, high)
    sheet.curve(year, middle, theme.MARK, style=_THICK)
    for at, words in ((limit_mm, "limit"), (pit_limit_mm, "limit under a pit")):
        sheet.curve(np.array(sheet.x), np.array([at, at]), theme.LINE, style=_DASHED)
        place = sheet.left + 4, sheet.down(at) - 9
        sheet.text_at(*place, [f"{words} {format.mm(at)}"], style=_START)
    for row in rows_of(gaugings):
        at, thick, sd = (float(row[k]) for k in ("year", "thickness_mm", "sd_mm"))
        span = np.array([thick - sd, thick + sd])
        sheet.curve(np.array([at, at]), span, theme.ACCENT, style=' stroke-width="1.5"')
        sheet.dot(at, thick, theme.ACCENT, 4)
        sheet.text_at(
            sheet.across(at) + 8, sheet.down(thick), [row["kind"]], style=_START
        )
    return sheet.svg(fan_words(fan, limit_mm))


def _sheet(x: tuple[float, float], y: tuple[float, float]) -> Canvas:
    return Canvas(
        width=1000, height=320, left=70, right=60, top=36, bottom=48, x=x, y=y
    )


def _band(sheet: Canvas, x: Array, low: Array, high: Array) -> None:
    """Add the interval about a curve."""
    around = np.concatenate([x, x[::-1]])
    edges = np.concatenate([low, high[::-1]])
    sheet.polygon(around, edges, theme.MARK, frame=' fill-opacity=".22"')
