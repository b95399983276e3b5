"""When faults stood, which stood together, and what fed the ship meanwhile."""

from collections.abc import Mapping
from typing import Any, Final

import numpy as np
import pandas as pd
import plotly.graph_objects as go

from corrosion.presentation.figures import theme
from corrosion.presentation.figures.timeline_layout import (
    Schedule,
    schedule,
    schedule_words,
)

SUPPLY_COLOURS: Final[Mapping[str, str]] = {
    "own": "#dfe3e7",
    "shore isolated": "#a3c5d8",
    "shore earthed": "#e4b373",
}
"""Ground of each berth; its supply is also written in it."""

_ROW: Final = 22
_LETTER: Final = 6.3  # its width [px]
_BESIDE: Final = 130.0  # what names of systems and margins take of a telephone's [px]


def fault_timeline(
    faults: pd.DataFrame, berths: pd.DataFrame, width: float = theme.WIDE
) -> go.Figure:
    """Draw faults as bars, overlaps on separate rows, berths as a band beneath.

    Parameters
    ----------
    faults, berths : DataFrame
        As ``schedule`` takes them.
    width : float, optional
        Of the figure. [px]
    """
    between = "<br>" if width < theme.WIDE else " "
    room = width if width >= theme.WIDE else width - _BESIDE
    plan = schedule(faults, berths, round(room / _LETTER))
    figure = theme.new_figure(
        round(_ROW * (plan.rows + 1.5)) + 96, schedule_words(plan)
    )
    _add_bars(figure, plan)
    _add_berths(figure, plan)
    figure.update_xaxes(
        title_text="Date", type="date", range=[str(plan.start), str(plan.end)]
    )
    figure.update_yaxes(
        range=[plan.rows + 1.2, -0.8],
        tickvals=[*(at for _, at in plan.systems), plan.rows + 0.5],
        ticktext=[*(name.replace(" ", between) for name, _ in plan.systems), "berth"],
        showgrid=False,
        ticks="",
        fixedrange=True,
    )
    return figure.update_layout(hovermode="closest")


def _add_bars(figure: go.Figure, plan: Schedule) -> None:
    words = {"dc": "direct current", "ac": "alternating current"}
    for current, colour in theme.STANDING.items():
        some = [bar for bar in plan.bars if bar.current == current]
        if not some:
            continue
        for name, width, ends in (
            (f"may have stood, {words[current]}", 3, ("start", "found")),
            (f"stood, {words[current]}", 11, ("found", "end")),
        ):
            theme.add_line(
                figure,
                [str(getattr(b, e)) if e else None for b in some for e in (*ends, "")],
                [bar.row for bar in some for _ in range(3)],
                colour,
                width,
                name=name,
                showlegend=True,
            )
        rows = [bar.row for bar in some]
        theme.add_marks(
            figure,
            [str(bar.end if bar.standing else bar.found) for bar in some],
            rows,
            [bar.text for bar in some],
            marker={
                "symbol": ["triangle-right" if b.standing else "diamond" for b in some],
                "size": [15 if bar.standing else 10 for bar in some],
                "opacity": 1.0,
                "color": colour,
                "line": {"color": theme.GROUND["light"], "width": 1},
            },
            customdata=np.array([[bar.fault] for bar in some], dtype=object),
            showlegend=False,
        )
        figure.add_scatter(
            x=[str(bar.start) for bar in some],
            y=rows,
            mode="text",
            text=[f"{bar.fault}  " for bar in some],
            textposition="middle left",
            textfont={"size": 11},
            hoverinfo="skip",
            showlegend=False,
        )


def _add_berths(figure: go.Figure, plan: Schedule) -> None:
    for berth in plan.berths:
        colour = SUPPLY_COLOURS[berth.supply]
        start, end = max(berth.start, plan.start), min(berth.end, plan.end)
        if start >= end:
            continue
        box: dict[str, Any] = {"x0": str(start), "x1": str(end), "layer": "below"}
        box |= {"y0": plan.rows + 0.05, "y1": plan.rows + 0.95, "fillcolor": colour}
        figure.add_shape(**box, line={"color": theme.LINE, "width": 0.7})
        middle = start + (end - start) // 2
        theme.add_marks(
            figure,
            [str(middle)],
            [plan.rows + 0.5],
            [berth.text],
            mode="text+markers",
            marker={"opacity": 0.0, "size": 14},
            text=[berth.words],
            textfont={"color": theme.ink_on(colour), "size": 11},
            showlegend=False,
        )
