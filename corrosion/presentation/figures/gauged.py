"""Gaugings against the estimate: what was measured, what was predicted."""

from typing import Any, Final

import numpy as np
import pandas as pd
import plotly.graph_objects as go
from plotly.subplots import make_subplots

from corrosion.foundation.json_values import rows_of
from corrosion.presentation import format as fmt
from corrosion.presentation.figures import table_columns, theme
from corrosion.presentation.units import METRIC, UnitSystem

_EDGES: Final = {"l": 8, "r": 8, "t": 40, "b": 8}


def gauged_against_predicted(
    table: pd.DataFrame, units: UnitSystem = METRIC, width: float = theme.WIDE
) -> go.Figure:
    """Draw measured against predicted thickness, and what lies between them.

    Parameters
    ----------
    table : DataFrame
        ``zone``, ``date`` (text), ``measured_mm``, ``sd_mm``, ``predicted_mm_p10``,
        ``predicted_mm_p50`` and ``predicted_mm_p90``; a row a gauging. The
        prediction is the one before the gauging was taken into account.
    units : UnitSystem, optional
        In which lengths and masses are read.
    width : float, optional
        Of the figure; the halves of a narrow one stand one above the other. [px]
    """
    by, mm = units.of("mm")
    table = table_columns.in_units(table, units)
    measured = table_columns.column(table, "measured_mm")
    low, middle, high = table_columns.quantile_columns(table, "predicted_mm")
    sd = table_columns.column(table, "sd_mm")
    inside = (measured >= low) & (measured <= high)
    tall = max(400, 22 * len(table) + 110)
    first: dict[str, Any] = {"row": 1, "col": 1}
    second: dict[str, Any] = {"row": 1, "col": 2}
    if width < theme.WIDE:
        second, square = {"row": 2, "col": 1}, round(width)
        tall, heights = tall + square, [square / tall, 1.0 - square / tall]
        figure = make_subplots(rows=2, row_heights=heights, vertical_spacing=70 / tall)
    else:
        widths = [0.46, 0.54]
        figure = make_subplots(cols=2, column_widths=widths, horizontal_spacing=0.08)
    theme.new_figure(
        tall,
        f"{len(table)} gaugings against the estimate: {int(inside.sum())} lie within "
        "their interval of four estimates in five.",
        figure,
    )
    words = [_words(row, mm) for row in rows_of(table)]
    ends = np.concatenate([measured, low, high])
    room = 0.4 * by
    reach = [ends.min() - room, ends.max() + room] if len(table) else [0.0, 1.0]
    same: dict[str, Any] = {"name": "predicted = measured", "showlegend": True}
    same |= {"line_dash": "dash", **first}
    theme.add_line(figure, reach, reach, theme.LINE, 1.5, **same)
    marks: dict[str, Any] = {
        "marker": {
            "symbol": ["circle" if good else "diamond" for good in inside],
            "size": 10,
            "color": [theme.MARK if good else theme.ACCENT for good in inside],
        },
        "customdata": np.array([[zone] for zone in table["zone"]], dtype=object),
        "showlegend": False,
    }
    bars: dict[str, Any] = {"color": theme.LINE, "thickness": 1.5, "width": 0}
    bars["symmetric"] = False
    theme.add_marks(
        figure,
        measured,
        middle,
        words,
        error_y=bars | {"array": high - middle, "arrayminus": middle - low},
        error_x=bars | {"array": sd, "symmetric": True},
        **marks,
        **first,
    )
    names = table_columns.places(
        f"{row['zone']}  {row['date']}" for row in rows_of(table)
    )
    theme.add_marks(
        figure,
        measured - middle,
        names,
        words,
        error_x=bars | {"array": middle - low, "arrayminus": high - middle},
        **marks,
        **second,
    )
    _add_keys(figure)
    figure.add_vline(x=0.0, line={"color": theme.LINE, "dash": "dash"}, **second)
    figure.update_xaxes(title_text=f"Measured ({mm})", range=reach, **first)
    figure.update_yaxes(title_text=f"Predicted ({mm})", range=reach, **first)
    figure.update_xaxes(title_text=f"Measured less predicted ({mm})", **second)
    theme.name_rows(figure, side="right", **second)
    return figure.update_layout(margin=_EDGES, hovermode="closest")


def _add_keys(figure: go.Figure) -> None:
    """Add what the two signs mean to the legend."""
    for name, symbol, colour in (
        ("within four estimates in five", "circle", theme.MARK),
        ("outside: ask why", "diamond", theme.ACCENT),
    ):
        look = {"symbol": symbol, "size": 10, "color": colour}
        nowhere: dict[str, Any] = {"x": [np.nan], "y": [np.nan], "row": 1, "col": 1}
        figure.add_scatter(mode="markers", marker=look, name=name, **nowhere)


def _words(row: dict[str, Any], mm: str) -> str:
    return (
        f"<b>{row['zone']}</b> {row['date']}<br>"
        f"measured {fmt.quantity(row['measured_mm'], mm)}<br>"
        f"predicted {fmt.interval(row, 'predicted_mm', mm)}"
    )
