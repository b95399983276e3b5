"""Tests of the drawings in the report's cells: laws, edges."""

import re
from typing import Any

import pytest

from corrosion.presentation.report.bars import interval_bar, margin_bar
from corrosion.presentation.report.faulttables import durations
from corrosion.presentation.tables import between, file_stem


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


def test_next_to_nothing_is_said_to_be() -> None:
    tiny = {"mean": 3e-7, "p10": -2e-6, "p90": 0.5}
    assert between(tiny).text == "under 0.0001"
    assert between(tiny).small == ("over -0.0001 to 0.500",)
    assert between({"mean": 0.0, "p10": 0.0, "p90": 0.0}).small == ()


def test_names_of_files_hold_no_path() -> None:
    assert file_stem("../etc/passwd") == "etc-passwd"
    assert file_stem("日本") == "unnamed"


def test_an_interval_that_is_not_known_is_said_so_once() -> None:
    curve: list[list[Any]] = [
        [0.0, 1.0, 1.0, 1.0],
        [2.0, 0.5, 0.2, 0.8],
        [6.0, 0.0, None, None],
    ]
    rows = dict(zip(("1 h", "4 h", "12 h"), durations(curve).rows, strict=False))
    assert rows["1 h"] == ["1 h", "100 %", "100 % to 100 %"]
    assert rows["4 h"] == ["4 h", "50 %", "20 % to 80 %"]
    assert rows["12 h"] == ["12 h", "0 %", "not known"]
