"""Shell expansion: the hull unfolded, each zone coloured by what was asked."""

from collections.abc import Iterator
from typing import Any, Final

import numpy as np
import pandas as pd
import plotly.graph_objects as go

from corrosion.foundation.json_values import rows_of
from corrosion.foundation.types import Array
from corrosion.presentation import format as fmt
from corrosion.presentation.figures import quantities, theme
from corrosion.presentation.figures.shell_layout import ShellLayout, lay_out_shell
from corrosion.presentation.figures.table_columns import in_units
from corrosion.presentation.units import METRIC, UnitSystem
from corrosion.records.ship import Form

_LABELS: Final = 80.0
_PIXELS: Final = 13.0
_FIRST: Final = 5
_NOTE: Final = {
    "xref": "paper",
    "yref": "paper",
    "x": 1.0,
    "y": 0.0,
    "xanchor": "right",
    "yanchor": "top",
    "yshift": -44,
    "text": "framed: the first five to gauge · dashed: waterline",
    "font": {"size": 12},
}


def shell_expansion(
    zones: pd.DataFrame,
    form: Form,
    *,
    colour: str | quantities.Quantity,
    selected: str | None = None,
    units: UnitSystem = METRIC,
    width: float = theme.WIDE,
) -> go.Figure:
    """Draw the shell unfolded, port above and starboard below, bow at the left.

    Each zone is a filled polygon with its id and value written in it, and carries
    one selectable marker whose ``customdata`` is ``[zone]``.

    Parameters
    ----------
    zones : DataFrame
        The estimate's zones table: ``zone``, ``name``, ``rank``, ``side``,
        ``frame_from``, ``frame_to``, ``top_m``, ``bottom_m``, ``exposure`` and the
        column asked for; a row a zone.
    form : Form
        Main dimensions.
    colour : str or Quantity
        What to colour by: a column of ``quantities.QUANTITIES``, or how a column of
        one's own is read.
    selected : str, optional
        Zone to frame.
    units : UnitSystem, optional
        In which lengths and masses are read.
    width : float, optional
        Of the figure: words that do not fit are left out, and the scale lies beneath
        a narrow one. [px]

    Raises
    ------
    LookupFailed
        If zones are not coloured by that column.
    """
    asked = quantities.quantity_of(colour) if isinstance(colour, str) else colour
    zones, asked = in_units(zones, units), asked.read_in(units)
    drawing = lay_out_shell(zones, form)
    fills = quantities.zone_colours(zones, asked)
    per_metre = _PIXELS * 24.0 / max(2.0 * drawing.top, 1.0)
    height = round((drawing.top - drawing.bottom) * per_metre) + 100
    figure = theme.new_figure(height, quantities.shell_words(zones, asked))
    narrow = width < theme.WIDE
    room = width - _LABELS if narrow else width
    scale = (room / (drawing.right - drawing.left), per_metre)
    # all notes at once: each that is added alone has all those before it read again
    figure.update_layout(
        shapes=_outlines(zones, drawing, fills, selected),
        annotations=[
            {
                "x": drawing.left,
                "y": lane.y,
                "text": lane.label,
                "xanchor": "right",
                "xshift": -10,
            }
            for lane in drawing.lanes
        ]
        + [_NOTE, *_words(zones, drawing, asked, scale, beside=not narrow)],
        showlegend=False,
        hovermode="closest",
        hoverdistance=48,
        dragmode=False,
        clickmode="event+select",
        margin={"l": 80, "r": 8, "t": 8, "b": 68},
    )
    for sign in (1.0, -1.0):
        level, dash = sign * drawing.waterline, "5px,4px"
        theme.add_line(figure, drawing.frames, level, theme.ACCENT, 1.5, line_dash=dash)
    _add_markers(figure, zones, drawing, asked)
    if narrow:
        figure.update_layout(
            height=height + 70,
            margin_b=138,
            coloraxis_colorbar={
                "orientation": "h",
                "y": 0.0,
                "yref": "paper",
                "yanchor": "top",
                "ypad": 66,
                "title_side": "top",
            },
        )
    figure.update_xaxes(
        title_text="Frame number (bow at the left, stern at the right)",
        range=[drawing.left - 0.5, drawing.right + 0.5],
        showgrid=False,
        fixedrange=True,
    )
    margin = 0.02 * (drawing.top - drawing.bottom)
    figure.update_yaxes(
        visible=False,
        range=[drawing.bottom - margin, drawing.top + margin],
        fixedrange=True,
    )
    return figure


