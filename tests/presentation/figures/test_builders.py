"""What every figure owes its reader, whatever it shows."""

import json
from collections.abc import Callable
from functools import cache
from typing import Final

import numpy as np
import plotly.graph_objects as go
import pytest
from presentation.figures import invented

from corrosion.presentation.figures import (
    electric,
    gauged,
    hull,
    isolation,
    loss_bars,
    ranking,
    shell,
    theme,
    timeline,
)
from corrosion.presentation.report import drawings, svg_curves

STAR = 254.0 * np.exp(-2j * np.pi * np.arange(3) / 3.0)
HOURS = np.geomspace(1.0, 3e4, 11)
SHARE = np.linspace(0.95, 0.2, 11)
OHMS = np.geomspace(1.0, 1e6, 30)
ZONES = invented.zones()

FIGURES: Final[dict[str, Callable[[], go.Figure]]] = {
    "shell": lambda: shell.shell_expansion(
        ZONES, invented.FORM, colour="chance_below_limit"
    ),
    "ranking": lambda: ranking.ranking_bars(ZONES.head(12)),
    "timeline": lambda: timeline.fault_timeline(invented.faults(), invented.berths()),
    "by zone": lambda: loss_bars.loss_by_zone(ZONES.head(12)),
    "by year": lambda: loss_bars.loss_by_year(invented.years()),
    "saved": lambda: isolation.saved_steel_curve(invented.limits()),
    "durations": lambda: isolation.duration_curve(
        HOURS, SHARE, SHARE - 0.1, SHARE + 0.05
    ),
    "phasors": lambda: electric.phasors(STAR, STAR - 0.6 * STAR[0], ("a", "b", "c")),
    "volts": lambda: electric.volts_bar(np.array([30.0, -190.0]), ("+", "-")),
    "lamps": lambda: electric.lamps(
        ("a", "b", "c"), np.array([0.0, 3.0, 3.0]), ("out", "bright", "bright")
    ),
    "visible": lambda: electric.visibility_curve(OHMS, OHMS / (OHMS + 3e3), 0.8),
    "gauged": lambda: gauged.gauged_against_predicted(invented.compared()),
    "hull": lambda: hull.hull_3d(
        *invented.panels(), label="Leaving current", unit="mA/m²"
    ),
}

DRAWINGS: Final[dict[str, Callable[[], str]]] = {
    "shell": lambda: drawings.shell_svg(
        invented.zones(12), invented.FORM, colour="chance_below_limit"
    ),
    "ranking": lambda: drawings.ranking_svg(ZONES.head(12)),
    "timeline": lambda: drawings.timeline_svg(invented.faults(), invented.berths()),
    "saved": lambda: svg_curves.saved_steel_svg(invented.limits()),
}


@cache
def figure(name: str) -> go.Figure:
    return FIGURES[name]()


@cache
def drawing(name: str) -> str:
    return DRAWINGS[name]()


WITHOUT_AXES = {"phasors", "lamps", "hull"}


@pytest.mark.parametrize("name", FIGURES)
def test_says_in_one_sentence_what_it_shows(name: str) -> None:
    said = theme.describe(figure(name))
    assert len(said) > 20
    assert said.endswith(".")
    assert "nan" not in said


@pytest.mark.parametrize("name", FIGURES)
def test_has_a_height_no_title_and_no_ground_of_its_own(name: str) -> None:
    layout = figure(name).layout
    height = layout.height
    assert height is not None
    assert 120 <= height <= 620
    assert layout.title.text is None
    assert layout.paper_bgcolor is None
    assert layout.template.layout.paper_bgcolor == "rgba(0,0,0,0)"


@pytest.mark.parametrize("name", sorted(FIGURES.keys() - WITHOUT_AXES))
def test_axes_that_are_seen_say_what_they_are(name: str) -> None:
    layout = figure(name).to_dict()["layout"]
    assert layout["xaxis"]["title"]["text"]


@pytest.mark.parametrize("name", FIGURES)
def test_is_plain_json_and_small(name: str) -> None:
    text = figure(name).to_json()
    assert text is not None
    assert len(json.dumps(json.loads(text))) < 120_000


@pytest.mark.parametrize("name", sorted(FIGURES.keys() - {"shell"}))
def test_words_take_the_ink_of_the_page(name: str) -> None:
    # Fixed ink would vanish on the other page colour; the shell's words lie on fills.
    for note in figure(name).layout.annotations:
        assert note.font.color is None


@pytest.mark.parametrize("name", DRAWINGS)
def test_drawings_for_paper_are_small_and_say_what_they_show(name: str) -> None:
    said = drawing(name)
    assert len(said.encode()) < 19_000
    assert said.startswith("<svg ")
    assert "<title>" in said
    assert "nan" not in said
    assert "script" not in said
    assert said.count("http") == 1  # the name of the format, nothing fetched


def test_paper_and_page_say_the_same() -> None:
    title = drawing("timeline").split("<title>")[1].split("</title>")[0]
    assert title == theme.describe(figure("timeline"))
