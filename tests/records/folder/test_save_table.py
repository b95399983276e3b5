"""Saving: all of a table or nothing, and nobody's row is lost."""

import errno
import json
import multiprocessing
import os
import time
from datetime import datetime, tzinfo
from multiprocessing.process import BaseProcess as Process
from pathlib import Path
from random import Random

import pytest
from filelock import FileLock
from records.folders import append_many, sound, with_cells

from corrosion.foundation.errors import InputError, LookupFailed, RecordError
from corrosion.records import (
    SaveError,
    StaleError,
    append_row,
    digest,
    read_ship,
    read_table,
    replace_row,
    undo,
    write_table,
)
from corrosion.records.folder.atomic_write import locked
from corrosion.records.folder.kept import versions

NEW = {"fault": "F9", "system": "service", "found": "2025-01-02", "amps": "0.7"}

PEOPLE = multiprocessing.get_context("forkserver")
PEOPLE.set_forkserver_preload(
    ["corrosion.records.folder.save_table"]
)  # what takes long


def person(folder: Path, who: str, count: int) -> Process:
    """Start another process that appends faults one by one."""
    process = PEOPLE.Process(target=append_many, args=(folder, who, count))
    process.start()
    return process


def kept(folder: Path) -> list[Path]:
    return sorted((folder / "kept").glob("*.json"))


def before_last(folder: Path, table: str = "faults") -> bytes:
    path = folder / f"{table}.csv"
    return next(versions(folder, path.name, path.read_bytes()))


def test_two_people_adding_at_once_both_keep_theirs(tmp_path: Path) -> None:
    sound(tmp_path)
    people = [person(tmp_path, who, 20) for who in "AB"]
    for process in people:
        process.join()
    assert [process.exitcode for process in people] == [0, 0]
    names = [fault.fault for fault in read_ship(tmp_path).faults]
    assert names[:3] == ["F1", "F2", "F3"]
    for who in "AB":
        assert [n for n in names if n[0] == who] == [f"{who}{n}" for n in range(20)]
    assert len(names) == 43
    assert len(kept(tmp_path)) == 40


def test_killed_at_any_instant_leaves_the_old_or_the_new(tmp_path: Path) -> None:
    sound(tmp_path)
    random = Random(7)  # noqa: S311 - instants of a test
    names = [fault.fault for fault in read_ship(tmp_path).faults]
    for turn in range(20):
        versions = len(kept(tmp_path))
        process = person(tmp_path, f"K{turn}-", 1000)
        while len(kept(tmp_path)) == versions:  # until its first save has begun
            assert process.is_alive()
            time.sleep(0.001)
        time.sleep(0.1 * random.random())
        process.kill()
        process.join()
        before, names = names, [fault.fault for fault in read_ship(tmp_path).faults]
        new = names[len(before) :]
        assert names == before + [f"K{turn}-{n}" for n in range(len(new))]
    assert len(names) > 3
    append_row(tmp_path, "faults", NEW)  # no lock and no half-written file remains
    assert not list(tmp_path.rglob("*.saving"))
    assert all(json.loads(path.read_text()) for path in kept(tmp_path))


def test_keeps_the_file_as_its_owner_writes_it(tmp_path: Path) -> None:
    path = sound(tmp_path) / "gaugings.csv"
    rows = [
        "kind;zone;date;thickness_mm;remark",
        "mean;Z1;2022-05;9,10;'as found' ",
        'least;Z2;2022;10,0;"under ""the"" drain; wet"',
    ]
    path.write_bytes(b"\xef\xbb\xbf" + "\r\n".join([*rows, ""]).encode())
    append_row(
        tmp_path, "gaugings", {"zone": "R1", "date": "2023", "thickness_mm": "9"}
    )
    expected = "\r\n".join([*rows, ";R1;2023;9;", ""]).encode()
    assert path.read_bytes() == b"\xef\xbb\xbf" + expected


def test_adds_a_column_that_a_row_needs(tmp_path: Path) -> None:
    (sound(tmp_path) / "circuits.csv").write_text("system,circuit\nservice,galley\n")
    row = {"system": "service", "circuit": "crane", "zone": "Z2"}
    append_row(tmp_path, "circuits", row)
    text = (tmp_path / "circuits.csv").read_text()
    assert text == "system,circuit,zone\nservice,galley,\nservice,crane,Z2\n"


