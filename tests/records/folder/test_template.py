"""The example folder: reads without a problem, and overwrites nothing."""

from pathlib import Path

import pytest

from corrosion.foundation.errors import InputError
from corrosion.records import read_ship, write_example


def test_reads_without_a_problem(tmp_path: Path) -> None:
    write_example(tmp_path / "new" / "ship")
    ship = read_ship(tmp_path / "new" / "ship")
    tables = (ship.zones, ship.faults, ship.berths, ship.gaugings, ship.circuits)
    assert [len(table) for table in tables] == [6, 2, 1, 2, 4]


def test_doubts_only_what_was_never_gauged(tmp_path: Path) -> None:
    write_example(tmp_path)
    doubts = read_ship(tmp_path).doubts
    assert {doubt.found[-16:] for doubt in doubts} == {"was never gauged"}


def test_overwrites_nothing(tmp_path: Path) -> None:
    (tmp_path / "mine.txt").write_text("mine")
    with pytest.raises(InputError, match=r"is not empty\. Name a new folder; nothing"):
        write_example(tmp_path)
    with pytest.raises(InputError, match=r"cannot be written \(.*\)\. Name another"):
        write_example(tmp_path / "mine.txt")
    with pytest.raises(InputError, match=r"cannot be written \(embedded null"):
        write_example("a\0b")
    assert [path.name for path in tmp_path.iterdir()] == ["mine.txt"]
