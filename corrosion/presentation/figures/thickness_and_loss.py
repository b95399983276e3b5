"""What it has cost: thickness over the years, kilograms by zone and by year."""

from collections.abc import Mapping, Sequence
from typing import Any, Final

import numpy as np
import pandas as pd
import plotly.graph_objects as go

from corrosion.foundation.types import Array
from corrosion.presentation import format as fmt
from corrosion.presentation.figures import theme
from corrosion.presentation.figures.table_columns import (
    column,
    in_units,
    places,
    rows_of,
)
from corrosion.presentation.units import METRIC, UnitSystem

__all__ = [
    "crossing_year",
    "fan_words",
    "loss_by_year",
    "loss_by_zone",
    "thickness_fan",
]

_SHARES: Final[Mapping[str, tuple[str, str]]] = {
    "stray": ("stray_kg", ""),
    "shore couple": ("couple_kg", "/"),
    "natural": ("natural_kg", "."),
}
"""Cause → stem of its columns, and its hatch: colour is never alone."""

_REACH: Final = 1.12


def _lost(table: pd.DataFrame) -> dict[str, Array]:
    """Return the mean loss by cause [kg], the causes adding up.

    The tables' stray loss holds the couple's; here alone it is taken out of it.
    """
    lost = {c: column(table, f"{stem}_mean") for c, (stem, _) in _SHARES.items()}
    return lost | {"stray": lost["stray"] - lost["shore couple"]}


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


def loss_by_zone(
    zones: pd.DataFrame,
    causes: Sequence[str] = tuple(_SHARES),
    units: UnitSystem = METRIC,
) -> go.Figure:
    """Draw each zone's steel lost, by cause, with the ceiling in words and as a mark.

    Parameters
    ----------
    zones : DataFrame
        ``zone`` and the means ``stray_kg_mean`` (of faults and couple together, as in
        the estimate), ``couple_kg_mean``, ``natural_kg_mean``, ``ceiling_kg_mean``.
        Give the rows that shall be shown.
    causes : sequence of str, optional
        Which of ``stray``, ``shore couple`` and ``natural`` are drawn; all.
    units : UnitSystem, optional
        In which lengths and masses are read.
    """
    zones, kg = in_units(zones, units), units.of("kg")[1]
    names = places(str(zone) for zone in zones["zone"])
    lost = _lost(zones)
    total = sum(lost[cause] for cause in causes)
    figure = theme.new_figure(28 * len(names) + 110, _alt_loss(zones, kg))
    drawn = {cause: lost[cause] for cause in causes}
    _add_causes(figure, drawn, names, kg, across=True)
    ceiling = column(zones, "ceiling_kg_mean")
    reach = _REACH * float(np.max(total, initial=0.0)) or 1.0
    inside = ceiling <= reach
    figure.add_scatter(
        x=np.where(inside, ceiling, reach),
        y=names,
        mode="markers",
        marker={
            "symbol": ["line-ns-open" if here else "triangle-right" for here in inside],
            "size": [16 if here else 12 for here in inside],
            "opacity": 1.0,
            "color": theme.LINE,
            "line": {"color": theme.LINE, "width": 2.5},
        },
        hovertext=[f"ceiling {fmt.quantity(c, kg)}" for c in ceiling.tolist()],
        hoverinfo="text",
        cliponaxis=False,
        name="ceiling: every ampere dissolves steel",
    )
    stray = [fmt.quantity(m, kg) for m in column(zones, "stray_kg_mean").tolist()]
    _add_column(figure, names, stray, "stray + couple", 14)
    most = [fmt.quantity(mass, kg) for mass in ceiling.tolist()]
    _add_column(figure, names, most, "ceiling", 118)
    figure.update_xaxes(title_text=f"Steel lost, expected ({kg})", range=[0.0, reach])
    figure.update_yaxes(type="category", autorange="reversed", showgrid=False, ticks="")
    return figure.update_layout(
        barmode="stack", margin={"r": 220, "t": 40}, legend={"traceorder": "normal"}
    )


def _add_column(
    figure: go.Figure, names: Any, words: Sequence[str], head: str, shift: int
) -> None:
    """Write masses at the right of the bars: small ones are not lost to the eye."""
    common: dict[str, Any] = {
        "x": 1.0,
        "xref": "paper",
        "xanchor": "left",
        "showarrow": False,
    }
    for name, text in zip(names, words, strict=True):
        figure.add_annotation(
            **common, y=name, text=text, xshift=shift, font={"size": 12}
        )
    figure.add_annotation(
        **common, y=1.0, yref="paper", yanchor="bottom", text=head, xshift=shift
    )


def loss_by_year(years: pd.DataFrame, units: UnitSystem = METRIC) -> go.Figure:
    """Draw the steel lost in each year, by cause.

    Parameters
    ----------
    years : DataFrame
        ``year`` and the means ``stray_kg_mean`` (of faults and couple together),
        ``couple_kg_mean``, ``natural_kg_mean``; a row a year.
    units : UnitSystem, optional
        In which lengths and masses are read.
    """
    years, kg = in_units(years, units), units.of("kg")[1]
    alt = f"Steel lost in each of {len(years)} years, by cause."
    figure = theme.new_figure(340, alt)
    _add_causes(figure, _lost(years), column(years, "year"), kg, across=False)
    figure.update_xaxes(title_text="Year", tickformat="d")
    figure.update_yaxes(title_text=f"Steel lost in the year, expected ({kg})")
    return figure.update_layout(
        barmode="stack", bargap=0.25, legend={"traceorder": "normal"}
    )


def _add_causes(
    figure: go.Figure,
    by_cause: Mapping[str, Array],
    labels: Any,
    kg: str,
    *,
    across: bool,
) -> None:
    """Add one run of stacked bars a cause, lying or upright."""
    for cause, lost in by_cause.items():
        along, over = ("x", "y") if across else ("y", "x")
        bars: dict[str, Any] = {along: lost, over: labels}
        figure.add_bar(
            **bars,
            orientation="h" if across else "v",
            name=cause,
            marker={
                "color": theme.CAUSES[cause],
                "line": {"color": theme.LINE, "width": 0.7},
                "pattern": {
                    "shape": _SHARES[cause][1],
                    "size": 6,
                    "solidity": 0.18,
                    "fgcolor": theme.ink_on(theme.CAUSES[cause]),
                    "fgopacity": 0.45,
                    "fillmode": "overlay",
                },
            },
            hovertext=[
                f"{place}: {fmt.quantity(mass, kg)}, {cause}"
                for place, mass in zip(labels, lost.tolist(), strict=True)
            ],
            hoverinfo="text",
        )


def _alt_loss(zones: pd.DataFrame, kg: str) -> str:
    sums = ((cause, float(lost.sum())) for cause, lost in _lost(zones).items())
    said = ", ".join(f"{fmt.quantity(lost, kg)} {cause}" for cause, lost in sums)
    return f"Steel lost by cause in {len(zones)} zones: {said}."
