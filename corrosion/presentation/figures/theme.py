"""Colours and templates of every figure: the one place where they are decided.

The sequential scale falls evenly in CIELAB lightness, so that it stays in order in
grey and for every kind of colour vision. Categories differ in lightness as well as
in hue. Tests measure both. No figure relies on colour alone.
"""

import tomllib
from collections.abc import Mapping, Sequence
from string import Template
from typing import Any, Final, Literal

import plotly.graph_objects as go
from plotly.colors import (  # type: ignore[attr-defined] # the stubs lack them
    hex_to_rgb,
    sample_colorscale,
)

from corrosion.foundation.data_files import text_beside
from corrosion.presentation.format import THOUSANDS

Mode = Literal["light", "dark"]

SEQUENTIAL: Final = (
    *("#f5ebcc", "#ebd09e", "#e4b373", "#dd9550", "#d1773b"),
    *("#c5572c", "#ac3f2e", "#8e2c31", "#6e1d2e"),
)
"""From little to much: pale sand to dark rust, equal steps of lightness."""

DIVERGING: Final = (
    *("#004d89", "#1576af", "#5e9ec5", "#a3c5d8", "#ecebe7"),
    *("#d8bc99", "#ca8956", "#b5532b", "#892a1d"),
)
"""Blue (enters the steel) through nothing to rust (leaves it)."""

CAUSES: Final[Mapping[str, str]] = {
    "stray": "#aa4c26",
    "natural": "#f2c37b",
    "shore couple": "#004f6e",
    "own metals": "#4bb9af",
}
"""What dissolved the steel."""

SPARE: Final = "#9179d4"
"""One more category, told apart from the causes."""

MARK: Final = "#bc5a2e"
"""The estimate: dots and curves, at least 3 to 1 on either ground."""

ACCENT: Final = "#2c84bd"
"""What is chosen or measured, at least 3 to 1 on either ground."""

LINE: Final = "#7b8794"
"""Outlines, limits and axes, at least 3 to 1 on either ground."""

STANDING: Final[Mapping[str, str]] = {"dc": "#aa4c26", "ac": "#4bb9af"}
"""Kind of current of a fault."""

GROUND: Final[Mapping[Mode, str]] = {"light": "#ffffff", "dark": "#11171d"}
"""Page colours that the figures are made for."""

INK: Final[Mapping[Mode, str]] = {"light": "#1c2733", "dark": "#e4e9ee"}
"""Text."""

MUTED: Final[Mapping[Mode, str]] = {"light": "#56626e", "dark": "#a3b0bc"}
"""Text of axes and notes."""

WIDE: Final = 940.0
"""Width of a figure on a laptop's page. [px]"""

NARROW: Final = 360.0
"""Width of a figure on a telephone. [px]"""

_FAMILY: Final = (
    "Source Sans, Source Sans 3, Segoe UI, Noto Sans, DejaVu Sans, sans-serif"
)


def translucent(colour: str, opacity: float) -> str:
    """Return ``#rrggbb`` as ``rgba()`` with an opacity from 0 to 1.

    Examples
    --------
    >>> translucent("#0a0b0c", 0.5)
    'rgba(10,11,12,0.5)'
    """
    red, green, blue = hex_to_rgb(colour)
    return f"rgba({red},{green},{blue},{opacity:g})"


def contrast(one: str, other: str) -> float:
    """Return the contrast ratio of two colours, 1 to 21.

    Parameters
    ----------
    one, other : str
        Colours as ``#rrggbb``.

    Returns
    -------
    float
        Lighter over darker relative luminance, each raised by 0.05. [-]

    References
    ----------
    Web Content Accessibility Guidelines 2.1, relative luminance (from memory).

    Examples
    --------
    >>> contrast("#ffffff", "#000000")
    21.0
    """
    low, high = sorted((_luminance(one), _luminance(other)))
    return (high + 0.05) / (low + 0.05)


def _luminance(colour: str) -> float:
    red, green, blue = (
        c / 12.92 if c <= 0.04045 else ((c + 0.055) / 1.055) ** 2.4
        for c in (channel / 255.0 for channel in hex_to_rgb(colour))
    )
    return float(0.2126 * red + 0.7152 * green + 0.0722 * blue)


