"""Files as spreadsheets and text editors write them."""

import csv
import io
from pathlib import Path

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from records.folders import sound, with_cells, with_text

from corrosion.foundation.errors import Problem, RecordError
from corrosion.records import read_ship
from corrosion.records.folder.csv_file import Sheet, parsed, rendered
from corrosion.records.ship import Ship

cells = st.text(
    st.characters(exclude_characters="\0\r", exclude_categories=["Cs"]), max_size=8
)


def respelt(path: Path, delimiter: str, *, comma: bool) -> None:
    """Write a csv file again as a spreadsheet of another country does."""
    rows = list(csv.reader(io.StringIO(path.read_text(encoding="utf-8"))))
    if comma:
        rows = [
            [cell.replace(".", ",") if cell[:1].isdigit() else cell for cell in row]
            for row in rows
        ]
    with path.open("w", encoding="utf-8-sig", newline="") as file:
        csv.writer(file, delimiter=delimiter).writerows(rows)


def without_place(ship: Ship) -> tuple[object, ...]:
    return ship.zones, ship.faults, ship.berths, ship.gaugings, ship.circuits


@pytest.mark.parametrize(
    ("delimiter", "comma"), [(";", True), ("\t", True), (";", False), (",", False)]
)
def test_reads_the_same_ship_in_every_spelling(
    tmp_path: Path, delimiter: str, comma: bool
) -> None:
    plain = read_ship(sound(tmp_path / "plain"))
    other = sound(tmp_path / "other")
    for path in other.glob("*.csv"):
        respelt(path, delimiter, comma=comma)
    toml = other / "ship.toml"
    toml.write_bytes(b"\xef\xbb\xbf" + toml.read_bytes().replace(b"\n", b"\r\n"))
    assert without_place(read_ship(other)) == without_place(plain)


@settings(deadline=None, max_examples=60)
@given(
    rows=st.lists(st.tuples(cells, cells, cells), max_size=5),
    delimiter=st.sampled_from([",", ";", "\t"]),
    bom=st.booleans(),
)
def test_what_is_written_is_read_again(
    rows: list[tuple[str, str, str]], delimiter: str, bom: bool
) -> None:
    kept = [row for row in rows if any(cell.strip() for cell in row)]
    header = ("zone", "name", "side")
    sheet = Sheet(
        file="x.csv",
        header=header,
        rows=tuple((0, row) for row in kept),
        delimiter=delimiter,
        encoding="utf-8-sig" if bom else "utf-8",
    )
    problems: list[Problem] = []
    again = parsed("x.csv", rendered(sheet), header, problems)
    assert again is not None, problems
    assert [row for _, row in again.rows] == kept
    assert (again.header, again.delimiter) == (header, delimiter)
    assert again.encoding == ("utf-8-sig" if bom else "utf-8")


@pytest.mark.parametrize(("cell", "shown"), [("1.009,1", "1009.1"), ("9,1,0", "9,1,0")])
def test_a_separator_of_thousands_is_not_taken_for_a_decimal(
    tmp_path: Path, cell: str, shown: str
) -> None:
    path = sound(tmp_path) / "gaugings.csv"
    respelt(path, ";", comma=True)
    path.write_text(path.read_text(encoding="utf-8-sig").replace("9,1;", f"{cell};"))
    with pytest.raises(RecordError, match=rf"thickness_mm: '{shown}'; a number from 0"):
        read_ship(tmp_path)


def test_counts_lines_of_the_file_not_rows(tmp_path: Path) -> None:
    folder = sound(tmp_path)
    with_cells(folder, "zones:2", {"name": "first\nsecond"})
    path = folder / "zones.csv"
    head, _, rest = path.read_text().partition("\n")
    path.write_text(f"\n{head}\n\n{rest.replace('R1,', 'R1,,', 1)}")
    with pytest.raises(
        RecordError, match=r"^zones.csv:7: 24 cells; 23 as in the header; words"
    ):
        read_ship(folder)


def test_blank_lines_and_columns_are_no_rows(tmp_path: Path) -> None:
    path = sound(tmp_path) / "gaugings.csv"
    lines = path.read_text().splitlines()
    path.write_text("\n".join([lines[0] + ",,", "", lines[1] + ",,", " , ,,,,,,", ""]))
    assert len(read_ship(tmp_path).gaugings) == 1


@pytest.mark.parametrize(
    ("old", "new", "begins", "remedy"),
    [
        ("sd_mm", "sd", "gaugings.csv:1: sd: no column 'sd'", "did you mean 'sd_mm'?"),
        (
            "remark",
            "note",
            "gaugings.csv:1: note: no column 'note'",
            "known: zone, date",
        ),
        ("kind", "date", "gaugings.csv:1: date: this column stands twice", "rename"),
        ("thickness_mm", "frame_", "gaugings.csv:1: thickness_mm: the column", "add"),
        ("kind", "", "gaugings.csv:1: column 7 has cells but no name", "one of zone"),
        ("9.1,", "9,1,", "gaugings.csv:2: 10 cells", "with a point"),
        ("9.1,", "", "gaugings.csv:2: 8 cells", "9 as in the header"),
        ("9.1,", '"9.1,', "gaugings.csv:2: the row that begins here", "closed"),
        ("9.1,", '"9.1"x,', "gaugings.csv:2: the row that begins here", "closed"),
    ],
)
def test_names_the_line_of_a_broken_layout(
    tmp_path: Path, old: str, new: str, begins: str, remedy: str
) -> None:
    with_text(sound(tmp_path), "gaugings.csv", old, new)
    with pytest.raises(RecordError, match="; ") as caught:
        read_ship(tmp_path)
    lines = [line for line in str(caught.value).splitlines() if line.startswith(begins)]
    assert lines, str(caught.value)
    assert remedy in lines[0].partition("; ")[2]


@pytest.mark.parametrize(
    ("data", "message"),
    [
        (b"zone,date\nZ1,caf\xe9\n", "gaugings.csv:2: byte 0xe9 at position 16 is not"),
        (b"PK\x03\x04\xff", "gaugings.csv: a spreadsheet or zip file, not text; UTF-8"),
        (b"PK\x03\x04 zip", "gaugings.csv: a spreadsheet or zip file, not text; UTF-8"),
        (b"zone,date\nZ\0", r"gaugings.csv:2: an empty \(NUL\) character, as in a dam"),
        (b"\n  \n", "gaugings.csv:1: an empty file; a header: zone,date,frame"),
    ],
)
def test_refuses_what_is_not_utf_8_text(
    tmp_path: Path, data: bytes, message: str
) -> None:
    (sound(tmp_path) / "gaugings.csv").write_bytes(data)
    with pytest.raises(RecordError, match=message):
        read_ship(tmp_path)
