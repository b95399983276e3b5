"""Figures in the units of the United States: numbers, titles and words alike."""

from collections import defaultdict
from collections.abc import Callable, Mapping
from typing import Any

import numpy as np
import pandas as pd
import plotly.graph_objects as go
import pytest
from presentation.figures import invented

from corrosion.presentation.figures.gauged import gauged_against_predicted
from corrosion.presentation.figures.isolation import saved_steel_curve
from corrosion.presentation.figures.loss_bars import loss_by_year, loss_by_zone
from corrosion.presentation.figures.quantities import QUANTITIES
from corrosion.presentation.figures.ranking import ranking_bars
from corrosion.presentation.figures.shell import shell_expansion
from corrosion.presentation.figures.table_columns import in_units
from corrosion.presentation.figures.zone_history import zone_history_figure
from corrosion.presentation.report.drawings import ranking_svg
from corrosion.presentation.report.svg_curves import measures_svg, saved_steel_svg
from corrosion.presentation.units import METRIC, US, UnitSystem

ZONES = invented.zones()
DRAWN: Mapping[str, Callable[[UnitSystem], go.Figure | str]] = {
    "ranking": lambda units: ranking_bars(ZONES.head(6), units),
    "saved": lambda units: saved_steel_curve(invented.limits(), units),
    "by zone": lambda units: loss_by_zone(ZONES.head(6), units=units),
    "by year": lambda units: loss_by_year(invented.years(), units),
    "gauged": lambda units: gauged_against_predicted(invented.compared(), units),
    "zone": lambda units: zone_history_figure(
        invented.plate(), defaultdict(lambda: "#000000"), units
    ),
    "measures": lambda units: measures_svg(
        [{"measure": "alarm", "kept_kg": {"p10": 1.0, "p50": 2.0, "p90": 4.0}}],
        "what each would have kept",
        units,
    ),
    **{
        f"shell, {name}": lambda units, name=name: shell_expansion(  # type: ignore[misc]
            ZONES, invented.FORM, colour=name, units=units
        )
        for name in ("left_mm_p50", "stray_kg_p50")
    },
    "ranking on paper": lambda units: ranking_svg(ZONES.head(6), units),
    "saved on paper": lambda units: saved_steel_svg(invented.limits(), units),
}


def text_of(drawn: go.Figure | str) -> str:
    return drawn if isinstance(drawn, str) else str(drawn.to_json())


@pytest.mark.parametrize("name", DRAWN)
def test_says_mil_and_pound_and_nothing_metric(name: str) -> None:
    metric, us = (text_of(DRAWN[name](units)) for units in (METRIC, US))
    assert any(unit in metric for unit in (" mm", "(mm)", " kg", "(kg)"))
    assert not any(unit in us for unit in (" mm", "(mm)", " kg", "(kg)"))
    assert any(unit in us for unit in (" mil", "(mil)", " lb", "(lb)"))


def test_places_on_the_axes_are_converted() -> None:
    def along(figure: go.Figure, name: str) -> Any:
        data: Any = figure.data
        (trace,) = (trace for trace in data if trace.name == name)
        return np.asarray(trace.x, dtype=float)

    metric, us = (ranking_bars(ZONES.head(6), units) for units in (METRIC, US))
    for name in ("mean of the zone", "limit"):
        np.testing.assert_allclose(
            along(us, name), along(metric, name) / 0.0254, rtol=1e-12
        )


def test_a_colour_scale_is_the_same_in_either() -> None:
    asked = QUANTITIES["deepest_mm_p50"]
    low, high = asked.span(asked.values(ZONES))
    us = asked.read_in(US)
    assert us.span(us.values(in_units(ZONES, US))) == pytest.approx(
        (low / 0.0254, high / 0.0254)
    )
    assert us.unit == "mil"


def test_only_lengths_and_masses_are_converted() -> None:
    table = pd.DataFrame({"a_mm": [25.4], "b_kg_p50": [1.0], "c_ohm": [2.0]})
    assert in_units(table, METRIC) is table
    found = in_units(table, US)
    assert found["a_mm"].iloc[0] == pytest.approx(1000.0)
    assert found["b_kg_p50"].iloc[0] == pytest.approx(2.2046226)
    assert found["c_ohm"].iloc[0] == 2.0
