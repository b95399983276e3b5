"""Tests of presentation.figures.shell: laws, edges, errors."""

from typing import Any

import numpy as np
import plotly.graph_objects as go
import pytest
from presentation.figures import invented
from presentation.figures.invented import FORM

from corrosion.foundation.errors import LookupFailed
from corrosion.presentation.figures import theme
from corrosion.presentation.figures.quantities import LEAVING, QUANTITIES, zone_colours
from corrosion.presentation.figures.shell import shell_expansion


def markers(figure: go.Figure) -> Any:
    """Return the trace of the selectable markers."""
    traces: Any = figure.data
    (trace,) = [trace for trace in traces if trace.mode == "markers"]
    return trace


def written(figure: go.Figure) -> list[str]:
    """Return the words inside the zones."""
    notes: Any = figure.layout.annotations
    return [note.text for note in notes if "<br>" in note.text]


@pytest.mark.parametrize("columns", [1, 8, 12])
def test_one_polygon_and_one_marker_a_zone(columns: int) -> None:
    table = invented.zones(columns)
    figure = shell_expansion(table, FORM, colour="chance_below_limit")
    assert len(figure.layout.shapes) == len(table)
    picked = [entry[0] for entry in markers(figure).customdata]
    assert picked == table["zone"].tolist()


def test_markers_stand_inside_their_polygons() -> None:
    table = invented.zones()
    figure = shell_expansion(table, FORM, colour="stray_kg_p50")
    boxes = []
    for shape in figure.layout.shapes:
        corners = [tuple(map(float, c.split(","))) for c in shape.path[1:-1].split("L")]
        boxes.append((np.min(corners, axis=0), np.max(corners, axis=0)))
    for point in zip(markers(figure).x, markers(figure).y, strict=True):
        assert any(((low < point) & (point < high)).all() for low, high in boxes)


@pytest.mark.parametrize("colour", QUANTITIES)
def test_the_worst_zone_is_the_darkest(colour: str) -> None:
    table = invented.zones()
    quantity = QUANTITIES[colour]
    figure = shell_expansion(table, FORM, colour=colour)
    fills = {shape.fillcolor for shape in figure.layout.shapes}
    dark_at = 0 if quantity.low_is_worse else -1
    scale = figure.layout.coloraxis.colorscale
    assert scale[dark_at][1] == theme.SEQUENTIAL[-1]
    reached = table[colour].max() >= quantity.least_high
    assert (theme.SEQUENTIAL[-1] in fills) == reached
    assert quantity.unit in figure.layout.coloraxis.colorbar.title.text


def test_the_first_five_and_the_chosen_zone_are_framed() -> None:
    table = invented.zones()
    chosen = table["zone"].iloc[9]
    figure = shell_expansion(table, FORM, colour="chance_below_limit", selected=chosen)
    widths = sorted(shape.line.width for shape in figure.layout.shapes)
    assert widths[-6:] == [2.0] * 5 + [4.0]
    assert figure.layout.shapes[-1].line.color == theme.ACCENT


def test_values_are_written_beside_the_colour() -> None:
    table = invented.few_zones()
    figure = shell_expansion(table, FORM, colour="stray_kg_p50")
    assert [words.split("<br>")[0] for words in written(figure)] == list(table["zone"])
    assert all(words.endswith("kg") for words in written(figure))


def test_choosing_a_zone_fades_no_words() -> None:
    figure = shell_expansion(invented.zones(), FORM, colour="stray_kg_p50")
    assert markers(figure).text is None
    assert figure.layout.template.data.scatter[0].unselected.marker.opacity == 1.0


def test_words_in_zones_can_be_read_on_their_fill() -> None:
    table = invented.few_zones()
    figure = shell_expansion(table, FORM, colour="stray_kg_p50")
    fills = zone_colours(table, QUANTITIES["stray_kg_p50"])
    every: Any = figure.layout.annotations
    notes = [note for note in every if "<br>" in note.text]
    for note, fill in zip(notes, fills, strict=True):
        assert theme.contrast(note.font.color, fill) >= 4.5


def test_the_chance_is_said_once() -> None:
    figure = shell_expansion(invented.few_zones(), FORM, colour="chance_below_limit")
    assert markers(figure).hovertext[0].count("Chance below limit") == 1


def test_hovering_tells_in_words_with_the_interval() -> None:
    table = invented.few_zones()
    text = markers(shell_expansion(table, FORM, colour="stray_kg_p50")).hovertext[0]
    assert "Steel lost to stray current" in text
    assert " to " in text
    assert "Chance below limit" in text


def test_says_what_it_shows() -> None:
    table = invented.zones()
    worst = table.sort_values("left_mm_p50")["zone"].iloc[0]
    figure = shell_expansion(table, FORM, colour="left_mm_p50")
    assert f"least in {worst}" in theme.describe(figure)


def test_what_is_not_known_is_grey_and_says_so() -> None:
    table = invented.few_zones()
    table["stray_kg_p50"] = np.nan
    figure = shell_expansion(table, FORM, colour="stray_kg_p50")
    assert "not known" in theme.describe(figure)
    assert {shape.fillcolor for shape in figure.layout.shapes} == {"#c3c9cf"}
    assert all("not known" in words for words in written(figure))


def test_unknown_quantity_offers_the_nearest() -> None:
    with pytest.raises(LookupFailed, match="did you mean 'stray_kg_p50'"):
        shell_expansion(invented.few_zones(), FORM, colour="stray_kg")


def test_what_enters_and_what_leaves_have_colours_of_their_own() -> None:
    table = invented.few_zones()
    flows = np.linspace(-2.0, 4.0, len(table))
    table[LEAVING.column] = flows
    figure = shell_expansion(table, FORM, colour=LEAVING)
    axis = figure.layout.coloraxis
    assert (axis.cmin, axis.cmax) == (-4.0, 4.0)
    fills = zone_colours(table, LEAVING)
    assert fills[-1] == theme.DIVERGING[-1]
    middle = theme.at_share(theme.DIVERGING, 0.25)  # half of what enters at the end
    assert fills[0] == middle
    assert f"most in {table['zone'].iloc[-1]}" in theme.describe(figure)
    assert any("-2" in words or "−2" in words for words in written(figure))
