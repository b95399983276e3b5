"""Tests of wasting, isolation, ranking and spans: laws, edges."""

from typing import Any

import numpy as np
import plotly.graph_objects as go
import pytest
from presentation.figures import invented

from corrosion.presentation import format as fmt
from corrosion.presentation.figures import (
    isolation,
    loss_bars,
    ranking,
    theme,
)
from corrosion.presentation.report.svg_canvas import even_ticks


def traces(figure: go.Figure) -> dict[str, Any]:
    """Return the traces of a figure by name."""
    data: Any = figure.data
    return {trace.name: trace for trace in data}


def test_bars_add_up_to_the_steel_lost_in_each_zone() -> None:
    table = invented.zones().head(6)
    named = traces(loss_bars.loss_by_zone(table))
    drawn = sum(np.asarray(named[cause].x) for cause in theme.CAUSES)
    lost = table["stray_kg_mean"] + table["natural_kg_mean"]  # the couple is in stray
    lost += table["own_metals_kg_mean"]
    assert drawn == pytest.approx(lost.to_numpy())
    stray = drawn - np.asarray(named["natural"].x) - np.asarray(named["own metals"].x)
    assert stray == pytest.approx(table["stray_kg_mean"].to_numpy())


def test_causes_can_be_left_out() -> None:
    table = invented.zones().head(6)
    figure = loss_bars.loss_by_zone(table, ("stray", "shore couple"))
    assert set(theme.CAUSES) - set(traces(figure)) == {"natural", "own metals"}
    assert figure.layout.xaxis.range[1] < 1.2 * table["stray_kg_mean"].max()


def test_causes_differ_in_hatch_as_well_as_in_colour() -> None:
    named = traces(loss_bars.loss_by_year(invented.years()))
    hatches = {named[cause].marker.pattern.shape for cause in theme.CAUSES}
    assert len(hatches) == len(theme.CAUSES)


def test_a_ceiling_beyond_the_drawing_is_an_arrow_and_is_said() -> None:
    table = invented.zones().head(2)
    table["ceiling_kg_mean"] = [1.0, 1e6]
    figure = loss_bars.loss_by_zone(table)
    marks = traces(figure)["ceiling: every ampere dissolves steel"]
    assert list(marks.marker.symbol) == ["line-ns-open", "triangle-right"]
    assert max(marks.x) <= figure.layout.xaxis.range[1]
    assert "1\N{NO-BREAK SPACE}000\N{NO-BREAK SPACE}000 kg" in [
        note.text for note in figure.layout.annotations
    ]


def test_kept_steel_is_told_for_the_first_and_last_limit() -> None:
    said = isolation.saved_words(invented.limits())
    assert "Cleared within 1 h: kept 36.9 (16.4 to 77.9) kg" in said
    assert "Cleared within 1 year" in said
    assert "no limits" in isolation.saved_words(invented.limits().head(0))


def test_durations_say_when_half_are_cleared() -> None:
    hours = np.array([2.0, 24.0, 240.0])
    share = np.array([0.8, 0.5, 0.4])
    half = isolation.duration_curve(hours, share, share, share)
    assert "half are cleared within 1 day" in theme.describe(half)
    slow = isolation.duration_curve(hours, share + 0.3, share, share)
    assert "fewer than half" in theme.describe(slow)


def test_ranking_shows_both_ways_of_being_below_the_limit() -> None:
    table = invented.zones().head(5)
    named = traces(ranking.ranking_bars(table))
    assert list(named["mean of the zone"].x) == table["left_mm_p50"].tolist()
    under = named["under the deepest pit"].x
    assert list(under) == table["left_under_pit_mm_p50"].tolist()
    assert list(named["limit under a pit"].x) == table["pit_limit_mm"].tolist()


def test_nothing_to_rank_is_said() -> None:
    assert ranking.ranking_words(invented.zones().head(0)) == "No zones to rank."


@pytest.mark.parametrize(
    ("hours", "said"),
    [(0.5, "0.5 h"), (36.0, "1.5 days"), (336.0, "2 weeks"), (17532.0, "2 years")],
)
def test_lengths_of_time_in_words(hours: float, said: str) -> None:
    assert fmt.duration(hours) == said


@pytest.mark.parametrize(("low", "high"), [(0.0, 157.0), (-3.1, 4.0), (1e-4, 9e-4)])
def test_ticks_are_round_and_few(low: float, high: float) -> None:
    ticks = even_ticks(low, high)
    steps = np.diff(ticks)
    assert 2 <= len(ticks) <= 8
    assert steps == pytest.approx(steps[0])
    assert low - 1e-12 <= ticks[0] <= ticks[-1] <= high * (1.0 + 1e-9)