def _path(x: Array, y: Array) -> str:
    return "M" + "L".join(f"{a:.4g},{b:.4g}" for a, b in zip(x, y, strict=True)) + "Z"


def _outlines(
    zones: pd.DataFrame, drawing: ShellLayout, fills: list[str], selected: str | None
) -> list[dict[str, Any]]:
    """Return the polygons; the first five are framed, the chosen one last."""
    shapes: list[tuple[tuple[bool, bool], dict[str, Any]]] = []
    for patch, fill, row in zip(drawing.patches, fills, rows_of(zones), strict=True):
        over = row["zone"] == selected, row["rank"] <= _FIRST
        line = {"color": "#000000", "width": 2.0}
        if over[0]:
            line = {"color": theme.ACCENT, "width": 4.0}
        elif not over[1]:
            line = {"color": theme.LINE, "width": 0.6}
        shape = {"type": "path", "path": _path(patch.x, patch.y), "layer": "below"}
        shapes.append((over, shape | {"fillcolor": fill, "line": line}))
    return [shape for _, shape in sorted(shapes, key=lambda one: one[0])]


def _add_markers(
    figure: go.Figure,
    zones: pd.DataFrame,
    drawing: ShellLayout,
    asked: quantities.Quantity,
) -> None:
    values = asked.values(zones)
    low, high = asked.span(values)
    rows = rows_of(zones)
    theme.add_marks(
        figure,
        [patch.centre[0] for patch in drawing.patches],
        [patch.centre[1] for patch in drawing.patches],
        [_hover(row, asked) for row in rows],
        customdata=np.array([[row["zone"]] for row in rows], dtype=object),
        marker={
            "size": 18,
            "opacity": 0.0,
            "color": values * asked.factor,
            "coloraxis": "coloraxis",
        },
        selected={"marker": {"opacity": 0.0}},
        unselected={"marker": {"opacity": 0.0}},
    )
    figure.update_layout(
        coloraxis=theme.colour_axis(
            (low * asked.factor, high * asked.factor),
            asked.stops,
            f"{asked.label} ({asked.unit})",
        )
    )


def _words(
    zones: pd.DataFrame,
    drawing: ShellLayout,
    asked: quantities.Quantity,
    scale: tuple[float, float],
    *,
    beside: bool,
) -> Iterator[dict[str, Any]]:
    """Yield id and value of each zone, or the id beside a strip too short for it.

    As notes and not as text of the markers, which would fade when a zone is chosen.
    """
    for patch, fill, lines, outside in quantities.zone_words(
        zones, drawing, asked, scale
    ):
        x, y = patch.centre
        font: dict[str, Any] = {"size": 11}
        if not outside:
            font["color"] = theme.ink_on(fill)
            yield {"y": y, "x": x, "text": "<br>".join(lines), "font": font}
        elif beside:
            end = float(patch.x.max())
            yield {"y": y, "x": end, "text": lines[0], "font": font, "xanchor": "left"}


def _hover(row: dict[str, Any], asked: quantities.Quantity) -> str:
    side = "" if row["side"] == "centre" else f", {row['side']}"
    lines = [
        f"<b>{row['zone']}</b> {row['name']}",
        f"frames {row['frame_from']:g} to {row['frame_to']:g}{side}",
        f"{asked.label}: {asked.detail(row)}",
        f"Chance below limit: {fmt.chance(row['chance_below_limit'])}",
        f"Number {row['rank']} in the order to gauge",
    ]
    return "<br>".join(dict.fromkeys(lines))  # said once where the chance was asked
