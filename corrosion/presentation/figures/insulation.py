"""Insulation of circuits over the years, at one temperature, system by system."""

from collections.abc import Mapping, Sequence
from typing import Any, Final

import numpy as np
import plotly.graph_objects as go
from plotly.subplots import make_subplots

from corrosion.presentation import format as fmt
from corrosion.presentation.answers.surveys import by_circuit, line_of
from corrosion.presentation.figures import theme

_DRAWN: Final = 5  # circuits of a system: the lowest
_SYMBOLS: Final = ("circle", "diamond", "square", "triangle-up", "x")
_OTHER: Final = theme.CAUSES["own metals"], theme.SPARE
_COLOURS: Final = (theme.MARK, theme.ACCENT, *_OTHER, theme.LINE)
_AHEAD: Final = 1.0  # years that a line is drawn on
_PANEL: Final = 260


def insulation_trends(
    surveys: Sequence[Mapping[str, Any]], celsius: float
) -> go.Figure:
    """Draw each system's lowest circuits: readings, their line, and its interval.

    Parameters
    ----------
    surveys : sequence of mapping
        As :func:`corrosion.presentation.answers.surveys.survey_rows` returns them.
    celsius : float
        Temperature to which they are corrected. [°C]
    """
    systems: dict[str, list[tuple[str, list[dict[str, Any]]]]] = {}
    for (system, circuit), some in by_circuit(map(dict, surveys)).items():
        systems.setdefault(str(system), []).append((str(circuit), some))
    many = max(len(systems), 1)
    figure = theme.new_figure(
        _PANEL * many + 40,
        f"Insulation of {sum(map(len, systems.values()))} circuits at {celsius:g} °C "
        "over the years; the band holds four lines in five.",
        make_subplots(rows=many, shared_xaxes=True, subplot_titles=list(systems)),
    )
    for row, circuits in enumerate(systems.values(), start=1):
        circuits.sort(key=lambda one: float(one[1][0]["corrected_ohm"]))
        for k, (name, some) in enumerate(circuits[:_DRAWN]):
            for trace in _traces(name, some, k):
                figure.add_trace(trace, row=row, col=1)
    figure.update_xaxes(tickformat="d", title_text="Year", row=many)
    return figure.update_yaxes(type="log", title_text="MΩ", exponentformat="none")


def _traces(name: str, some: Sequence[Mapping[str, Any]], k: int) -> list[go.Scatter]:
    colour, symbol = _COLOURS[k], _SYMBOLS[k]
    read = go.Scatter(
        x=[row["year"] for row in some],
        y=[row["corrected_ohm"] / 1e6 for row in some],
        mode="markers",
        marker={"color": colour, "symbol": symbol, "size": 9},
        name=name,
        hovertext=[
            f"{name}, {row['date']}: {fmt.ohms(row['corrected_ohm'])}" for row in some
        ],
        hoverinfo="text",
    )
    line = line_of([dict(row) for row in some])
    if line is None:
        return [read]
    years = np.linspace(some[-1]["year"], some[0]["year"] + _AHEAD, 40)
    low, middle, high = line.at(years) / 1e6
    quiet: dict[str, Any] = {"hoverinfo": "skip", "showlegend": False, "mode": "lines"}
    around = [*years, *years[::-1]], [*low, *high[::-1]]
    fill: dict[str, Any] = {
        "fill": "toself",
        "fillcolor": theme.translucent(colour, 0.15),
    }
    band = go.Scatter(x=around[0], y=around[1], line_width=0, **fill, **quiet)
    look = {"color": colour, "width": 2}
    fitted = go.Scatter(x=years.tolist(), y=middle.tolist(), line=look, **quiet)
    return [band, fitted, read]
