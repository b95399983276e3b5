"""Tests of the drawings in the report's cells: laws, edges."""

import re

import pytest

from corrosion.presentation.figures.cell_bars import interval_bar, margin_bar


def places(svg: str) -> list[float]:
    """Return where ticks and dots stand, ticks first."""
    ticks = re.findall(r'd="M([\d.]+) 1V', svg)
    dots = re.findall(r'cx="([\d.]+)"', svg)
    return [float(x) for x in (*ticks, *dots)]


def test_at_its_limit_a_zone_stands_on_the_left_tick() -> None:
    svg = margin_bar(
        (7.0, 8.0, 9.0), (4.0, 5.0, 12.0), built_mm=12.0, limit_mm=8.0, pit_limit_mm=5.0
    )
    limit, _, mean, pit = places(svg)
    assert mean == limit == pit


def test_as_built_stands_on_the_right_tick() -> None:
    svg = margin_bar(
        (9.0, 12.0, 12.1),
        (8.0, 10.0, 12.0),
        built_mm=12.0,
        limit_mm=8.0,
        pit_limit_mm=8.0,
    )
    limit, built, mean, pit = places(svg)
    assert mean == built
    assert pit == pytest.approx(0.5 * (limit + built), abs=0.11)


def test_what_is_far_off_stays_in_the_drawing() -> None:
    svg = margin_bar(
        (-9.0, 0.0, 99.0), (0.0, 0.0, 0.0), built_mm=9.0, limit_mm=9.0, pit_limit_mm=8.0
    )
    assert all(0.0 <= place <= 110.0 for place in places(svg))


def test_an_interval_is_drawn_to_scale() -> None:
    start, low = places(interval_bar(0.0, 0.0, 1.0, top=4.0, unit="kg"))
    _, half = places(interval_bar(0.0, 2.0, 4.0, top=4.0, unit="kg"))
    _, whole = places(interval_bar(0.0, 4.0, 4.0, top=4.0, unit="kg"))
    assert low == start
    assert half == pytest.approx(0.5 * (start + whole))
    assert "0 to 1.00 kg" in interval_bar(0.0, 0.0, 1.0, top=4.0, unit="kg")
