"""Tests of the case for isolation: sentences worked by hand from a row."""

from typing import Any

from corrosion.presentation.case_words import (
    case_sentence,
    future_sentence,
    second_faults,
)
from corrosion.presentation.report.svg_measures import measures_svg, scale_top
from corrosion.presentation.units import US

SECOND_NOW = {"another_conductor": 1.4, "past_trip": 0.5, "between": 0.9}


def stat(low: float, middle: float, high: float) -> dict[str, float]:
    return {"mean": middle, "p10": low, "p50": middle, "p90": high}


def row(**more: Any) -> dict[str, Any]:
    return {
        "measure": "every fault cleared within 24 h",
        "within_hours": 24.0,
        "kept_kg": stat(2.0, 4.0, 8.0),
        "most_kept_mm": stat(0.1, 0.2, 0.3),
        **more,
    }


def test_the_sentence_says_mass_depth_and_money() -> None:
    one = row(saved_money=stat(50.0, 61.0, 90.0))
    assert case_sentence(one, zone="Bilge, port", currency="EUR") == (
        "Had every fault been cleared within 1 day of being found, 4.00 (2.00 to 8.00) "
        "kg more steel would be in her, 0.200 (0.100 to 0.300) mm on Bilge, port, "
        "worth an expected 61.0 EUR."
    )
    assert "7.87 (3.94 to 11.8) mil" in case_sentence(one, zone="B", units=US)


def test_what_is_to_come_is_said_only_where_it_was_reckoned() -> None:
    assert future_sentence(row(), SECOND_NOW) == ""
    ahead = {
        "kept_kg": stat(0.5, 1.0, 2.0),
        "months": stat(1.0, 3.0, 6.0),
        "zone": "MB-S",
        "second_faults": {"another_conductor": 0.4, "past_trip": 0.1, "between": 0.3},
    }
    one = row(from_now=ahead)
    assert second_faults(one, SECOND_NOW)[0] == ("on another conductor", 1.4, 0.4)
    assert second_faults(one, None) == []
    assert future_sentence(one, SECOND_NOW) == (
        "Kept up from now to the next docking, it keeps 1.00 (0.500 to 2.00) kg and "
        "moves the limit of MB-S by 3.00 (1.00 to 6.00) months; expect 2.0 second "
        "faults fewer."
    )


def test_the_figure_holds_every_measure_on_one_scale() -> None:
    rows = [row(), row(measure="isolators", kept_kg=stat(30.0, 40.0, 50.0))]
    assert scale_top(rows) == 50.0
    svg = measures_svg(rows, "why <so>")
    assert svg.startswith("<svg")
    assert "why &lt;so&gt;" in svg
    for words in ("cleared within 24 h: 4.00 (2.00 to 8.00) kg", "isolators: 40.0"):
        assert words in svg
    nothing = [row(kept_kg=stat(0.0, 0.0, 0.0))]
    assert "0 kg" in measures_svg(nothing, "nothing")