def test_makes_a_missing_table(tmp_path: Path) -> None:
    (sound(tmp_path) / "faults.csv").unlink()
    append_row(tmp_path, "faults", NEW)
    assert [fault.fault for fault in read_ship(tmp_path).faults] == ["F9"]
    assert before_last(tmp_path) == b""
    undo(tmp_path)
    assert not (tmp_path / "faults.csv").exists()


def test_amends_one_row_and_keeps_the_previous_version(tmp_path: Path) -> None:
    before = (sound(tmp_path) / "faults.csv").read_bytes()
    others = read_table(tmp_path, "faults")[0]
    replace_row(tmp_path, "faults", {"fault": "F2"}, {"cleared": "1995-02"})
    rows, now = read_table(tmp_path, "faults")
    assert rows == (others[0], {**others[1], "cleared": "1995-02"}, others[2])
    assert now == digest(tmp_path, "faults")
    assert before_last(tmp_path) == before


def test_a_row_is_known_by_its_cells_as_they_are_read(tmp_path: Path) -> None:
    sound(tmp_path)
    with_cells(tmp_path, "faults:3", {"fault": " F2 "})
    replace_row(tmp_path, "faults", {"fault": "F2"}, {"remark": "dried"})
    assert read_table(tmp_path, "faults")[0][1]["remark"] == "dried"
    one = {"fault": "F3", "source": ""}
    (tmp_path / "faults.csv").write_text(
        "fault,system,found,amps\nF3,service,1995,0.5\n", encoding="utf-8"
    )
    replace_row(tmp_path, "faults", one, {"source": "ground fault"})
    with pytest.raises(LookupFailed, match=r"fault 'F3', source blank\. Someone may"):
        replace_row(tmp_path, "faults", one, {"source": "other"})


def test_writes_a_table_that_is_still_the_same(tmp_path: Path) -> None:
    rows, seen = read_table(sound(tmp_path), "berths")
    write_table(tmp_path, "berths", [*rows[:1], {**rows[1], "berth": "east"}], seen)
    assert [berth.berth for berth in read_ship(tmp_path).berths] == ["old quay", "east"]


def test_shows_what_someone_else_changed(tmp_path: Path) -> None:
    rows, seen = read_table(sound(tmp_path), "faults")
    append_row(tmp_path, "faults", NEW)
    replace_row(tmp_path, "faults", {"fault": "F1"}, {"remark": "dried"})
    now = (tmp_path / "faults.csv").read_bytes()
    with pytest.raises(StaleError, match=r"2 rows added or amended.*Nothing") as caught:
        write_table(tmp_path, "faults", rows[:1], seen)
    changed = [row["fault"] for row in caught.value.changed]
    assert changed == ["F1", "F9"]
    assert caught.value.removed == (rows[0],)
    assert (tmp_path / "faults.csv").read_bytes() == now


def test_shows_a_change_of_which_no_version_was_kept(tmp_path: Path) -> None:
    rows, seen = read_table(sound(tmp_path), "faults")
    with_cells(tmp_path, "faults:4", {"remark": "by hand"})
    with pytest.raises(StaleError, match="1 rows added or amended") as caught:
        write_table(tmp_path, "faults", rows, seen)
    assert [row["remark"] for row in caught.value.changed] == ["by hand"]
    assert caught.value.removed == ()


@pytest.mark.parametrize(
    ("row", "message"),
    [
        ({"fault": "F1", "system": "service", "found": "2025"}, "'F1' stands already"),
        ({"fault": "F9", "system": "service", "found": "5/6/25"}, "is not a date"),
        ({"fault": "F9", "found": "2025"}, "blank for a ground fault"),
    ],
)
def test_writes_nothing_that_would_be_a_problem(
    tmp_path: Path, row: dict[str, str], message: str
) -> None:
    before = (sound(tmp_path) / "faults.csv").read_bytes()
    with pytest.raises(RecordError, match=message):
        append_row(tmp_path, "faults", row)
    assert (tmp_path / "faults.csv").read_bytes() == before
    assert kept(tmp_path) == []


