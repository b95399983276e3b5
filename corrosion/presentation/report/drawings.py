"""The report's drawings of hull, ranking and faults, as they are on the pages."""

from collections.abc import Sequence
from typing import Final

import numpy as np
import pandas as pd

from corrosion.foundation.json_values import rows_of
from corrosion.foundation.units import YEAR
from corrosion.presentation import format as fmt
from corrosion.presentation.figures import quantities, theme
from corrosion.presentation.figures.ranking import ranking_words
from corrosion.presentation.figures.shell_layout import ShellLayout, lay_out_shell
from corrosion.presentation.figures.table_columns import column, in_units
from corrosion.presentation.figures.timeline import SUPPLY_COLOURS
from corrosion.presentation.figures.timeline_layout import schedule, schedule_words
from corrosion.presentation.report.svg_canvas import (
    DASHED,
    END,
    START,
    Canvas,
    even_ticks,
)
from corrosion.presentation.units import METRIC, UnitSystem
from corrosion.records.ship import Form

_FIRST: Final = 5
_INTERVALS: Final = (
    ("left_mm", theme.MARK, 6, 5),
    ("left_under_pit_mm", theme.LINE, 2.5, 3),
)
_UPRIGHT: Final = (
    ("built_mm", theme.LINE, 0.38),
    ("limit_mm", theme.ACCENT, 0.38),
    ("pit_limit_mm", theme.ACCENT, 0.18),
)
_THICKNESSES: Final = (
    *(f"{stem}_{end}" for stem, *_ in _INTERVALS for end in ("p10", "p90")),
    *(name for name, *_ in _UPRIGHT),
)
_FRAME: Final = ' stroke="#000" stroke-width="2"'


def shell_svg(
    zones: pd.DataFrame, form: Form, *, colour: str | quantities.Quantity
) -> str:
    """Draw :func:`corrosion.presentation.figures.shell.shell_expansion` for paper.

    Raises LookupFailed if zones are not coloured by that column.
    """
    asked = quantities.quantity_of(colour) if isinstance(colour, str) else colour
    drawing = lay_out_shell(zones, form)
    tall = drawing.top - drawing.bottom
    sheet = Canvas(
        height=round(310.0 * tall / (2.0 * drawing.top)) + 100,
        top=42,
        x=(drawing.left, drawing.right),
        y=(drawing.bottom, drawing.top),
    )
    frames = [(t, f"{t:g}") for t in even_ticks(drawing.left, drawing.right, 9)]
    sheet.bottom_axis(frames, "Frame number (bow at the left, stern at the right)")
    values = asked.values(zones)
    fills = quantities.zone_colours(zones, asked)
    rows = rows_of(zones)
    sheet.parts.append(f'<g stroke="{theme.LINE}" stroke-width=".6">')
    for patch, fill in zip(drawing.patches, fills, strict=True):
        sheet.polygon(patch.x, patch.y, fill)
    for patch, row in zip(drawing.patches, rows, strict=True):
        if row["rank"] <= _FIRST:
            sheet.polygon(patch.x, patch.y, "none", frame=_FRAME)
    sheet.parts.append("</g>")
    for sign in (1.0, -1.0):
        line = sign * drawing.waterline
        sheet.curve(drawing.frames, line, theme.ACCENT, style=DASHED)
    _zone_words(sheet, zones, drawing, asked)
    for lane in drawing.lanes:
        sheet.text_at(sheet.left - 8, sheet.down(lane.y), [lane.label], style=END)
    stops = theme.DIVERGING if asked.signed else theme.SEQUENTIAL
    _colour_bar(sheet, f"{asked.label} ({asked.unit})", asked.ends(values), stops)
    return sheet.svg(quantities.shell_words(zones, asked))


def _zone_words(
    sheet: Canvas, zones: pd.DataFrame, drawing: ShellLayout, asked: quantities.Quantity
) -> None:
    """Write id and value into each zone, or the id beside a strip too short for it."""
    for patch, fill, lines, outside in quantities.zone_words(
        zones, drawing, asked, sheet.scale
    ):
        if outside:
            end = sheet.across(float(patch.x.max())) + 4
            sheet.text_at(end, sheet.down(patch.centre[1]), lines, style=START)
        else:
            ink = f' fill="{theme.ink_on(fill)}"'
            sheet.text(*patch.centre, lines, style=ink)


def _colour_bar(
    sheet: Canvas, label: str, ends: tuple[str, str], stops: Sequence[str]
) -> None:
    """Add the scale at the top right, in plain steps."""
    pale, dark = ends
    at = sheet.width - sheet.right - 18 * len(stops) - 40
    sheet.text_at(at - 22 - 6 * len(pale), 14, [label], style=END)
    sheet.text_at(at - 6, 14, [pale], style=END)
    for place, stop in enumerate(stops):
        box = f'x="{at + 18 * place}" y="8" width="18" height="12"'
        sheet.parts.append(f'<rect {box} fill="{stop}"/>')
    sheet.text_at(at + 18 * len(stops) + 6, 14, [dark], style=START)
    note = "framed: the first five to gauge; dashed: waterline"
    sheet.text_at(sheet.left, 14, [note], style=START)