def ink_on(colour: str) -> str:
    """Return the ink, dark or light, that reads better on a filled colour."""
    return max(("#000000", "#ffffff"), key=lambda ink: contrast(ink, colour))


def at_share(scale: Sequence[str], share: float) -> str:
    """Return the colour at a share, 0 to 1, of a scale of evenly spaced stops.

    Examples
    --------
    >>> at_share(("#000000", "#646464"), 0.5)
    '#323232'
    """
    place = min(max(share, 0.0), 1.0)
    (mixed,) = sample_colorscale(list(scale), place, colortype="tuple")
    return "#" + "".join(f"{round(255.0 * channel):02x}" for channel in mixed)


def colour_axis(
    ends: tuple[float, float], stops: Sequence[str], label: str
) -> dict[str, Any]:
    """Return a scale of evenly spaced stops in Plotly's form; ``label``: its words."""
    return {
        "cmin": ends[0],
        "cmax": ends[1],
        "colorscale": list(stops),
        "colorbar": {"title": {"text": label, "side": "right"}},
    }


def _template(mode: Mode) -> go.layout.Template:
    text = text_beside(__file__, "template.toml")
    house = {"line": LINE, "faint": translucent(LINE, 0.25), "family": _FAMILY}
    shades = {"ink": INK[mode], "muted": MUTED[mode], "ground": GROUND[mode]}
    told = tomllib.loads(Template(text).substitute(house | shades))
    axis, layout = told["axis"], told["layout"]
    layout |= {"xaxis": axis, "yaxis": {**axis, "ticklabelstandoff": 6}}
    layout |= {"separators": f".{THOUSANDS}", "colorway": [*CAUSES.values(), SPARE]}
    steady = [go.Scatter(unselected=told["unselected"])]
    return go.layout.Template(data={"scatter": steady}, layout=layout)


_TEMPLATES: Final[Mapping[Mode, go.layout.Template]] = {
    "light": _template("light"),
    "dark": _template("dark"),
}


def new_figure(height: int, alt: str, on: go.Figure | None = None) -> go.Figure:
    """Return a figure in the house template, with its description.

    Parameters
    ----------
    height : int
        Height of the figure. [px]
    alt : str
        One sentence that says what the figure shows, for screen readers.
    on : Figure, optional
        One that is there already, with its parts laid out; else an empty one is made.
    """
    figure = go.Figure() if on is None else on
    return figure.update_layout(
        template=_TEMPLATES["light"], height=height, meta={"alt": alt}
    )


def add_marks(
    figure: go.Figure, x: Any, y: Any, said: Sequence[str], **more: Any
) -> None:
    """Add signs that say their words when they are pointed at.

    ``figure``: to be added to. ``x``, ``y``: where they stand. ``said``: what each
    says. ``**more``: as Plotly takes it; ``mode`` for what is more than signs.
    """
    told: dict[str, Any] = {"mode": "markers", "hoverinfo": "text"}
    figure.add_scatter(x=x, y=y, hovertext=said, **(told | more))


def name_rows(figure: go.Figure, **more: Any) -> None:
    """Give a figure rows that are called by words, the first one on top."""
    rows: dict[str, Any] = {"type": "category", "autorange": "reversed"}
    figure.update_yaxes(**rows, showgrid=False, ticks="", **more)


def add_line(
    figure: go.Figure, x: Any, y: Any, colour: str, width: float, **more: Any
) -> None:
    """Add a line that says nothing when it is pointed at, and is not in the legend.

    Parameters
    ----------
    figure : Figure
        To be added to.
    x, y : array_like
        Its points.
    colour : str
        As CSS has it.
    width : float
        Of the line. [px]
    **more
        As Plotly takes it; what begins with ``line_`` is of the line.
    """
    quiet: dict[str, Any] = {"mode": "lines", "hoverinfo": "skip", "showlegend": False}
    look = {"line_color": colour, "line_width": width}
    figure.add_scatter(x=x, y=y, **(quiet | look | more))


def apply(figure: go.Figure, mode: Mode) -> go.Figure:
    """Return the figure with its text and grid in the inks of a light or dark page."""
    return go.Figure(figure).update_layout(template=_TEMPLATES[mode])


def describe(figure: go.Figure) -> str:
    """Return the one sentence that says what a figure shows."""
    meta: Mapping[str, str] = figure.to_dict()["layout"]["meta"]
    return meta["alt"]
