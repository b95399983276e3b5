"""One plate over the years: the fan through its gaugings, and what happened beneath."""

from collections.abc import Mapping
from dataclasses import dataclass, replace
from html import escape
from typing import Any, Final

import plotly.graph_objects as go

from corrosion.presentation.answers.zone_history import Stay, ZoneHistory
from corrosion.presentation.figures import theme
from corrosion.presentation.format import number
from corrosion.presentation.units import METRIC, UnitSystem

Palette = Mapping[str, str]
"""Colours by name, of the theme that is shown."""

_LANES: Final = ("paint", "berth", " ", "faults")
"""From the lowest up; faults that overlap have two."""

_ROOM: Final = 3.0  # years that a lane's label needs
_AHEAD: Final = 20.0  # years shown beyond the date of the estimate
_MARKS: Final = {"mean": "diamond", "least": "triangle-down-open"}
_HATCHES: Final = {"dock": "x", "aground": "x", "shore isolated": "."}
_P90: Final = 1.2816  # standard deviations from the median to p90


@dataclass(frozen=True, slots=True)
class _Drawing:
    """A figure in the making; ``places``: to which its thicknesses are read."""

    figure: go.Figure
    shown: ZoneHistory
    palette: Palette
    unit: str
    places: int
    start: float  # ends of the axis [year]
    end: float

    def said(self, value: float) -> str:
        return f"{value:.{self.places}f}"

    def hover(self, what: str) -> str:
        return f"%{{y:.{self.places}f}} {self.unit} in %{{x:.0f}}<extra>{what}</extra>"

    def note(self, at: tuple[float, float], words: str, **more: Any) -> None:
        """Write words beneath a point, to its right unless told otherwise."""
        usual: dict[str, Any] = {"showarrow": False, "xanchor": "left"}
        usual["yanchor"] = "top"
        self.figure.add_annotation(x=at[0], y=at[1], text=words, **(usual | more))


def _read_in(shown: ZoneHistory, by: float) -> ZoneHistory:
    """Return a zone with every thickness in the unit that is read."""
    fan, gaugings, slope = shown.fan.copy(), shown.gaugings.copy(), shown.slope
    fan[["p10", "p50", "p90"]] *= by
    gaugings[["thickness_mm", "sd_mm"]] *= by
    if slope is not None:
        slope = replace(slope, from_mm=by * slope.from_mm, mm=by * slope.mm)
    return replace(
        shown, fan=fan, gaugings=gaugings, slope=slope, limit_mm=by * shown.limit_mm
    )


def zone_history_figure(
    shown: ZoneHistory, palette: Palette, units: UnitSystem = METRIC
) -> go.Figure:
    """Draw one zone's thickness over the years, with faults, berths and paint beneath.

    ``shown``: from :func:`corrosion.presentation.answers.zone_history.zone_history`.
    ``palette``: colours by name, of the theme that is shown.
    """
    by, mm = units.of("mm")
    shown = _read_in(shown, by)
    start, end, places = _start(shown), shown.now + _AHEAD, 1 if units is METRIC else 0
    one = _Drawing(go.Figure(), shown, palette, mm, places, start, end)
    _fan(one)
    _gaugings(one)
    _slope(one)
    _add_lanes(one)
    axis = {
        "gridcolor": palette["line"],
        "zeroline": False,
        "tickfont": {"color": palette["quiet"], "size": 13},
        "fixedrange": True,
    }
    one.figure.update_layout(
        height=452,
        margin={"l": 58, "r": 10, "t": 8, "b": 28},
        showlegend=False,
        uniformtext={"mode": "hide", "minsize": 13},
        barmode="overlay",
        hovermode="closest",
        paper_bgcolor="rgba(0,0,0,0)",
        plot_bgcolor="rgba(0,0,0,0)",
        font={"family": "Source Sans, sans-serif", "size": 13, "color": palette["ink"]},
        xaxis=axis
        | {"range": [start, end], "anchor": "y2", "tickangle": 0, "tickformat": "d"},
        yaxis=axis | {"domain": [0.36, 1], "ticksuffix": f" {mm}", "nticks": 6},
        yaxis2=axis
        | {
            "domain": [0, 0.32],
            "range": [-0.5, 3.5],
            "categoryorder": "array",
            "categoryarray": _LANES,
            "showgrid": False,
        },
    )
    _today(one)
    return one.figure


def _start(shown: ZoneHistory) -> float:
    """Return where the axis begins: a little before anything is known of the plate."""
    years = [stay.begun for stay in (*shown.faults, *shown.berths[1:])]
    years += [stay.begun for stay in shown.paint if stay.kind == "paint"]
    years += [float(year) for year in shown.gaugings["year"]]
    first = min(years, default=shown.now - _AHEAD)
    return max(float(shown.fan["year"].iloc[0]), min(first - 2.0, shown.now - 10.0))


