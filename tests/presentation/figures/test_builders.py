"""What every figure owes its reader, whatever it shows."""

import json

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

FIGURES = {
    "shell": shell.shell_expansion(ZONES, invented.FORM, colour="chance_below_limit"),
    "ranking": ranking.ranking_bars(ZONES.head(12)),
    "timeline": timeline.fault_timeline(invented.faults(), invented.berths()),
    "by zone": loss_bars.loss_by_zone(ZONES.head(12)),
    "by year": loss_bars.loss_by_year(invented.years()),
    "saved": isolation.saved_steel_curve(invented.limits()),
    "durations": isolation.duration_curve(HOURS, SHARE, SHARE - 0.1, SHARE + 0.05),
    "phasors": electric.phasors(STAR, STAR - 0.6 * STAR[0], ("a", "b", "c")),
    "volts": electric.volts_bar(np.array([30.0, -190.0]), ("+", "-")),
    "lamps": electric.lamps(
        ("a", "b", "c"), np.array([0.0, 3.0, 3.0]), ("out", "bright", "bright")
    ),
    "visible": electric.visibility_curve(OHMS, OHMS / (OHMS + 3e3), 0.8),
    "gauged": gauged.gauged_against_predicted(invented.compared()),
    "hull": hull.hull_3d(*invented.panels(), label="Leaving current", unit="mA/m²"),
}

DRAWINGS = {
    "shell": drawings.shell_svg(
        invented.zones(12), invented.FORM, colour="chance_below_limit"
    ),
    "ranking": drawings.ranking_svg(ZONES.head(12)),
    "timeline": drawings.timeline_svg(invented.faults(), invented.berths()),
    "saved": svg_curves.saved_steel_svg(invented.limits()),
}

without_axes = {"phasors", "lamps", "hull"}


@pytest.mark.parametrize("figure", FIGURES.values(), ids=FIGURES)
def test_says_in_one_sentence_what_it_shows(figure: go.Figure) -> None:
    said = theme.describe(figure)
    assert len(said) > 20
    assert said.endswith(".")
    assert "nan" not in said


@pytest.mark.parametrize("figure", FIGURES.values(), ids=FIGURES)
def test_has_a_height_no_title_and_no_ground_of_its_own(figure: go.Figure) -> None:
    height = figure.layout.height
    assert height is not None
    assert 120 <= height <= 620
    assert figure.layout.title.text is None
    assert figure.layout.paper_bgcolor is None
    assert figure.layout.template.layout.paper_bgcolor == "rgba(0,0,0,0)"


@pytest.mark.parametrize("name", sorted(FIGURES.keys() - without_axes))
def test_axes_that_are_seen_say_what_they_are(name: str) -> None:
    layout = FIGURES[name].to_dict()["layout"]
    assert layout["xaxis"]["title"]["text"]


@pytest.mark.parametrize("figure", FIGURES.values(), ids=FIGURES)
def test_is_plain_json_and_small(figure: go.Figure) -> None:
    text = figure.to_json()
    assert text is not None
    assert len(json.dumps(json.loads(text))) < 120_000


@pytest.mark.parametrize("name", sorted(FIGURES.keys() - {"shell"}))
def test_words_take_the_ink_of_the_page(name: str) -> None:
    # Fixed ink would vanish on the other page colour; the shell's words lie on fills.
    for note in FIGURES[name].layout.annotations:
        assert note.font.color is None


@pytest.mark.parametrize("drawing", DRAWINGS.values(), ids=DRAWINGS)
def test_drawings_for_paper_are_small_and_say_what_they_show(drawing: str) -> None:
    assert len(drawing.encode()) < 19_000
    assert drawing.startswith("<svg ")
    assert "<title>" in drawing
    assert "nan" not in drawing
    assert "script" not in drawing
    assert drawing.count("http") == 1  # the name of the format, nothing fetched


def test_paper_and_page_say_the_same() -> None:
    title = DRAWINGS["timeline"].split("<title>")[1].split("</title>")[0]
    assert title == theme.describe(FIGURES["timeline"])
