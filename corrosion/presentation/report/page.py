"""The report's page: contents in, one HTML text out, everything in it escaped."""

from functools import cache
from typing import Any

import pandas as pd
from jinja2 import Template
from markupsafe import Markup

from corrosion import __version__
from corrosion.inspection import cautions
from corrosion.leakage.dated_states import berth_at
from corrosion.presentation import hunt_words, sentences
from corrosion.presentation.answers.currents import causes_of, leaving, leaving_words
from corrosion.presentation.answers.dangers import gauging_cautions, grouped, touched_of
from corrosion.presentation.demo import INVENTED, is_demo
from corrosion.presentation.figures import theme
from corrosion.presentation.figures.quantities import LEAVING
from corrosion.presentation.figures.timeline import SUPPLY_COLOURS
from corrosion.presentation.format import whole
from corrosion.presentation.report.contents import Contents
from corrosion.presentation.report.drawings import ranking_svg, shell_svg, timeline_svg
from corrosion.presentation.report.svg_curves import saved_steel_svg
from corrosion.presentation.tables.hunt import blocks
from corrosion.presentation.tables.table import REPORT
from corrosion.presentation.templates import escaping
from corrosion.presentation.units import METRIC, UnitSystem
from corrosion.records.ship import Ship
from corrosion.results import Estimate

_DRAWN = 12


@cache
def _page() -> Template:
    filters = {"bare": "{:g}".format, "whole": whole}
    return escaping("corrosion.presentation.report", filters).get_template(
        "page.html.j2"
    )


def report_html(contents: Contents, units: UnitSystem = METRIC) -> str:
    """Return a report as one self-contained HTML page.

    Nothing in it is fetched, nothing runs; the same contents give the same bytes.

    ``contents``: from :func:`corrosion.presentation.report.gather`.
    """
    result = contents.result
    rows = [] if contents.plan is None else contents.plan["rows"]
    holes = gauging_cautions(result).items()
    return _page().render(
        blocks=blocks,
        cautions=cautions,
        contents=contents,
        driven=_driven(result),
        figures=_figures(contents, units),
        hunt_words=hunt_words,
        invented=_invented(result.ship),
        plan_cautions=grouped({row["zone"]: row["cautions"] for row in rows}),
        result=result,
        sentences=sentences,
        ship=result.ship,
        supplies=SUPPLY_COLOURS.values(),
        surface=REPORT,
        tables={table.name: table for table in contents.tables(units)},
        theme=theme,
        thin=[zone for zone, said in holes if cautions.THIN in said],
        touched=touched_of(result),
        units=units,
        version=__version__,
    )


def _invented(ship: Ship) -> str:
    """Return what a reader must be told of a demo ship; of others, nothing."""
    return INVENTED if ship.folder is not None and is_demo(ship.folder) else ""


def _driven(result: Estimate) -> list[tuple[Markup, str]]:
    """Return the unfolded hull with what each cause drives through it as she lies."""
    now = berth_at(result.ship, result.inputs.time_grid.as_of)
    if now not in result.ship.berths:
        return []
    berth, found = result.ship.berths.index(now), []
    for cause in causes_of(result):
        gone = leaving(result, berth, cause)
        if gone.share > 0.0:
            zones = result.zones.merge(gone.table[["zone", LEAVING.column]], on="zone")
            svg = shell_svg(zones, result.ship.form, colour=LEAVING)
            found.append((Markup(svg), leaving_words(gone, now, cause)))  # noqa: S704 - ours
    return found


def _figures(contents: Contents, units: UnitSystem) -> dict[str, Markup]:
    """Return the drawings; their texts were escaped where they were drawn."""
    result = contents.result
    limits = pd.json_normalize(contents.isolation["limits"], sep="_")
    drawn: dict[str, Any] = {
        "shell": shell_svg(result.zones, result.ship.form, colour="chance_below_limit"),
        "ranking": ranking_svg(result.zones.head(_DRAWN), units),
        "timeline": timeline_svg(result.faults, contents.berths),
        "saved": saved_steel_svg(limits, units),
    }
    return {name: Markup(svg) for name, svg in drawn.items()}  # noqa: S704 - ours
