"""What it has cost: thickness of one zone over the years."""

import numpy as np
import pandas as pd
import plotly.graph_objects as go

from corrosion.foundation.types import Array
from corrosion.presentation import format as fmt
from corrosion.presentation.figures import theme
from corrosion.presentation.figures.table_columns import (
    column,
    in_units,
    rows_of,
)
from corrosion.presentation.units import METRIC, UnitSystem

__all__ = ["crossing_year", "fan_words", "thickness_fan"]


def thickness_fan(
    fan: pd.DataFrame,
    gaugings: pd.DataFrame,
    *,
    limit_mm: float,
    pit_limit_mm: float,
    units: UnitSystem = METRIC,
) -> go.Figure:
    """Draw one zone's mean thickness over the years, with its limits and gaugings.

    Parameters
    ----------
    fan : DataFrame
        ``year`` (with fraction), ``p10``, ``p50``, ``p90`` in millimetres.
    gaugings : DataFrame
        ``year``, ``thickness_mm``, ``sd_mm`` and ``kind`` (``mean`` or ``least``);
        may be empty.
    limit_mm, pit_limit_mm : float
        Least thickness allowed, of the zone and under a pit. [mm]
    units : UnitSystem, optional
        In which lengths and masses are read.
    """
    words = fan_words(fan, limit_mm, units)
    by, mm = units.of("mm")
    fan = fan.assign(**{p: fan[p] * by for p in ("p10", "p50", "p90")})
    gaugings = in_units(gaugings, units)
    limit_mm, pit_limit_mm = by * limit_mm, by * pit_limit_mm
    year = column(fan, "year")
    low, middle, high = (column(fan, p) for p in ("p10", "p50", "p90"))
    meets = crossing_year(year, low, limit_mm)
    figure = theme.new_figure(400, words)
    figure.add_scatter(
        x=np.concatenate([year, year[::-1]]),
        y=np.concatenate([low, high[::-1]]),
        fill="toself",
        fillcolor=theme.translucent(theme.MARK, 0.22),
        line={"width": 0},
        hoverinfo="skip",
        name="four estimates in five",
    )
    figure.add_scatter(
        x=year,
        y=middle,
        mode="lines",
        line={"color": theme.MARK, "width": 2.5},
        hovertext=[
            f"{row['year']:.0f}: {fmt.interval(row, unit=mm)}" for row in rows_of(fan)
        ],
        hoverinfo="text",
        name="middle estimate",
    )
    _add_gaugings(figure, gaugings, mm)
    for at, name in ((limit_mm, "limit"), (pit_limit_mm, "limit under a pit")):
        figure.add_hline(
            y=at,
            line={"color": theme.LINE, "width": 1.5, "dash": "dash"},
            annotation={
                "text": f"{name} {fmt.quantity(at, mm)}",
                "xanchor": "left",
                "x": 0.0,
                "font": {"size": 12},
            },
        )
    if meets is not None:
        figure.add_annotation(
            x=meets,
            y=limit_mm,
            text=f"one chance in ten<br>below limit from {meets:.0f}",
            ax=-70,
            ay=52,
            arrowcolor=theme.LINE,
            font={"size": 12},
        )
    figure.update_xaxes(title_text="Year", tickformat="d")
    ends = [limit_mm, pit_limit_mm, float(low.min()), float(high.max())]
    figure.update_yaxes(
        title_text=f"Thickness ({mm})",
        range=[min(ends) - 0.5 * by, max(ends) + 0.5 * by],
    )
    return figure


def crossing_year(year: Array, low: Array, limit_mm: float) -> float | None:
    """Return the year in which a falling curve meets a limit, or None if it does not.

    Examples
    --------
    >>> crossing_year(np.array([2020.0, 2030.0]), np.array([11.0, 9.0]), 10.0)
    2025.0
    """
    under = np.flatnonzero(low < limit_mm)
    if not under.size:
        return None
    after = int(under[0])
    if after == 0:
        return float(year[0])
    fall = low[after - 1] - low[after]
    share = (low[after - 1] - limit_mm) / fall
    return float(year[after - 1] + share * (year[after] - year[after - 1]))


def _add_gaugings(figure: go.Figure, gaugings: pd.DataFrame, mm: str) -> None:
    for kind, symbol in (("mean", "circle"), ("least", "triangle-down")):
        some = gaugings[gaugings["kind"] == kind]
        if some.empty:
            continue
        figure.add_scatter(
            x=column(some, "year"),
            y=column(some, "thickness_mm"),
            error_y={"array": column(some, "sd_mm"), "color": theme.ACCENT},
            mode="markers",
            marker={"symbol": symbol, "size": 10, "color": theme.ACCENT},
            hovertext=[
                f"gauged {row['year']:.1f}: "
                f"{fmt.quantity(row['thickness_mm'], mm)} ({kind})"
                for row in rows_of(some)
            ],
            hoverinfo="text",
            name=f"gauged, {kind}",
        )


def fan_words(fan: pd.DataFrame, limit_mm: float, units: UnitSystem = METRIC) -> str:
    """Return in one sentence what a thickness fan shows.

    Parameters
    ----------
    fan : DataFrame
        As :func:`thickness_fan` takes it.
    limit_mm : float
        Least thickness allowed. [mm]
    units : UnitSystem, optional
        In which lengths and masses are read.
    """
    meets = crossing_year(column(fan, "year"), column(fan, "p10"), limit_mm)
    last = rows_of(fan.tail(1))[0]
    left = fmt.interval(last, unit="mm", units=units)
    when = (
        "the limit is not reached" if meets is None else f"may pass it from {meets:.0f}"
    )
    return (
        f"Thickness over the years: {left} left in {last['year']:.0f}, "
        f"limit {fmt.quantity(limit_mm, 'mm', units=units)}; {when}."
    )
