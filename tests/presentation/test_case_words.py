"""Tests of the case for isolation: sentences worked by hand from a row."""

from typing import Any

from corrosion.presentation.case_words import (
    case_sentence,
    future_sentence,
)
from corrosion.presentation.report.svg_curves import measures_svg, scale_top
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


def test_what_is_to_come_is_said_as_expectations() -> None:
    ahead = {
        "kept_kg": {"mean": 0.035, "p10": 0.0, "p50": 0.0, "p90": 0.1},
        "months": {"mean": 5.5, "p10": 0.0, "p50": 0.0, "p90": 20.0},
        "zone": "MB-S",
        "second_faults": {"another_conductor": 0.4, "past_trip": 0.1, "between": 0.3},
    }
    one = row(from_now=ahead)
    assert future_sentence(one, SECOND_NOW, zone="Bilge") == (
        "Kept up from now to the next docking, expect 0.035 kg kept and Bilge as thin "
        "5.5 months later; 0.40 second faults on another conductor for 1.4 (0.10 for "
        "0.50 trip a breaker, 0.30 for 0.90 do not)."
    )
    ahead["months"] = stat(0.0, 0.0, 0.0)
    assert "kept; 0.40" in future_sentence(one, SECOND_NOW, zone="Bilge")


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


def test_money_without_a_currency_is_her_own() -> None:
    one = row(saved_money=stat(50.0, 61.0, 90.0))
    assert "worth an expected 61.0 in her own money." in case_sentence(one, zone=None)
