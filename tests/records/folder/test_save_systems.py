"""The systems of ship.toml amended in place: comments, numbers and order stay."""

import shutil
import tomllib
from pathlib import Path

import pytest

from corrosion.foundation.errors import CorrosionError, RecordError
from corrosion.records.folder.kept import undo
from corrosion.records.folder.read import read_ship
from corrosion.records.folder.save_systems import (
    SYSTEM_COLUMNS,
    read_systems,
    write_systems,
)

DATA = Path(__file__).parents[3] / "data"


@pytest.fixture
def folder(tmp_path: Path) -> Path:
    shutil.copytree(DATA / "saltmarsh", tmp_path / "saltmarsh")
    return tmp_path / "saltmarsh"


def test_what_is_amended_moves_its_own_line_alone(folder: Path) -> None:
    before = (folder / "ship.toml").read_text(encoding="utf-8").splitlines()
    rows, seen = read_systems(folder)
    assert rows[1]["insulation_ohm"] == "1e6"  # as written
    amended = dict(enumerate(rows))
    amended[0] = {**rows[0], "hull_capacitance_uf": "5,5"}
    amended[1] = {**rows[1], "lamps.watts": "15", "fed_from_shore": ""}
    write_systems(folder, amended, seen)
    after = (folder / "ship.toml").read_text(encoding="utf-8").splitlines()
    assert [line for line in after if line not in before] == [
        "hull_capacitance_uf = 5.5   # drive filters included",
        "lamps = { volts = 127, watts = 15, ratio = 2.0 }",
    ]
    main, hotel, _ = read_ship(folder).systems
    assert main.capacitance == pytest.approx(5.5e-6)
    assert hotel.fed_from_shore  # blank: what the column says
    assert [one.file for one in undo(folder)] == ["ship.toml"]
    assert (folder / "ship.toml").read_text(encoding="utf-8").splitlines() == before


def test_a_system_comes_and_goes(folder: Path) -> None:
    rows, seen = read_systems(folder)
    new = dict.fromkeys(SYSTEM_COLUMNS, "") | {
        "name": "spare",
        "kind": "dc2",
        "volts": "24",
    }
    write_systems(folder, {**dict(enumerate(rows)), 7: new}, seen)
    assert [one.name for one in read_ship(folder).systems][-1] == "spare"
    rows, seen = read_systems(folder)
    write_systems(folder, dict(enumerate(rows[:3])), seen)
    text = (folder / "ship.toml").read_text(encoding="utf-8")
    assert len(tomllib.loads(text)["system"]) == 3
    assert "# no lamps: an insulation monitor watches this system" in text


def test_problems_are_told_and_nothing_is_written(folder: Path) -> None:
    rows, seen = read_systems(folder)
    before = (folder / "ship.toml").read_bytes()
    wrong = {**dict(enumerate(rows)), 1: {**rows[1], "name": "x", "volts": "many"}}
    with pytest.raises(RecordError, match="'many'") as told:
        write_systems(folder, wrong, seen)
    words = str(told.value)
    assert "'many'; a number from 5 to 30000 V" in words
    assert "no system 'hotel'" in words  # who names it is told as well
    with pytest.raises(CorrosionError, match="Somebody else saved"):
        write_systems(folder, dict(enumerate(rows)), "another digest")
    assert (folder / "ship.toml").read_bytes() == before
