"""Of 63 habits of people and spreadsheets most read as meant, and none otherwise."""

from dataclasses import replace
from pathlib import Path
from typing import Any

import pytest
from records.folder.habits import HABITS, PLAIN, Habit, written
from records.folders import sound

from corrosion.foundation.errors import RecordError
from corrosion.records import append_row, read_ship
from corrosion.records.folder.csv_file import encoding_of
from corrosion.records.ship import Gauging

MOST_REFUSED = 8


@pytest.fixture(scope="module")
def folder(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """Return one folder in which every habit is read: what was read there is kept."""
    return sound(tmp_path_factory.mktemp("habits"))


def gaugings(folder: Path, data: bytes) -> list[Gauging]:
    """Return what is read, without how it was written."""
    (folder / "gaugings.csv").write_bytes(data)
    return [
        replace(row, line=0, remark="", date=replace(row.date, text=""))
        for row in read_ship(folder).gaugings
    ]


def read(folder: Path, habit: Habit) -> list[Gauging] | None:
    """Return what is read of a habit; None: it was refused, with line and remedy."""
    try:
        rows = gaugings(folder, habit.data)
    except RecordError as error:
        if not all(one.line and one.expected for one in error.problems):
            raise
        return None
    return sorted(rows, key=lambda row: row.zone)


def meant(folder: Path, habit: Habit) -> list[Gauging]:
    """Return what the habit means."""
    rows = gaugings(folder, written(PLAIN).encode())
    if habit.blank is not None:
        place, name = habit.blank
        changed: Any = {name: None}
        rows[place] = replace(rows[place], **changed)
    return sorted(rows, key=lambda row: row.zone)


def test_there_are_63_of_them() -> None:
    assert len({habit.name for habit in HABITS}) == len(HABITS) == 63


@pytest.mark.parametrize("habit", HABITS, ids=lambda habit: habit.name)
def test_none_is_misread(folder: Path, habit: Habit) -> None:
    got, right = read(folder, habit), meant(folder, habit)
    if got is not None:
        assert len(got) == len(right)
        for one, other in zip(got, right, strict=True):
            seconds = one.date.earliest, one.date.latest
            assert seconds[0] == other.date.earliest
            assert seconds[1] <= other.date.latest
            assert one.thickness == pytest.approx(other.thickness, rel=1e-12)
            assert (one.sd or 0.0) == pytest.approx(other.sd or 0.0, rel=1e-12)
            assert (one.sd is None) == (other.sd is None)
            assert (one.zone, one.frame, one.readings, one.kind) == (
                other.zone,
                other.frame,
                other.readings,
                other.kind,
            )


def test_few_are_refused(folder: Path) -> None:
    refused = [habit.name for habit in HABITS if read(folder, habit) is None]
    assert len(refused) <= MOST_REFUSED, refused


@pytest.mark.parametrize("habit", HABITS, ids=lambda habit: habit.name)
def test_saving_a_row_keeps_the_file_in_its_own_spelling(
    folder: Path, tmp_path: Path, habit: Habit
) -> None:
    before = read(folder, habit)
    if before is None:
        return
    sound(tmp_path)
    (tmp_path / "gaugings.csv").write_bytes(habit.data)
    row = {"zone": "Z1", "date": "2023", "thickness_mm": "9"}
    append_row(tmp_path, "gaugings", row)
    after = (tmp_path / "gaugings.csv").read_bytes()
    assert encoding_of(after) == encoding_of(habit.data)
    assert len(read_ship(tmp_path).gaugings) == len(before) + 1
