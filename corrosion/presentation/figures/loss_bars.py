"""Steel lost, zone by zone and year by year, by cause."""

from collections.abc import Mapping, Sequence
from typing import Any, Final

import numpy as np
import pandas as pd
import plotly.graph_objects as go

from corrosion.foundation.types import Array
from corrosion.presentation import format as fmt
from corrosion.presentation.figures import theme
from corrosion.presentation.figures.table_columns import column, in_units, places
from corrosion.presentation.units import METRIC, UnitSystem

_SHARES: Final[Mapping[str, tuple[str, str]]] = {
    "stray": ("stray_kg", ""),
    "shore couple": ("couple_kg", "/"),
    "own metals": ("own_metals_kg", "\\"),
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


def loss_by_zone(
    zones: pd.DataFrame,
    causes: Sequence[str] = tuple(_SHARES),
    units: UnitSystem = METRIC,
    width: float = theme.WIDE,
) -> go.Figure:
    """Draw each zone's steel lost, by cause, with the ceiling in words and as a mark.

    Parameters
    ----------
    zones : DataFrame
        ``zone`` and the means ``stray_kg_mean`` (of faults and couple together, as in
        the estimate), ``couple_kg_mean``, ``own_metals_kg_mean``, ``natural_kg_mean``
        and ``ceiling_kg_mean``. Give the rows that shall be shown.
    causes : sequence of str, optional
        Which of ``stray``, ``shore couple``, ``own metals`` and ``natural`` are drawn;
        all.
    units : UnitSystem, optional
        In which lengths and masses are read.
    width : float, optional
        Of the figure; a narrow one marks the ceiling without its words. [px]
    """
    narrow = width < theme.WIDE
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
    theme.add_marks(
        figure,
        np.where(inside, ceiling, reach),
        names,
        [f"ceiling {fmt.quantity(c, kg)}" for c in ceiling.tolist()],
        marker={
            "symbol": ["line-ns-open" if here else "triangle-right" for here in inside],
            "size": [16 if here else 12 for here in inside],
            "opacity": 1.0,
            "color": theme.LINE,
            "line": {"color": theme.LINE, "width": 2.5},
        },
        cliponaxis=False,
        name="ceiling: every ampere dissolves steel",
    )
    stray = [fmt.quantity(m, kg) for m in column(zones, "stray_kg_mean").tolist()]
    _add_column(figure, names, stray, "stray + couple", 14)
    most = [fmt.quantity(mass, kg) for mass in ceiling.tolist()]
    if not narrow:
        _add_column(figure, names, most, "ceiling", 118)
    figure.update_xaxes(title_text=f"Steel lost, expected ({kg})", range=[0.0, reach])
    theme.name_rows(figure)
    return figure.update_layout(
        barmode="stack",
        margin={"r": 110 if narrow else 220, "t": 40},
        legend={"traceorder": "normal", "y": 1.08 if narrow else 1.02},
    )


def _add_column(
    figure: go.Figure, names: Any, words: Sequence[str], head: str, shift: int
) -> None:
    """Write masses at the right of the bars: small ones are not lost to the eye."""
    common: dict[str, Any] = {"x": 1.0, "xref": "paper", "xanchor": "left"}
    for name, text in zip(names, words, strict=True):
        figure.add_annotation(
            **common, y=name, text=text, xshift=shift, font={"size": 12}
        )
    figure.add_annotation(
        **common, y=1.0, yref="paper", yanchor="bottom", text=head, xshift=shift
    )


def loss_by_year(years: pd.DataFrame, units: UnitSystem = METRIC) -> go.Figure:
    """Draw the steel lost in each year, by cause.

    ``years``: ``year`` and the means ``stray_kg_mean`` (of faults and couple together),
    ``couple_kg_mean``, ``own_metals_kg_mean``, ``natural_kg_mean``; a row a year.
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
