"""What is leaking: volts to hull as a drawing, lamps as the eye sees them."""

from collections.abc import Sequence
from typing import Any, Final

import numpy as np
import plotly.graph_objects as go

from corrosion.foundation.types import Array, ComplexArray
from corrosion.presentation import format as fmt
from corrosion.presentation.figures import theme
from corrosion.presentation.format import percent

_GLASS: Final = ("#3a3f45", "#8a7440", "#d9b24c", "#ffe9a8")
"""A lamp from out to bright; the word beneath says the same."""


def phasors(
    star: ComplexArray, to_hull: ComplexArray, conductors: Sequence[str]
) -> go.Figure:
    """Draw where the hull lies among the conductors of an alternating system.

    The corners are the conductors, the cross is where the hull lies on a healthy
    system, the dot is the hull; the length of each ray is that conductor's volts to
    hull. A dot in a corner is a full ground fault of that conductor.

    Parameters
    ----------
    star : ndarray, shape (2,) or (3,)
        Each conductor about the star point. [V]
    to_hull : ndarray, same shape
        Each conductor to hull. [V]
    conductors : sequence of str
        Their names.
    """
    turned = star * 1j  # first conductor upright, as engineers draw it
    hull = complex(np.mean(star - to_hull)) * 1j
    reach = 1.25 * max(float(np.abs(star).max()), abs(hull), 1e-9)
    figure = theme.new_figure(400, _alt_volts(conductors, np.abs(to_hull)))
    closed = np.append(turned, turned[0])
    theme.add_line(figure, closed.real, closed.imag, theme.LINE, 1.5)
    for corner, volts, name in zip(turned, np.abs(to_hull), conductors, strict=True):
        ray = np.array([hull, corner])
        theme.add_line(figure, ray.real, ray.imag, theme.MARK, 3)
        out = corner / max(abs(corner), 1e-9)
        figure.add_annotation(
            x=corner.real,
            y=corner.imag,
            text=f"<b>{name}</b>  {fmt.quantity(float(volts), 'V')}",
            xshift=38.0 * out.real,
            yshift=18.0 * out.imag,
        )
    _add_hull(figure, 0.0, hull.real, hull.imag)
    figure.update_xaxes(range=[-1.35 * reach, 1.35 * reach], visible=False)
    figure.update_yaxes(range=[-reach, reach], visible=False, scaleanchor="x")
    return figure.update_layout(showlegend=False, hovermode="closest")


def volts_bar(to_hull: Array, conductors: Sequence[str]) -> go.Figure:
    """Draw where the hull lies between the two conductors of a direct-current system.

    Parameters
    ----------
    to_hull : ndarray, shape (2,)
        Each conductor to hull, first the positive one. [V]
    conductors : sequence of str
        Their names.
    """
    plus, minus = float(to_hull[0]), float(to_hull[1])
    figure = theme.new_figure(180, _alt_volts(conductors, to_hull))
    theme.add_line(figure, [minus, plus], [0.0, 0.0], theme.MARK, 8)
    for volts, name in ((minus, conductors[1]), (plus, conductors[0])):
        figure.add_annotation(
            x=volts,
            y=0.0,
            text=f"<b>{name}</b>  {fmt.quantity(abs(volts), 'V')} "
            f"{'below' if volts < 0.0 else 'above'} hull",
            yshift=24,
        )
    _add_hull(figure, 0.5 * (plus + minus), 0.0, 0.0)
    figure.update_xaxes(title_text="Volts to hull (V)", zeroline=False)
    figure.update_yaxes(visible=False, range=[-1.0, 1.0])
    return figure.update_layout(showlegend=False, margin={"l": 48, "r": 48})


def _add_hull(figure: go.Figure, healthy_x: float, x: float, y: float) -> None:
    healthy = "where the hull lies on a healthy system"
    cross = {"symbol": "cross-thin-open", "size": 16, "color": theme.LINE}
    dot = {"size": 15, "color": theme.ACCENT}
    theme.add_marks(figure, [healthy_x], [0.0], [healthy], marker=cross)
    theme.add_marks(figure, [x], [y], ["the hull"], marker=dot)
    aside: dict[str, Any] = {"xshift": -26 if x < -1e-6 else 26, "yshift": 14}
    figure.add_annotation(x=x, y=y, text="hull", font={"size": 13}, **aside)