def test_loses_no_cell_of_a_file_with_a_broken_layout(tmp_path: Path) -> None:
    path = sound(tmp_path) / "circuits.csv"
    path.write_text("system,circuit\nservice,galley,on deck\n")
    row = {"system": "service", "circuit": "crane"}
    with pytest.raises(
        RecordError, match=r"circuits\.csv:2: 3 cells; 2 as in the head"
    ):
        append_row(tmp_path, "circuits", row)
    assert path.read_text().endswith("on deck\n")


@pytest.mark.parametrize(
    ("number", "message"),
    [
        (errno.ENOSPC, "the disk is full. Make room"),
        (errno.EACCES, "the folder is read-only for you"),
        (errno.EROFS, "the disk is read-only"),
        (errno.EIO, "Input/output error"),
    ],
)
@pytest.mark.parametrize("step", ["os.fsync", "os.open", "Path.replace", "Path.mkdir"])
def test_a_disk_that_fails_leaves_the_old_file(
    tmp_path: Path,
    monkeypatch: pytest.MonkeyPatch,
    number: int,
    message: str,
    step: str,
) -> None:
    def fail(*_: object, **__: object) -> None:
        raise OSError(number, os.strerror(number))

    before = (sound(tmp_path) / "faults.csv").read_bytes()
    monkeypatch.setattr(f"corrosion.records.folder.atomic_write.{step}", fail)
    with pytest.raises(SaveError, match=rf"faults\.csv was not saved: {message}"):
        append_row(tmp_path, "faults", NEW)
    monkeypatch.undo()
    assert (tmp_path / "faults.csv").read_bytes() == before
    assert not list(tmp_path.rglob("*.saving"))
    append_row(tmp_path, "faults", NEW)


def test_someone_who_saves_all_the_while(tmp_path: Path) -> None:
    with (
        FileLock(sound(tmp_path) / ".lock"),
        pytest.raises(SaveError, match=r"someone else is saving\. Try again"),
        locked(tmp_path / "faults.csv", patience=0.05),
    ):
        pytest.fail("two hold it at once")


def test_a_clock_that_goes_back_overwrites_no_version(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    class Stopped(datetime):
        @classmethod
        def now(cls, tz: tzinfo | None = None) -> "Stopped":
            return cls(2026, 11, 25, tzinfo=tz)

    monkeypatch.setattr("corrosion.records.folder.kept.datetime", Stopped)
    sound(tmp_path)
    for name in ("F7", "F8", "F9"):
        append_row(tmp_path, "faults", {**NEW, "fault": name})
    assert len(kept(tmp_path)) == 3


def test_a_link_stays_a_link(tmp_path: Path) -> None:
    folder = sound(tmp_path / "ship")
    real = (folder / "faults.csv").rename(tmp_path / "elsewhere.csv")
    (folder / "faults.csv").symlink_to(real)
    append_row(folder, "faults", NEW)
    assert (folder / "faults.csv").is_symlink()
    assert "F9" in real.read_text()


def test_names_what_cannot_be_found(tmp_path: Path) -> None:
    sound(tmp_path)
    with pytest.raises(LookupFailed, match="no table 'fault'; did you mean 'faults'"):
        append_row(tmp_path, "fault", NEW)
    with pytest.raises(LookupFailed, match="no column 'amp'; did you mean 'amps'"):
        append_row(tmp_path, "faults", {**NEW, "amp": "1"})
    with pytest.raises(LookupFailed, match=r"faults\.csv: no row with fault 'F7'"):
        replace_row(tmp_path, "faults", {"fault": "F7"}, {"remark": "x"})
    with pytest.raises(InputError, match="2 rows with date '2022-05-11'"):
        replace_row(tmp_path, "gaugings", {"date": "2022-05-11"}, {"remark": "x"})


def test_a_folder_that_is_not_there_is_not_made(tmp_path: Path) -> None:
    with pytest.raises(SaveError, match="there is no such folder"):
        append_row(tmp_path / "none", "faults", NEW)
    assert not (tmp_path / "none").exists()


def test_a_table_that_cannot_be_read(tmp_path: Path) -> None:
    (sound(tmp_path) / "faults.csv").unlink()
    (tmp_path / "faults.csv").mkdir()
    with pytest.raises(RecordError, match=r"faults\.csv: it cannot be read \(a folder"):
        digest(tmp_path, "faults")
    (tmp_path / "zones.csv").write_bytes(b"zone\xff")
    with pytest.raises(RecordError, match="byte 0xff at position 4"):
        read_table(tmp_path, "zones")
