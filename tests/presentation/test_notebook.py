"""Tests of a result's face: its words, its figures, its drawings."""

from datetime import date
from pathlib import Path

import plotly.graph_objects as go
import pytest
from ships import ship

import corrosion
from corrosion.foundation.errors import InputError, LookupFailed
from corrosion.presentation.notebook import drawing, picture

DATA = Path(__file__).parents[2] / "data"


@pytest.fixture(scope="module")
def result() -> corrosion.Estimate:
    return corrosion.estimate(ship(name="A <b>"), samples=16, as_of=date(2026, 1, 1))


def test_a_result_and_a_ship_fit_a_line_or_two(result: corrosion.Estimate) -> None:
    assert len(repr(result)) < 200
    assert repr(result.ship).startswith("<Ship A <b>: ")


def test_a_notebook_shows_the_ranking_and_no_markup_of_the_ship(
    result: corrosion.Estimate,
) -> None:
    html = result._repr_html_()
    assert result.zones["zone"].iloc[0] in html
    assert "<b>:" not in html


def test_figures_and_drawings_are_had_by_name(result: corrosion.Estimate) -> None:
    assert isinstance(result.figure("shell"), go.Figure)
    assert drawing(result, "ranking").startswith("<svg")
    with pytest.raises(LookupFailed, match="did you mean 'shell'"):
        result.figure("shel")


def test_a_zone_is_had_by_name(result: corrosion.Estimate) -> None:
    name = result.zones["zone"].iloc[-1]
    assert result.zone(name)["rank"] == len(result.zones)
    with pytest.raises(LookupFailed, match="zone"):
        result.zone("nowhere")


def test_a_folder_and_a_date_as_text_are_taken() -> None:
    told = corrosion.estimate(DATA / "saltmarsh", samples=8, as_of="2020-02")
    assert told.as_of == date(2020, 2, 29)
    with pytest.raises(InputError, match="is not a date"):
        corrosion.estimate(DATA / "saltmarsh", samples=8, as_of="soon")


def test_a_drawing_is_what_the_name_says() -> None:
    svg = '<svg xmlns="http://www.w3.org/2000/svg" width="9" height="9"></svg>'
    assert picture(svg, Path("a.svg")) == svg.encode()
    pytest.importorskip("resvg_py")
    assert picture(svg, Path("a.png")).startswith(b"\x89PNG")
    with pytest.raises(InputError, match=r"ends in \.svg or \.png"):
        picture(svg, Path("a.pdf"))
