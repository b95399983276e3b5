"""A whole folder written from a ship's records reads back as the same ship."""

from dataclasses import replace
from pathlib import Path

import pytest
from records.written import write_ship

from corrosion.foundation.errors import InputError
from corrosion.records.folder.first_ship import write_example
from corrosion.records.folder.read import read_ship
from corrosion.records.ship import Ship

DATA = Path(__file__).parents[3] / "data"


def told(ship: Ship) -> Ship:
    """Return what her records say, without where they stand and what is doubted."""
    return replace(
        ship,
        folder=None,
        doubts=(),
        logs=(),
        faults=tuple(replace(row, line=0) for row in ship.faults),
        gaugings=tuple(replace(row, line=0) for row in ship.gaugings),
        readings=tuple(replace(row, line=0) for row in ship.readings),
        works=tuple(replace(row, line=0) for row in ship.works),
        anodes=tuple(replace(row, line=0) for row in ship.anodes),
        potentials=tuple(replace(row, line=0) for row in ship.potentials),
        hunts=tuple(
            replace(hunt, steps=tuple(replace(step, line=0) for step in hunt.steps))
            for hunt in ship.hunts
        ),
    )


@pytest.mark.parametrize("name", ["grey-plover", "saltmarsh"])
def test_reads_back_as_the_same_ship(name: str, tmp_path: Path) -> None:
    ship = read_ship(DATA / name)
    write_ship(ship, tmp_path / "copies" / name)
    assert told(read_ship(tmp_path / "copies" / name)) == told(ship)


def test_blanks_stay_blank(tmp_path: Path) -> None:
    write_example(tmp_path / "example")
    ship = read_ship(tmp_path / "example")
    ship = replace(ship, faults=(), gaugings=(), circuits=(), readings=())
    write_ship(ship, tmp_path / "bare")
    assert not (tmp_path / "bare" / "faults.csv").exists()
    again = read_ship(tmp_path / "bare")
    assert told(again) == told(ship)
    assert again.water.depth is None


def test_words_keep_their_quotation_marks_and_signs(tmp_path: Path) -> None:
    write_example(tmp_path / "example")
    ship = read_ship(tmp_path / "example")
    odd = 'the "old" \\ Øresund, 2 Ω'
    zones = (replace(ship.zones[0], name=odd), *ship.zones[1:])
    ship = replace(ship, name=odd, zones=zones)
    write_ship(ship, tmp_path / "odd")
    assert told(read_ship(tmp_path / "odd")) == told(ship)


def test_refuses_a_folder_that_holds_something(tmp_path: Path) -> None:
    write_example(tmp_path / "example")
    ship = read_ship(tmp_path / "example")
    before = sorted(path.read_bytes() for path in (tmp_path / "example").iterdir())
    with pytest.raises(InputError, match=r"is not empty.*nothing was written"):
        write_ship(ship, tmp_path / "example")
    after = sorted(path.read_bytes() for path in (tmp_path / "example").iterdir())
    assert after == before


def test_says_why_it_cannot_write(tmp_path: Path) -> None:
    write_example(tmp_path / "example")
    ship = read_ship(tmp_path / "example")
    (tmp_path / "file").write_text("in the way")
    with pytest.raises(InputError, match=r"cannot be written \(.*\)\. Name another"):
        write_ship(ship, tmp_path / "file" / "below")
