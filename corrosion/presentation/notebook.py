"""A result's face: its figures by name, and its ranking in a notebook."""

from collections.abc import Callable, Mapping
from html import escape
from pathlib import Path
from typing import TYPE_CHECKING, Final

import pandas as pd
import plotly.graph_objects as go

from corrosion.foundation.errors import InputError, LookupFailed
from corrosion.presentation.answers import history
from corrosion.presentation.figures.gauged import gauged_against_predicted
from corrosion.presentation.figures.loss_bars import loss_by_year, loss_by_zone
from corrosion.presentation.figures.ranking import ranking_bars
from corrosion.presentation.figures.shell import shell_expansion
from corrosion.presentation.figures.timeline import fault_timeline
from corrosion.presentation.report.drawings import ranking_svg, shell_svg, timeline_svg
from corrosion.presentation.sentences import headline, totals_sentence
from corrosion.presentation.tables.zones import ranking
from corrosion.presentation.units import METRIC, SYSTEMS, UnitSystem

if TYPE_CHECKING:
    from corrosion.results import Estimate

_SHOWN: Final = 12


def _own(result: "Estimate") -> UnitSystem:
    """Return the units in which her people read."""
    return SYSTEMS[result.ship.display.units]


_COLOUR: Final = "chance_below_limit"
_FIGURES: Final[Mapping[str, Callable[["Estimate"], go.Figure]]] = {
    "shell": lambda it: shell_expansion(it.zones, it.ship.form, colour=_COLOUR),
    "ranking": lambda it: ranking_bars(it.zones.head(_SHOWN), _own(it)),
    "timeline": lambda it: fault_timeline(it.faults, history.berth_intervals(it)),
    "loss by zone": lambda it: loss_by_zone(
        history.loss_by_zone(it).head(_SHOWN), units=_own(it)
    ),
    "loss by year": lambda it: loss_by_year(history.loss_by_year(it), _own(it)),
    "gaugings": lambda it: gauged_against_predicted(history.gaugings(it), _own(it)),
}
_DRAWINGS: Final[Mapping[str, Callable[["Estimate", UnitSystem], str]]] = {
    "shell": lambda it, _: shell_svg(it.zones, it.ship.form, colour=_COLOUR),
    "ranking": lambda it, units: ranking_svg(it.zones.head(_SHOWN), units),
    "timeline": lambda it, _: timeline_svg(it.faults, history.berth_intervals(it)),
}


def figure(result: "Estimate", name: str) -> go.Figure:
    """Return one of an estimate's figures, to be turned over in a notebook.

    ``name``: ``shell``, ``ranking``, ``timeline``, ``loss by zone``, ``loss by year``
    or ``gaugings``. Raises LookupFailed if there is no such figure.
    """
    if name not in _FIGURES:
        raise LookupFailed.among("figure", name, _FIGURES)
    return _FIGURES[name](result)


def drawing(result: "Estimate", name: str, units: UnitSystem = METRIC) -> str:
    """Return a drawing of an estimate for paper, as SVG.

    Raises LookupFailed if there is no such drawing.
    """
    if name not in _DRAWINGS:
        raise LookupFailed.among("drawing", name, _DRAWINGS)
    return _DRAWINGS[name](result, units)


def picture(svg: str, file: Path) -> bytes:
    """Return a drawing as what a file's ending asks for.

    ``file``: ``.svg`` or ``.png``; ``-`` is SVG. Raises InputError if the ending is
    another, or what makes PNG is not installed.
    """
    if file.suffix == ".svg" or str(file) == "-":
        return svg.encode()
    if file.suffix != ".png":
        msg = f"cannot draw {file}: give a name that ends in .svg or .png."
        raise InputError(msg)
    try:
        from resvg_py import svg_to_bytes  # noqa: PLC0415 - an extra
    except ImportError:
        msg = (
            "a PNG needs resvg-py: pip install 'corrosion[png]', or give a name that "
            "ends in .svg."
        )
        raise InputError(msg) from None
    return bytes(svg_to_bytes(svg_string=svg, zoom=2, background="#ffffff"))


def html(result: "Estimate") -> str:
    """Return the headline, the totals and the first zones as HTML."""
    table = ranking(result)
    first: pd.DataFrame = table.frame().head(_SHOWN)
    rest = len(table.rows) - len(first)
    more = f"<p>{rest} more zones: result.zones has all.</p>" if rest > 0 else ""
    return (
        f"<p><b>{escape(headline(result))}</b></p>"
        f"<p>{escape(totals_sentence(result))}</p>"
        f"{first.to_html(index=False, border=0)}{more}"
    )
