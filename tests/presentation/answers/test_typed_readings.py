"""Tests of readings typed in from the printed sheet, worked by hand."""

import pytest

from corrosion.presentation.answers.typed_readings import gauging_rows, typed_zone
from corrosion.records.ship import Zone


def plate(built_mm: float = 10.0) -> Zone:
    return Zone(
        zone="MB-S",
        name="bilge",
        frame_from=0,
        frame_to=10,
        side="port",
        top=0.0,
        bottom=2.0,
        exposure="immersed",
        built=built_mm / 1e3,
        limit=0.8 * built_mm / 1e3,
        pit_limit=0.5 * built_mm / 1e3,
    )


@pytest.mark.parametrize(
    ("text", "values"),
    [
        ("9.6 9.4 9.5", (9.6, 9.4, 9.5)),
        ("9,6; 9,4;9,5", (9.6, 9.4, 9.5)),
        ("9.6, 9.4", (9.6, 9.4)),
        ("9,400", (9.4,)),
        ("9.6 - 9.4", (9.6, 9.4)),
        ("0.375in", (9.525,)),
        ("", ()),
    ],
)
def test_readings_are_taken_as_people_type_them(
    text: str, values: tuple[float, ...]
) -> None:
    one = typed_zone(plate(), text, "")
    assert one.readings_mm == pytest.approx(values)
    assert not one.problems


@pytest.mark.parametrize(
    ("readings", "least", "word"),
    [
        ("9.6 thin", "", "'thin' is no thickness"),
        ("960", "", "decimal point missing"),
        ("-3", "", "cannot be of a plate"),
        ("9.6 9.4", "9.5", "more than 9.4 mm among"),
        ("9.6", "x", "'x' is no thickness"),
    ],
)
def test_what_cannot_be_is_said_beside_it(readings: str, least: str, word: str) -> None:
    (problem,) = typed_zone(plate(), readings, least).problems
    assert word in problem


@pytest.mark.parametrize(
    ("readings", "word"),
    [
        ("9.6 9.4 6.1", "6.1 mm stand apart"),
        ("0.38 0.37", "0.375 in are 9.5 mm"),
        ("11.4 11.2", "more than as built, 10 mm"),
        ("9.6 0", "0 mm is a hole"),
    ],
)
def test_what_is_odd_is_asked(readings: str, word: str) -> None:
    one = typed_zone(plate(), readings, "")
    assert not one.problems
    assert any(word in doubt for doubt in one.doubts)


def test_rows_hold_the_mean_and_the_least_with_their_spots() -> None:
    typed = typed_zone(plate(), "9.6 9.4 9.55", "8.8")
    rows = gauging_rows([typed], {"date": "2026-11-26", "by": "yard ", "surface": ""})
    shared = {"zone": "MB-S", "date": "2026-11-26", "by": "yard"}
    assert rows == [
        {**shared, "thickness_mm": "9.52", "readings": "3", "kind": "mean"},
        {**shared, "thickness_mm": "8.8", "readings": "4", "kind": "least"},
    ]


def test_a_hole_is_the_least_and_in_no_mean() -> None:
    rows = gauging_rows([typed_zone(plate(), "9.6 0 9.4", "")], {"date": "2026"})
    assert [(row["kind"], row["thickness_mm"]) for row in rows] == [
        ("mean", "9.5"),
        ("least", "0"),
    ]
