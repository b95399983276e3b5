"""Tests of records.folder.first_ship: a folder that reads and estimates, and errors."""

from dataclasses import replace
from pathlib import Path

import pytest

import corrosion
from corrosion.foundation.errors import InputError
from corrosion.records.folder.first_ship import (
    KINDS,
    FirstAnswers,
    write_first_ship,
)

ANSWERS = FirstAnswers(
    name="Whimbrel (invented)",
    kind="coaster or workboat",
    length=41.0,
    beam=8.2,
    draught=3.1,
    built=1968,
)


@pytest.mark.parametrize("kind", KINDS)
def test_every_kind_reads_without_a_problem_and_covers_the_hull(
    kind: str, tmp_path: Path
) -> None:
    write_first_ship(tmp_path / "new", replace(ANSWERS, kind=kind))
    ship = corrosion.read_ship(tmp_path / "new")
    assert ship.name == "Whimbrel (invented)"
    assert ship.form.length == 41.0
    assert ship.form.block_coefficient == KINDS[kind].block_coefficient
    wetted = [zone for zone in ship.zones if zone.exposure == "immersed"]
    assert min(zone.frame_from for zone in wetted) == 0.0
    ends = max(zone.frame_to for zone in wetted) * ship.form.frame_spacing
    assert ends == pytest.approx(41.0, abs=ship.form.frame_spacing)
    assert all(zone.limit < zone.built for zone in ship.zones)


def test_the_folder_can_be_estimated_at_once(tmp_path: Path) -> None:
    write_first_ship(tmp_path / "new", ANSWERS)
    ship = corrosion.read_ship(tmp_path / "new")
    result = corrosion.estimate(ship, samples=16)
    assert len(result.zones) == len(ship.zones)
    assert (result.zones["area_m2"] > 0.0).all()


def test_a_name_cannot_break_the_file(tmp_path: Path) -> None:
    name = 'A "quoted" \\ name'
    write_first_ship(tmp_path / "new", replace(ANSWERS, name=name))
    assert "quoted" in corrosion.read_ship(tmp_path / "new").name


def test_what_is_there_is_left_alone(tmp_path: Path) -> None:
    (tmp_path / "new").mkdir()
    with pytest.raises(InputError, match="is there already"):
        write_first_ship(tmp_path / "new", ANSWERS)
    assert list((tmp_path / "new").iterdir()) == []


@pytest.mark.parametrize(
    ("change", "match"),
    [
        ({"name": "  "}, "name: is blank"),
        ({"kind": "submarine"}, "none of boat, coaster"),
        ({"beam": 50.0}, "grow from draught to beam to length"),
        ({"draught": float("nan")}, "above 0 m"),
    ],
)
def test_refuses_what_cannot_be(change: dict[str, object], match: str) -> None:
    with pytest.raises(InputError, match=match):
        replace(ANSWERS, **change)  # type: ignore[arg-type] # that is the test
