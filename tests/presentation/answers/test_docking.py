"""Tests of the docking list and the surveys: sums by hand, rows against the samples."""

from dataclasses import replace
from datetime import date

import numpy as np
import pytest
from ships import ship

import corrosion
from corrosion.presentation.answers.docking import docking_result
from corrosion.presentation.answers.surveys import survey_rows, surveys_result
from corrosion.presentation.figures.insulation import insulation_trends
from corrosion.presentation.sentences import surveys_sentence
from corrosion.records.dates import as_written
from corrosion.records.ship import Reading


def test_a_plate_gauged_below_its_limit_is_renewed_and_one_near_it_gauged() -> None:
    one = ship()
    first = one.zones[0]
    thin = replace(first, limit=0.999 * first.built)
    result = corrosion.estimate(
        replace(one, zones=(thin, *one.zones[1:])),
        samples=64,
        seed=1,
        as_of=date(2026, 1, 1),
    )
    found = docking_result(result)
    (row,) = (row for row in found["renew"] if row["zone"] == first.zone)
    area = result.inputs.hull.body.area[0]
    assert row["kg"] == pytest.approx(area * first.built * 7850.0, rel=0.01)
    lost = row["diminution_percent"]
    assert lost["p50"] == pytest.approx(
        100.0 * (1.0 - row["left_mm"]["p50"] / row["built_mm"])
    )
    assert row["allowed_percent"] == pytest.approx(0.1)
    assert found["area_m2"]["p90"] >= found["area_m2"]["p50"] >= 0.0
    below = np.array([entry["chance"] for entry in found["renew"]])
    assert (below >= 0.5).all()
    assert all(0.05 <= entry["chance"] < 0.5 for entry in found["gauge"])


def of_galley(
    day: str, megohm: float, minutes: float, celsius: float | None
) -> Reading:
    return Reading(
        time=as_written(day),
        system=ship().systems[0].name,
        circuit="galley",
        insulation=1e6 * megohm,
        duration=60.0 * minutes,
        temperature=celsius,
    )


def test_surveys_are_corrected_paired_and_put_in_a_line() -> None:
    readings = (
        of_galley("2024-01-10", 32.0, 1.0, 20.0),
        of_galley("2025-01-10", 16.0, 1.0, 20.0),
        of_galley("2026-01-10", 8.0, 1.0, 20.0),
        of_galley("2026-01-10", 20.0, 10.0, 20.0),
        of_galley("2026-02-10", 5.0, 1.0, None),
    )
    one = replace(ship(), readings=readings)
    rows = survey_rows(one)
    assert [row["date"] for row in rows] == [
        "2026-02-10",
        "2026-01-10",
        "2025-01-10",
        "2024-01-10",
    ]
    assert rows[0]["corrected_ohm"] is None
    assert rows[1]["corrected_ohm"] == pytest.approx(2e6)
    assert rows[1]["index"] == pytest.approx(2.5)
    answer = surveys_result(one)
    (trend,) = answer["trends"]
    assert trend["halving_years"]["p50"] == pytest.approx(1.0, rel=0.01)
    assert trend["ohm_in_a_year"]["p50"] == pytest.approx(1e6, rel=0.01)
    assert trend["surveys"] == 3
    (doubt,) = answer["warnings"]
    assert doubt.startswith("The insulation of galley")
    assert "Lowest of 1 circuits at 40 °C: galley, 2.00 MΩ, halves in 1" in (
        surveys_sentence(answer)
    )
    figure = insulation_trends(answer["surveys"], answer["reference_celsius"])
    band, line, read = figure.to_dict()["data"]
    assert list(read["y"]) == pytest.approx([2.0, 4.0, 8.0])
    assert line["y"][-1] == pytest.approx(trend["ohm_in_a_year"]["p50"] / 1e6)
    assert band["x"][39] == pytest.approx(read["x"][0] + 1.0)