def _alt_volts(conductors: Sequence[str], volts: Array) -> str:
    said = ", ".join(
        f"{name} {fmt.quantity(float(v), 'V')}"
        for name, v in zip(conductors, volts, strict=True)
    )
    return f"Volts to hull: {said}."


def lamps(
    conductors: Sequence[str], light: Array, pictures: Sequence[str]
) -> go.Figure:
    """Draw the detector lamps as discs, with the word for each beneath.

    Parameters
    ----------
    conductors : sequence of str
        Names of the conductors.
    light : ndarray, shape (n,)
        Light of each lamp over that of a healthy system. [-]
    pictures : sequence of str
        What the eye says: ``out``, ``dim``, ``even`` or ``bright``.
    """
    said = [f"{n} {p}" for n, p in zip(conductors, pictures, strict=True)]
    figure = theme.new_figure(170, f"Lamps: {', '.join(said)}.")
    # The eye judges light by its logarithm; a tenth of it already looks dim.
    glow = np.clip(0.5 * np.log10(np.maximum(light, 1e-3)) + 0.62, 0.0, 1.0)
    hover = [
        f"lamp {words}: {percent(float(ratio))} of its usual light"
        for words, ratio in zip(said, light, strict=True)
    ]
    look = {"size": 76, "line": {"color": theme.LINE, "width": 3}}
    look["color"] = [theme.at_share(_GLASS, float(share)) for share in glow]
    places = list(range(len(said)))
    theme.add_marks(figure, places, [0.0] * len(said), hover, marker=look)
    for place, name, picture in zip(places, conductors, pictures, strict=True):
        words = f"<b>{name}</b>  {picture}"
        figure.add_annotation(x=place, y=0.0, text=words, yshift=-56)
    figure.update_xaxes(visible=False, range=[-1.5, len(said) + 0.5])
    figure.update_yaxes(visible=False, range=[-1.2, 0.8])
    return figure.update_layout(showlegend=False, hovermode="closest")


def visibility_curve(ohms: Array, ratio: Array, threshold: float) -> go.Figure:
    """Draw how far the darkest lamp falls behind the brightest, against the fault.

    Parameters
    ----------
    ohms : ndarray, shape (n,)
        Fault resistance, ascending. [Ω]
    ratio : ndarray, shape (n,)
        Light of the darkest lamp over that of the brightest. [-]
    threshold : float
        Ratio above which the eye calls the lamps even. [-]
    """
    figure = theme.new_figure(
        340,
        "Darkest over brightest lamp against the fault: from "
        f"{percent(threshold)} on they look even.",
    )
    figure.add_hrect(
        y0=100.0 * threshold,
        y1=104.0,
        fillcolor=theme.translucent(theme.LINE, 0.2),
        line={"width": 0},
        annotation={
            "text": "looks even: not seen",
            "x": 0.01,
            "xanchor": "left",
            "y": 100.0 * threshold,
            "yanchor": "bottom",
        },
    )
    hover = [
        f"{fmt.ohms(float(r))}: {percent(float(share))} as bright"
        for r, share in zip(ohms, ratio, strict=True)
    ]
    look = {"mode": "lines", "line": {"color": theme.MARK, "width": 3}}
    theme.add_marks(figure, ohms, 100.0 * ratio, hover, **look)
    decades = 10.0 ** np.arange(
        np.ceil(np.log10(ohms[0])), np.floor(np.log10(ohms[-1])) + 1.0
    )
    figure.update_xaxes(
        type="log",
        title_text="Fault resistance (Ω, logarithmic scale)",
        tickvals=decades,
        ticktext=[fmt.ohms(float(r), 1) for r in decades],
    )
    figure.update_yaxes(title_text="Darkest over brightest lamp (%)", range=[0, 104])
    return figure.update_layout(showlegend=False)
