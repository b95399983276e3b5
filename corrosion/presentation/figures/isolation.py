"""What quicker isolation would have saved, and how long faults stand."""

from typing import Any, Final

import numpy as np
import pandas as pd
import plotly.graph_objects as go

from corrosion.foundation.json_values import rows_of
from corrosion.foundation.types import Array
from corrosion.presentation import format as fmt
from corrosion.presentation.figures import theme
from corrosion.presentation.figures.table_columns import (
    column,
    in_units,
    quantile_columns,
)
from corrosion.presentation.format import duration, percent
from corrosion.presentation.units import METRIC, UnitSystem


def saved_steel_curve(limits: pd.DataFrame, units: UnitSystem = METRIC) -> go.Figure:
    """Draw the steel that would be kept had every fault been cleared within a limit.

    ``limits``: ``within_hours`` (ascending) and ``saved_kg_p50``, ``saved_kg_p10``,
    ``saved_kg_p90``; a row a limit.
    """
    said = saved_words(limits, units)
    limits, kg = in_units(limits, units), units.of("kg")[1]
    hours = column(limits, "within_hours")
    low, middle, high = quantile_columns(limits, "saved_kg")
    words = _each(limits, kg)
    figure = theme.new_figure(400, said)
    _add_band(figure, hours, low, high, shape="linear", name="four estimates in five")
    theme.add_marks(
        figure,
        hours,
        middle,
        words,
        mode="lines+markers+text",
        line={"color": theme.MARK, "width": 2.5},
        marker={"size": 9},
        text=[fmt.quantity(m, kg) for m in middle.tolist()],
        textposition="top right",
        textfont={"size": 12},
        cliponaxis=False,
        name="steel kept, median",
    )
    _time_axis(figure, hours, "Every fault cleared within")
    figure.update_yaxes(title_text=f"Steel kept ({kg})", rangemode="tozero")
    return figure


def saved_words(limits: pd.DataFrame, units: UnitSystem = METRIC) -> str:
    """Return in one or two sentences what the curve of steel kept shows."""
    words = _each(in_units(limits, units), units.of("kg")[1])
    if not words:
        return "Steel kept by quicker isolation: no limits given."
    return f"Steel kept by quicker isolation. {words[0]}. {words[-1]}."


def _each(limits: pd.DataFrame, kg: str) -> list[str]:
    return [
        f"Cleared within {duration(row['within_hours'])}: kept "
        f"{fmt.interval(row, 'saved_kg', kg)}"
        for row in rows_of(limits)
    ]


def duration_curve(hours: Array, share: Array, low: Array, high: Array) -> go.Figure:
    """Draw the share of faults that still stand after a time (product-limit curve).

    Parameters
    ----------
    hours : ndarray, shape (n,)
        Times at which the curve steps, ascending, > 0. [h]
    share, low, high : ndarray, shape (n,)
        Share still standing from that time on, and its confidence band. [-]
    """
    below = np.flatnonzero(share <= 0.5)
    half = (
        f"half are cleared within {duration(float(hours[below[0]]))}"
        if below.size
        else "fewer than half have been cleared"
    )
    figure = theme.new_figure(
        360, f"Share of faults still standing against time: {half}."
    )
    _add_band(
        figure, hours, 100.0 * low, 100.0 * high, shape="hv", name="confidence band"
    )
    hover = [
        f"After {duration(float(h))} {percent(float(s))} still stand"
        for h, s in zip(hours, share, strict=True)
    ]
    look: dict[str, Any] = {"mode": "lines", "name": "share still standing"}
    look["line"] = {"color": theme.MARK, "width": 2.5, "shape": "hv"}
    theme.add_marks(figure, hours, 100.0 * share, hover, **look)
    figure.add_hline(y=50.0, line={"color": theme.LINE, "width": 1, "dash": "dot"})
    _time_axis(figure, hours, "Time since the fault was found")
    figure.update_yaxes(title_text="Faults still standing (%)", range=[0.0, 103.0])
    return figure


def _add_band(
    figure: go.Figure, x: Array, low: Array, high: Array, *, shape: str, name: str
) -> None:
    """Add the interval about a curve: its lower edge, then filled to the upper."""
    band: dict[str, Any] = {"line_shape": shape}
    theme.add_line(figure, x, low, theme.MARK, 0, **band)
    band |= {"fill": "tonexty", "name": name, "showlegend": True}
    band["fillcolor"] = theme.translucent(theme.MARK, 0.22)
    theme.add_line(figure, x, high, theme.MARK, 0, **band)


def _time_axis(figure: go.Figure, hours: Array, title: str) -> None:
    places, words = hour_ticks(hours) if len(hours) else ([], [])
    figure.update_xaxes(
        type="log",
        title_text=f"{title} (logarithmic scale)",
        tickvals=places,
        ticktext=words,
    )


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

    ``hours``: lengths of time [h].

    Examples
    --------
    >>> hour_ticks(np.array([3.0, 30.0]))
    ([4.0, 12.0, 24.0], ['4 h', '12 h', '1 day'])
    """
    low, high = float(np.min(hours)), float(np.max(hours))
    inside = [(h, words) for h, words in _TICKS if low <= h <= high]
    return [h for h, _ in inside], [words for _, words in inside]