def ranking_svg(zones: pd.DataFrame, units: UnitSystem = METRIC) -> str:
    """Draw :func:`corrosion.presentation.figures.ranking.ranking_bars` for paper."""
    said = ranking_words(zones, units)
    zones, mm = in_units(zones, units), units.of("mm")[1]
    rows = rows_of(zones)
    ends = np.concatenate([column(zones, name) for name in _THICKNESSES])
    low, high = (float(ends.min()), float(ends.max())) if rows else (0.0, 1.0)
    room = 0.04 * max(high - low, 1.0)
    sheet = Canvas(
        height=24 * len(rows) + 90,
        left=130,
        right=110,
        top=40,
        x=(low - room, high + room),
        y=(len(rows) - 0.5, -0.5),
    )
    ticks = [(t, f"{t:g}") for t in even_ticks(*sheet.x, 8)]
    sheet.bottom_axis(ticks, f"Thickness left at the horizon ({mm})")
    for place, row in enumerate(rows):
        level = np.array([place, place], dtype=np.float64)
        for stem, ink, wide, radius in _INTERVALS:
            span = np.array([row[f"{stem}_p10"], row[f"{stem}_p90"]])
            style = f' stroke-width="{wide}" stroke-opacity=".45"'
            sheet.curve(span, level, ink, style=style)
            sheet.dot(float(row[f"{stem}_p50"]), place, ink, radius)
        for key, ink, half in _UPRIGHT:
            at = np.array([row[key], row[key]])
            upright = level + np.array([-half, half])
            sheet.curve(at, upright, ink, style=' stroke-width="2.5"')
        name = f"{row['rank']}  {row['zone']}"
        sheet.text_at(sheet.left - 10, sheet.down(place), [name], style=END)
        chance = fmt.chance(float(row["chance_below_limit"]))
        end = sheet.width - sheet.right + 12
        sheet.text_at(end, sheet.down(place), [chance], style=START)
    end = sheet.width - sheet.right + 12
    sheet.text_at(end, 20, ["chance", "below limit"], style=START)
    key = (
        "rust: mean of the zone; grey: under the deepest pit; bars: four estimates "
        "in five; blue ticks: limits (short: pit); grey tick: as built"
    )
    sheet.text_at(sheet.left, 20, [key], style=START)
    return sheet.svg(said)


def timeline_svg(faults: pd.DataFrame, berths: pd.DataFrame) -> str:
    """Draw :func:`corrosion.presentation.figures.timeline.fault_timeline` for paper."""
    plan = schedule(faults, berths)
    begin, end = _years(plan.start), _years(plan.end)
    sheet = Canvas(
        height=round(18.0 * (plan.rows + 2.0)) + 90,
        left=130,
        right=12,
        top=36,
        x=(begin, end),
        y=(plan.rows + 1.2, -0.8),
    )
    sheet.bottom_axis([(t, f"{t:g}") for t in even_ticks(begin, end, 9)], "Year")
    for bar in plan.bars:
        level = np.array([bar.row, bar.row])
        start, found, stop = (_years(m) for m in (bar.start, bar.found, bar.end))
        ink = theme.STANDING[bar.current]
        sheet.curve(np.array([start, found]), level, ink, style=' stroke-width="2.5"')
        sheet.rectangle((found, stop), (bar.row - 0.28, bar.row + 0.28), ink)
        sheet.text_at(
            sheet.across(start) - 5, sheet.down(bar.row), [bar.fault], style=END
        )
        if bar.standing:
            sheet.text_at(sheet.across(stop) + 4, sheet.down(bar.row), ["▶"])
    for berth in plan.berths:
        first, last = max(_years(berth.start), begin), min(_years(berth.end), end)
        if first < last:
            level_of = (plan.rows + 0.05, plan.rows + 0.95)
            sheet.rectangle((first, last), level_of, SUPPLY_COLOURS[berth.supply])
            sheet.text(0.5 * (first + last), plan.rows + 0.5, [berth.words])
    for name, at in (*plan.systems, ("berth", plan.rows + 0.5)):
        sheet.text_at(8, sheet.down(at), [name], style=START)
    key = (
        "thin: may have stood; thick: stood; arrow: still standing; "
        "dark: direct current; light: alternating current"
    )
    sheet.text_at(sheet.left, 14, [key], style=START)
    return sheet.svg(schedule_words(plan))


def _years(moment: np.datetime64) -> float:
    """Return a moment as a calendar year with its fraction."""
    return 1970.0 + float(moment.astype("datetime64[s]").astype(np.int64)) / YEAR
