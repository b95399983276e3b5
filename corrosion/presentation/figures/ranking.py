"""Where to look first: thickness left against its limit, and what drives the order."""

from collections.abc import Mapping
from typing import Any, Final

import numpy as np
import pandas as pd
import plotly.graph_objects as go

from corrosion.foundation.json_values import rows_of
from corrosion.presentation import format as fmt
from corrosion.presentation.figures import table_columns, theme
from corrosion.presentation.units import METRIC, UnitSystem

_ROW: Final = 30
_EDGES: Final = 96
_TICKS: Final[Mapping[str, tuple[str, str, int]]] = {
    "limit_mm": ("limit", theme.ACCENT, 20),
    "pit_limit_mm": ("limit under a pit", theme.ACCENT, 9),
    "built_mm": ("as built", theme.LINE, 20),
}
"""Column → words, colour and length of its tick."""
_INTERVALS: Final = (
    ("left_mm", theme.MARK, 6, 11, "circle", "mean of the zone"),
    ("left_under_pit_mm", theme.LINE, 2.5, 8, "triangle-down", "under the deepest pit"),
)
"""Stem of columns, colour, width of the line, size and sign of the middle, words."""


def ranking_bars(zones: pd.DataFrame, units: UnitSystem = METRIC) -> go.Figure:
    """Draw each zone's thickness left as a dot on its interval, beside its limit.

    The chance counts both ways of being below: the zone's mean, and the deepest pit;
    so both are drawn, with lines that hold four estimates in five.

    ``zones``: the estimate's zones table, the most urgent first: ``zone``, ``rank``,
    ``left_mm_*`` and ``left_under_pit_mm_*`` (p10, p50, p90), ``limit_mm``,
    ``pit_limit_mm``, ``built_mm`` and ``chance_below_limit``. Give as many rows as
    shall be shown.
    """
    words = ranking_words(zones, units)
    zones, mm = table_columns.in_units(zones, units), units.of("mm")[1]
    rows = rows_of(zones)
    names = table_columns.places(f"{row['rank']}  {row['zone']}" for row in rows)
    figure = theme.new_figure(_ROW * len(rows) + _EDGES, words)
    hover = [_hover(row, mm) for row in rows]
    customdata = np.array([[zone] for zone in zones["zone"]], dtype=object)
    for stem, colour, wide, size, symbol, words in _INTERVALS:
        low, middle, high = table_columns.quantile_columns(zones, stem)
        span = np.column_stack([low, high, np.full(len(zones), np.nan)]).ravel()
        each = np.repeat(np.array(names, dtype=object), 3)
        theme.add_line(figure, span, each, colour, wide, opacity=0.45)
        look: dict[str, Any] = {"color": colour, "size": size, "symbol": symbol}
        more = {"customdata": customdata, "name": words}
        theme.add_marks(figure, middle, names, hover, marker=look, **more)
    for name, (label, colour, size) in _TICKS.items():
        at = table_columns.column(zones, name)
        hover = [f"{label} {fmt.quantity(value, mm)}" for value in at.tolist()]
        look = {"symbol": "line-ns-open", "size": size, "color": colour}
        look["line"] = {"color": colour, "width": 2.5}
        theme.add_marks(figure, at, names, hover, marker=look, name=label)
    beside = {"x": 1.0, "xref": "paper", "xanchor": "left", "xshift": 12}
    notes = [
        beside | {"y": name, "text": fmt.chance(float(row["chance_below_limit"]))}
        for name, row in zip(names, rows, strict=True)
    ]
    head = {"y": 1.0, "yref": "paper", "yanchor": "bottom", "align": "left"}
    head |= {"text": "chance<br>below limit", "font": {"size": 12}}
    figure.update_layout(annotations=[*notes, beside | head])
    figure.update_xaxes(title_text=f"Thickness left at the horizon ({mm})")
    theme.name_rows(figure, categoryorder="array", categoryarray=names)
    return figure.update_layout(margin={"r": 96, "t": 48}, hovermode="closest")


def _hover(row: dict[str, Any], mm: str) -> str:
    return (
        f"<b>{row['zone']}</b> {row['name']}<br>"
        f"Thickness left: {fmt.interval(row, 'left_mm', mm)}<br>"
        f"Limit: {fmt.quantity(row['limit_mm'], mm)}<br>"
        f"Under the deepest pit: {fmt.interval(row, 'left_under_pit_mm', mm)}, limit "
        f"{fmt.quantity(row['pit_limit_mm'], mm)}<br>"
        f"Chance below limit: {fmt.chance(float(row['chance_below_limit']))}"
    )


def ranking_words(zones: pd.DataFrame, units: UnitSystem = METRIC) -> str:
    """Return in one sentence what the ranking shows."""
    if zones.empty:
        return "No zones to rank."
    first = rows_of(table_columns.in_units(zones.head(1), units))[0]
    mm = units.of("mm")[1]
    return (
        f"Thickness left against the limit of {len(zones)} zones; first "
        f"{first['zone']}, {fmt.quantity(first['left_mm_p50'], mm)} left, limit "
        f"{fmt.quantity(first['limit_mm'], mm)}, chance below limit "
        f"{fmt.chance(float(first['chance_below_limit']))}."
    )
