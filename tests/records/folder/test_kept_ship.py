"""Tests of folder.read: a folder that stands as it did is not checked again."""

import threading
import time
from collections.abc import Callable
from pathlib import Path

import pytest
from records.folders import sound, with_cells

from corrosion.foundation import parallel
from corrosion.foundation.cache import digest, forget
from corrosion.foundation.errors import RecordError
from corrosion.records import read_ship
from corrosion.records.folder import candidate, files
from corrosion.records.folder.columns import TABLES


@pytest.fixture
def checked(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> list[str]:
    """Return a list that grows by one with every folder that is checked."""
    monkeypatch.setenv("CORROSION_CACHE", str(tmp_path / "cache"))
    (tmp_path / "ship").mkdir()
    counted: list[str] = []
    whole = candidate.read_candidate

    def listened(folder, changed):  # type: ignore[no-untyped-def]
        counted.append(folder.name)
        return whole(folder, changed)

    monkeypatch.setattr(candidate, "read_candidate", listened)
    return counted


def test_a_ship_is_the_same_kept_or_checked_down_to_her_lines(
    checked: list[str], tmp_path: Path
) -> None:
    folder = sound(tmp_path / "ship")
    (folder / "monitor").mkdir()
    (folder / "monitor" / "fwd.csv").write_text("time,amps\n", encoding="utf-8")
    (folder / "faults.xlsx").write_bytes(b"")  # a doubt
    fresh = read_ship(folder)
    forget()  # so that it is read of its file
    kept = read_ship(folder)
    assert len(checked) == 1
    assert kept == fresh
    assert fresh.doubts
    assert digest(kept, lines=True) == digest(fresh, lines=True)


@pytest.mark.parametrize(
    "change",
    [
        lambda folder: with_cells(folder, "zones:2", {"built_mm": "12"}),
        lambda folder: (folder / "hunts").mkdir(),
        lambda folder: (folder / "notes.csv").write_text("a", encoding="utf-8"),
        lambda folder: (folder / "faults.csv").unlink(),
    ],
    ids=["cell", "hunts", "stranger", "gone"],
)
def test_whatever_changes_in_the_folder_is_checked(
    checked: list[str], tmp_path: Path, change: Callable[[Path], object]
) -> None:
    folder = sound(tmp_path / "ship")
    read_ship(folder)
    change(folder)
    read_ship(folder)
    assert len(checked) == 2


def test_what_lay_ahead_is_checked_again_when_the_hour_is_over(
    checked: list[str], tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    folder = sound(tmp_path / "ship")
    with_cells(folder, "faults:2", {"found": "2099-06-01", "cleared": ""})
    said = []
    for hour in (4.08e9, 4.08e9, 4.09e9):  # of April and August 2099
        monkeypatch.setattr(time, "time", lambda at=hour: at)
        said.append(
            any("still to come" in str(one) for one in read_ship(folder).doubts)
        )
    assert len(checked) == 2
    assert said == [True, True, False]


def test_problems_are_never_kept(checked: list[str], tmp_path: Path) -> None:
    folder = sound(tmp_path / "ship")
    with_cells(folder, "zones:2", {"built_mm": "thick"})
    for _ in range(2):
        with pytest.raises(RecordError, match="thick"):
            read_ship(folder)
    assert len(checked) == 2


@pytest.mark.parametrize("child", [False, True])
def test_a_new_ship_leaves_time_for_other_things_while_a_child_reads(
    checked: list[str], tmp_path: Path, monkeypatch: pytest.MonkeyPatch, child: bool
) -> None:
    monkeypatch.setitem(parallel._allowed, "children", child)
    monkeypatch.setattr(threading, "active_count", lambda: 1)
    folder = sound(tmp_path / "ship")
    done: list[str] = []
    fresh = read_ship(folder, meanwhile=lambda: done.append("done"))
    assert len(checked) == (0 if child else 1)  # a child counts for itself
    kept = read_ship(folder, meanwhile=lambda: done.append("again"))
    assert done == ["done"]
    assert digest(kept, lines=True) == digest(fresh, lines=True)
    with_cells(folder, "zones:2", {"built_mm": "thick"})
    with pytest.raises(RecordError, match="thick"):
        read_ship(folder, meanwhile=lambda: None)


def test_every_table_is_a_file_that_is_read() -> None:
    assert ("ship.toml", *(f"{table}.csv" for table in TABLES)) == files.FILES
