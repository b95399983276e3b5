"""What cannot be, from a ship folder: each with file, line, column and remedy."""

from pathlib import Path

import pytest
from records.folders import sound, with_cells, write_rows

from corrosion import RecordError, read_ship
from corrosion.leakage.doubts import reading_doubts

ROW = {
    "time": "2024-03-03 09:30",
    "fault": "F1",
    "amps": "",
    "current": "",
    "volts": "",
}
ROW |= {"conductor": "", "insulation_ohm": ""}


@pytest.fixture
def folder(tmp_path: Path) -> Path:
    """Return a folder whose F1 nobody read, on a system without lamps, at sea."""
    place = sound(tmp_path / "teal")
    text = (place / "ship.toml").read_text(encoding="utf-8")
    lit = "lamps = { volts = 127, watts = 15, ratio = 2.0 }\n"
    (place / "ship.toml").write_text(text.replace(lit, ""), encoding="utf-8")
    read = ("amps", "insulation_ohm", *(f"hull_v_{c}" for c in "abc"))
    blank = dict.fromkeys((*read, *(f"lamp_{c}" for c in "abc")), "")
    with_cells(place, "faults:2", blank)
    with_cells(place, "berths:3", {"supply": "own"})
    return place


def doubts(folder: Path) -> list[str]:
    return reading_doubts(read_ship(folder))


def test_a_direct_current_that_the_insulation_cannot_return(folder: Path) -> None:
    rows = ROW | {"amps": "0.6", "current": "dc"}, ROW | {"amps": "0.4"}
    write_rows(folder, "readings", rows)
    (said,) = (each for each in doubts(folder) if "0.6 A" in each)
    assert said.startswith("readings.csv:2: amps: fault F1 on 2024-03-03: the direct")
    assert "no fault on b of service gives that, whatever its resistance" in said
    assert said.endswith(
        "check the unit, the conductor, the hour, and who else stood then"
    )


def test_a_reading_in_the_row_of_its_fault_is_named_there(folder: Path) -> None:
    with_cells(folder, "faults:2", {"amps": "9"})
    (said,) = doubts(folder)
    assert said.startswith("faults.csv:2: amps: fault F1: the clamp reading of 9 A")
    with_cells(
        folder, "faults:2", {"amps": "", "insulation_ohm": "5", "hull_v_b": "250"}
    )
    said = " ".join(doubts(folder))
    assert "faults.csv:2: " in said
    assert ": fault F1: " in said


def test_a_sign_against_its_conductor(folder: Path) -> None:
    row = {"fault": "F2", "amps": "-0.001", "conductor": "+", "time": "1994-06-01"}
    with_cells(
        folder, "faults:3", {"conductor": "+", "hull_v_pos": "", "hull_v_neg": ""}
    )
    write_rows(folder, "readings", (ROW | row,))
    (said,) = (each for each in doubts(folder) if "cannot drive" in each)
    assert said.startswith("readings.csv:2: amps: fault F2 on 1994-06-01: -0.001 A on")
    assert said.endswith("write the conductor - or no sign")


@pytest.mark.parametrize(
    ("time", "words"),
    [
        ("2024-03-01", "before fault F1 was found (2024-03-03 08:15)"),
        ("2024-04-01", "after fault F1 was cleared (2024-03-03 16:40)"),
    ],
)
def test_a_reading_of_a_day_on_which_the_fault_did_not_stand(
    time: str, words: str, folder: Path
) -> None:
    write_rows(folder, "readings", (ROW | {"time": time, "amps": "0.4"},))
    (said,) = (str(one) for one in read_ship(folder).doubts if "lies" in str(one))
    assert said.startswith(f"readings.csv:2: time: {time} lies {words}; check the date")


@pytest.mark.parametrize(
    ("key", "found", "ties"),
    [
        ('kind = "dc2"', "'star' for kind dc2", "none, middle, +, -"),
        ('kind = "ac1"\nhertz = 50', "'star' for kind ac1", "none, middle, a, b"),
    ],
)
def test_an_earthing_that_the_kind_does_not_have(
    key: str, found: str, ties: str, folder: Path
) -> None:
    place = folder / "ship.toml"
    text = place.read_text(encoding="utf-8")
    wrong = text.replace('kind = "dc2"', f'{key}\nearthed_at = "star"')
    place.write_text(wrong, encoding="utf-8")
    line = wrong.splitlines().index('earthed_at = "star"') + 1
    with pytest.raises(RecordError, match="earthed_at") as told:
        read_ship(folder)
    assert f"ship.toml:{line}: system.earthed_at: {found}; one of {ties}" in str(
        told.value
    )
