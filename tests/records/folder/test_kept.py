"""Each save can be undone, and what is kept of it stays small."""

import json
from pathlib import Path

import pytest
from records.folders import sound

from corrosion.foundation.errors import InputError, RecordError
from corrosion.records import (
    append_row,
    last_save,
    read_ship,
    replace_row,
    save_tables,
    undo,
)
from corrosion.records.folder import kept

NEW = {"fault": "F9", "system": "service", "found": "2025-01-02"}
GAUGED = {"zone": "Z1", "date": "2025", "thickness_mm": "8.9"}


def contents(folder: Path) -> dict[str, bytes]:
    return {path.name: path.read_bytes() for path in folder.glob("*.csv")}


def test_saves_are_taken_back_one_after_the_other(tmp_path: Path) -> None:
    sound(tmp_path)
    states = [contents(tmp_path)]
    append_row(tmp_path, "faults", NEW)
    states.append(contents(tmp_path))
    replace_row(tmp_path, "faults", {"fault": "F9"}, {"remark": "dried"})
    states.append(contents(tmp_path))
    append_row(tmp_path, "gaugings", GAUGED)
    for state in reversed(states):
        (one,) = undo(tmp_path)
        assert contents(tmp_path) == state, one.file
    with pytest.raises(InputError, match="there is no save to undo"):
        undo(tmp_path)


def test_one_save_of_several_tables_is_one(tmp_path: Path) -> None:
    before = contents(sound(tmp_path))
    save_tables(tmp_path, {"faults": [NEW], "gaugings": [GAUGED, GAUGED]})
    assert {one.file for one in last_save(tmp_path)} == {"faults.csv", "gaugings.csv"}
    assert len(read_ship(tmp_path).gaugings) == 5
    undo(tmp_path)
    assert contents(tmp_path) == before


def test_all_tables_or_none(tmp_path: Path) -> None:
    before = contents(sound(tmp_path))
    bad = {**GAUGED, "zone": "nowhere"}
    with pytest.raises(RecordError, match="no zone 'nowhere'"):
        save_tables(tmp_path, {"faults": [NEW], "gaugings": [bad]})
    assert contents(tmp_path) == before
    assert last_save(tmp_path) == ()


def test_what_other_hands_changed_is_not_overwritten(tmp_path: Path) -> None:
    sound(tmp_path)
    append_row(tmp_path, "faults", NEW)
    path = tmp_path / "faults.csv"
    path.write_bytes(path.read_bytes() + b"F10,service,,,,,,,2025-02,,,,,,,,,,,,,,\n")
    now = path.read_bytes()
    with pytest.raises(InputError, match=r"faults.csv: changed since .* kept/20"):
        undo(tmp_path)
    assert path.read_bytes() == now


def test_an_undo_that_would_leave_problems_is_refused(tmp_path: Path) -> None:
    sound(tmp_path)
    append_row(tmp_path, "faults", NEW)
    reading = "time,fault\n2025-01-03,F9\n"
    (tmp_path / "readings.csv").write_text(reading)  # by hand, about the new fault
    with pytest.raises(RecordError, match=r"readings\.csv:2: fault: no fault 'F9'"):
        undo(tmp_path)
    assert read_ship(tmp_path).faults[-1].fault == "F9"


def test_only_the_difference_is_kept(tmp_path: Path) -> None:
    sound(tmp_path)
    for n in range(30):
        append_row(tmp_path, "faults", {**NEW, "fault": f"G{n}"})
    sizes = [path.stat().st_size for path in (tmp_path / "kept").iterdir()]
    assert len(sizes) == 30
    assert max(sizes) < 400  # the file itself has grown to thousands


def test_the_oldest_goes_when_there_are_too_many(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(kept, "_MOST", 5)
    sound(tmp_path)
    for n in range(8):
        append_row(tmp_path, "faults", {**NEW, "fault": f"G{n}"})
    assert len(list((tmp_path / "kept").iterdir())) == 5
    for _ in range(5):
        undo(tmp_path)
    assert read_ship(tmp_path).faults[-1].fault == "G2"


def test_a_damaged_difference_is_passed_over(tmp_path: Path) -> None:
    sound(tmp_path)
    append_row(tmp_path, "faults", NEW)
    (tmp_path / "kept" / "2999-01-01T000000.000000.json").write_text("{")
    (tmp_path / "kept" / "notes.json").write_text(json.dumps([1]))
    assert [one.file for one in undo(tmp_path)] == ["faults.csv"]


def test_a_hunt_grows_by_rows(tmp_path: Path) -> None:
    sound(tmp_path)
    begun = {"time": "2025-01-02 08:00", "act": "began", "circuit": "service"}
    append_row(tmp_path, "hunts/F1", {**begun, "result": "alongside"})
    look = {"time": "2025-01-02 08:05", "act": "looked", "result": "stayed"}
    append_row(tmp_path, "hunts/F1", look)
    (hunt,) = read_ship(tmp_path).hunts
    assert [step.act for step in hunt.steps] == ["began", "looked"]
    undo(tmp_path)
    undo(tmp_path)
    assert read_ship(tmp_path).hunts == ()


@pytest.mark.parametrize("table", ["hunts/../faults", "hunts/", "hunts/.x", "kept/a"])
def test_only_tables_and_hunts_are_written(tmp_path: Path, table: str) -> None:
    sound(tmp_path)
    with pytest.raises(LookupError, match="no table"):
        append_row(tmp_path, table, NEW)


def test_numbers_are_saved_with_the_mark_of_the_file(tmp_path: Path) -> None:
    path = sound(tmp_path) / "gaugings.csv"
    path.write_text("zone;date;thickness_mm\nZ1;2022;9,5\nZ2;2022;10,1\nR1;2022;11,5\n")
    append_row(tmp_path, "gaugings", {**GAUGED, "thickness_mm": "9.125"})
    assert path.read_text().endswith("Z1;2025;9,125\n")
    assert read_ship(tmp_path).gaugings[-1].thickness == pytest.approx(0.009125)
