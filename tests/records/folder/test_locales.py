"""The same faults as spreadsheets of three countries write them, each made by hand."""

from pathlib import Path

import pytest
from records.folders import sound

from corrosion.foundation.errors import RecordError
from corrosion.records import read_ship

AMERICAN = """\
fault,system,found,cleared,amps,insulation_ohm
F1,service,3/5/2024 8:15 AM,3/5/2024 4:40 PM,0.42,"1,400"
F2,service,3/28/2024,3/29/2024,0.07,"24,000"
"""
GERMAN = """\
fault;system;found;cleared;amps;insulation_ohm
F1;service;05.03.2024 08:15;05.03.2024 16:40;0,42;1.400
F2;service;28.03.2024;29.03.2024;0,07;24.000
"""
SWISS = """\
fault;system;found;cleared;amps;insulation_ohm
F1;service;05.03.2024 08:15;05.03.2024 16:40;0.42;1'400
F2;service;28.03.2024;29.03.2024;0.07;24'000
"""


@pytest.mark.parametrize("text", [AMERICAN, GERMAN, SWISS])
def test_the_same_faults_in_three_locales(tmp_path: Path, text: str) -> None:
    (sound(tmp_path) / "faults.csv").write_text(text, encoding="utf-8")
    first, second = read_ship(tmp_path).faults
    assert (first.readings.amps, second.readings.amps) == (0.42, 0.07)
    assert (first.readings.insulation, second.readings.insulation) == (1400.0, 24e3)
    assert first.cleared is not None
    assert first.cleared.earliest - first.found.earliest == (8 * 60 + 25) * 60.0


def test_marks_of_thousands_that_nothing_tells_are_asked(tmp_path: Path) -> None:
    lone = "fault;system;found;insulation_ohm\nF1;service;2024-03-05;40.000\n"
    (sound(tmp_path) / "faults.csv").write_text(lone)
    with pytest.raises(RecordError, match=r"'40\.000' is 40 or 40000; no marks of tho"):
        read_ship(tmp_path)


def test_how_a_doubtful_cell_is_read_is_said(tmp_path: Path) -> None:
    text = GERMAN.replace("1.400", "40.000")
    (sound(tmp_path) / "faults.csv").write_text(text)
    ship = read_ship(tmp_path)
    assert ship.faults[0].readings.insulation == 40e3
    said = [str(doubt) for doubt in ship.doubts]
    assert any("'40.000' is read as 40000 (and 1 alike" in one for one in said)


def test_days_and_months_that_nothing_tells_are_asked(tmp_path: Path) -> None:
    text = "fault,system,found\nF1,service,3/5/2024\nF2,service,4/6/2024\n"
    (sound(tmp_path) / "faults.csv").write_text(text)
    with pytest.raises(RecordError, match="'3/5/2024' may be day first or month first"):
        read_ship(tmp_path)