def _fan(one: _Drawing) -> None:
    shown, palette, figure = one.shown, one.palette, one.figure
    rows = shown.fan[shown.fan["year"] <= one.end + 10.5]
    year = rows["year"]
    quiet: dict[str, Any] = {"x": year, "line_width": 0, "hoverinfo": "skip"}
    figure.add_scatter(y=rows["p90"], **quiet)
    figure.add_scatter(
        y=rows["p10"], fill="tonexty", fillcolor=palette["band"], **quiet
    )
    figure.add_scatter(
        x=year,
        y=rows["p50"],
        line={"color": palette["accent"], "width": 2.5},
        hovertemplate=one.hover("estimate"),
    )
    ends, limit, dash = (one.start, one.end), [shown.limit_mm] * 2, "6px 4px"
    theme.add_line(figure, ends, limit, palette["alarm"], 2, line_dash=dash)
    words = f" limit {one.said(shown.limit_mm)} {one.unit}"
    one.note((one.start, shown.limit_mm), words, font_color=palette["alarm"])


def _gaugings(one: _Drawing) -> None:
    shown, ink = one.shown, one.palette["ink"]
    look: dict[str, Any] = {"size": 12, "color": ink}
    bars: dict[str, Any] = {"color": ink, "thickness": 1.5, "width": 4}
    for kind, symbol in _MARKS.items():
        edge = one.palette["card" if kind == "mean" else "ink"]
        rows = shown.gaugings[shown.gaugings["kind"] == kind]
        mm = rows["thickness_mm"]
        one.figure.add_scatter(
            x=rows["year"],
            y=mm,
            mode="markers+text",
            text=[one.said(value) for value in mm],
            textposition=[
                "top right" if value > shown.limit_mm else "bottom left" for value in mm
            ],
            textfont={"color": ink, "size": 14},
            marker=look | {"symbol": symbol, "line": {"color": edge, "width": 1.5}},
            error_y=bars | {"array": _P90 * rows["sd_mm"]},
            hovertemplate=one.hover(kind),
        )


def _slope(one: _Drawing) -> None:
    """Draw the line through the last two gaugings on, where metal went."""
    line = one.shown.slope
    if line is None or line.mm_a_year <= 0.0:
        return
    until = min(one.end, line.year + _AHEAD)
    last = line.mm - line.mm_a_year * (until - line.year)
    x, y, dash = [line.from_year, until], [line.from_mm, last], "2px 3px"
    theme.add_line(one.figure, x, y, one.palette["ink"], 1.5, line_dash=dash)
    words = f"last two gaugings: {number(line.mm_a_year, 2)} {one.unit} a year"
    one.note((until, last), words, xanchor="right", yshift=-4)


def _today(one: _Drawing) -> None:
    now, quiet = one.shown.now, one.palette["quiet"]
    span: dict[str, Any] = {"x0": now, "x1": now, "y0": 0, "y1": 1, "yref": "paper"}
    one.figure.add_shape(type="line", line={"color": quiet, "width": 1}, **span)
    one.note((now, 1), " today", yref="paper", font_color=quiet)


def _add_lanes(one: _Drawing) -> None:
    """Add what happened to a plate, in lanes beneath its thickness."""
    palette, free = one.palette, [one.start] * 2
    for stay in sorted(one.shown.faults, key=lambda stay: stay.begun):
        lane = min(range(2), key=lambda n: (free[n] > stay.begun, free[n]))
        free[lane] = max(free[lane], stay.ended)
        style = {"fill": palette["alarm"], "shape": "/", "line": 0}
        _stay(one, "faults" if lane == 0 else " ", stay, style)
    for stay in one.shown.berths:
        earthed = stay.kind == "shore earthed"
        style = {
            "fill": palette["accent" if earthed else "steel"],
            "text": palette["card" if earthed else "ink"],
            "shape": _HATCHES.get(stay.kind, ""),
            "label": stay.kind,
        }
        _stay(one, "berth", stay, style)
    for stay in one.shown.paint:
        older = stay.kind == "older paint"
        style = {
            "fill": palette["steel" if older else "quiet"],
            "text": palette["ink" if older else "card"],
            "label": "older paint" if older else stay.words,
        }
        _stay(one, "paint", stay, style)


def _stay(one: _Drawing, lane: str, stay: Stay, style: Mapping[str, Any]) -> None:
    """Draw one stay in its lane, its label inside where there is room."""
    begun = max(stay.begun, one.start)
    if stay.ended <= one.start:
        return
    edge = one.palette["card"]
    roomy = stay.ended - begun > _ROOM
    one.figure.add_bar(
        y=[lane],  # type: ignore[arg-type] # the stubs know no categories
        x=[max(stay.ended - begun, 0.25)],
        base=[begun],
        orientation="h",
        width=0.78,
        yaxis="y2",
        text=[escape(str(style.get("label", ""))) if roomy else ""],
        marker={
            "line": {"color": edge, "width": style.get("line", 1)},
            "color": style["fill"],
            "pattern": {
                "shape": style.get("shape", ""),
                "fillmode": "overlay",
                "fgcolor": edge,
                "size": 7,
                "solidity": 0.25,
            },
        },
        textposition="inside",
        insidetextanchor="start",
        textangle=0,
        insidetextfont={"color": style.get("text", edge), "size": 13},
        hovertemplate=f"{escape(stay.kind)}<br>{escape(stay.words)}<extra></extra>",
    )
