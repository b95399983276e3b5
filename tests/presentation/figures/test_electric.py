"""Tests of electric, gauged, hull and the drawings for paper: laws, edges."""

import xml.etree.ElementTree as ET
from typing import Any

import numpy as np
import plotly.graph_objects as go
import pytest
from presentation.figures import invented

from corrosion.presentation.figures import electric, gauged, hull, theme
from corrosion.presentation.report import drawings
from corrosion.presentation.report.svg_canvas import Canvas

STAR = 254.0 * np.exp(-2j * np.pi * np.arange(3) / 3.0)


def data(figure: go.Figure) -> Any:
    """Return the traces of a figure."""
    return figure.data


def rays(to_hull: np.ndarray[tuple[int], np.dtype[np.complex128]]) -> list[float]:
    """Return the lengths of the rays that are drawn from the hull."""
    drawn = data(electric.phasors(STAR, to_hull, ("a", "b", "c")))
    lines = [t for t in drawn if t.mode == "lines" and len(t.x) == 2]
    return [float(np.hypot(np.diff(t.x), np.diff(t.y))[0]) for t in lines]


@pytest.mark.parametrize("hull_at", [0.0, STAR[1], 30.0 - 60.0j])
def test_rays_are_as_long_as_the_volts_to_hull(hull_at: complex) -> None:
    assert rays(STAR - hull_at) == pytest.approx(np.abs(STAR - hull_at))


def test_first_conductor_stands_upright() -> None:
    figure = electric.phasors(STAR, STAR, ("a", "b", "c"))
    notes: Any = figure.layout.annotations
    top = max(notes, key=lambda note: float(note.y))
    assert top.text == "<b>a</b>  254 V"


def test_volts_of_a_direct_current_system_are_told_from_the_hull() -> None:
    figure = electric.volts_bar(np.array([30.0, -190.0]), ("+", "-"))
    notes = [note.text for note in figure.layout.annotations]
    assert "<b>+</b>  30.0 V above hull" in notes
    assert "<b>-</b>  190 V below hull" in notes


def test_lamps_glow_in_order_of_their_light() -> None:
    light = np.array([0.001, 0.2, 1.0, 3.0])
    figure = electric.lamps("abcd", light, ("out", "dim", "even", "bright"))
    fills = data(figure)[0].marker.color
    shine = [theme.contrast(fill, "#000000") for fill in fills]
    assert shine == sorted(shine)
    assert len(set(fills)) == 4


def test_lamp_curve_says_from_where_the_lamps_look_even() -> None:
    ohms = np.array([10.0, 100.0, 1e3, 1e4])
    ratio = np.array([0.1, 0.4, 0.7, 0.95])
    seen = electric.visibility_curve(ohms, ratio, 0.8)
    assert "from 80 % on" in theme.describe(seen)
    assert seen.layout.shapes[0].y0 == pytest.approx(80.0)


def test_gaugings_outside_their_interval_are_marked_and_counted() -> None:
    figure = gauged.gauged_against_predicted(invented.compared())
    assert "9 lie within" in theme.describe(figure)
    symbols = data(figure)[1].marker.symbol
    assert list(symbols).count("diamond") == 1


def test_differences_have_the_interval_of_the_prediction() -> None:
    table = invented.compared()
    points = data(gauged.gauged_against_predicted(table))[2]
    least = points.x - points.error_x.arrayminus
    assert least == pytest.approx(table["measured_mm"] - table["predicted_mm_p90"])


def test_hull_has_two_triangles_a_panel_of_one_colour() -> None:
    corners, values = invented.panels()
    mesh = data(hull.hull_3d(corners, values, label="Current", unit="A"))[0]
    triangles = np.column_stack([mesh.i, mesh.j, mesh.k])
    points = np.column_stack([mesh.x, mesh.y, mesh.z])
    cross = np.cross(
        points[triangles[:, 1]] - points[triangles[:, 0]],
        points[triangles[:, 2]] - points[triangles[:, 0]],
    )
    drawn = 0.5 * np.linalg.norm(cross, axis=1).sum()
    diagonal = np.cross(corners[:, 2] - corners[:, 0], corners[:, 3] - corners[:, 1])
    assert drawn == pytest.approx(
        0.5 * np.linalg.norm(diagonal, axis=1).sum(), rel=0.01
    )
    assert mesh.intensity[: len(values)].tolist() == values.tolist()


def test_nothing_leaves_an_empty_hull() -> None:
    figure = hull.hull_3d(np.zeros((0, 4, 3)), np.zeros(0), label="Current", unit="A")
    assert "no panels" in theme.describe(figure)


def test_paper_is_well_formed_and_escapes_words() -> None:
    table = invented.zones()
    table["zone"] = table["zone"].str.replace("M1-P-BIL", "<M1&>")
    drawing = drawings.shell_svg(table, invented.FORM, colour="stray_kg_p50")
    words = ["".join(node.itertext()) for node in ET.fromstring(drawing).iter()]  # noqa: S314 - our own text
    assert any("<M1&>" in text for text in words)


def test_sheet_puts_ends_of_values_on_the_margins() -> None:
    sheet = Canvas(
        width=200, height=100, left=20, right=30, top=5, bottom=15, x=(1, 4), y=(0, 8)
    )
    assert (sheet.across(1.0), sheet.across(4.0)) == (20, 170)
    assert (sheet.down(0.0), sheet.down(8.0)) == (85, 5)
    sheet.polygon(np.array([1.0, 4.0, 4.0]), np.array([0.0, 0.0, 8.0]), "#fff")
    assert sheet.parts == ['<path d="M20 85l150 0l0-80z" fill="#fff"/>']
