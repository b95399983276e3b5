"""Lanes beneath a plate's thickness: its faults, where she lay, its paint."""

from collections.abc import Mapping
from html import escape
from typing import Any, Final

import plotly.graph_objects as go

from corrosion.presentation.answers.zone_history import Stay, ZoneHistory

Palette = Mapping[str, str]
"""Colours by name, of the theme that is shown."""

LANES: Final = ("paint", "berth", " ", "faults")
"""From the lowest up; faults that overlap have two."""

_ROOM: Final = 3.0  # years that a lane's label needs


def add_lanes(
    figure: go.Figure, shown: ZoneHistory, palette: Palette, start: float
) -> None:
    """Add what happened to a plate, in lanes beneath its thickness."""
    free = [start] * 2
    for stay in sorted(shown.faults, key=lambda one: one.begun):
        lane = min(range(2), key=lambda n: (free[n] > stay.begun, free[n]))
        free[lane] = max(free[lane], stay.ended)
        style = {"fill": palette["alarm"], "shape": "/", "line": 0}
        _bar(figure, "faults" if lane == 0 else " ", stay, palette, style, start)
    for stay in shown.berths:
        earthed = stay.kind == "shore earthed"
        style = {
            "fill": palette["accent" if earthed else "steel"],
            "text": palette["card" if earthed else "ink"],
            "shape": {"dock": "x", "aground": "x", "shore isolated": "."}.get(
                stay.kind, ""
            ),
            "label": stay.kind,
        }
        _bar(figure, "berth", stay, palette, style, start)
    for stay in shown.paint:
        older = stay.kind == "older paint"
        style = {
            "fill": palette["steel" if older else "quiet"],
            "text": palette["ink" if older else "card"],
            "label": "older paint" if older else stay.words,
        }
        _bar(figure, "paint", stay, palette, style, start)


def _bar(
    figure: go.Figure,
    lane: str,
    stay: Stay,
    palette: Palette,
    style: Mapping[str, Any],
    start: float,
) -> None:
    """Draw one stay in its lane, its label inside where there is room."""
    begun = max(stay.begun, start)
    if stay.ended <= start:
        return
    edge = palette["card"]
    roomy = stay.ended - begun > _ROOM
    figure.add_bar(
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
