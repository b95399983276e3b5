"""A sailor's own workbook, understood, looked at and saved; or refused in words."""

import io
from datetime import date, datetime
from pathlib import Path
from typing import Any

import openpyxl
import pytest
import xlsxwriter
from records.folders import sound

from corrosion.foundation.errors import InputError, RecordError
from corrosion.records import read_ship, undo
from corrosion.records.imports.accept import preview, save
from corrosion.records.imports.matching import match_headings
from corrosion.records.imports.proposal import Proposal, propose_file

HEADER = ["Area", "Frame No.", "Thickness (in)", "Date", "Remarks", "Weather"]
ROWS: list[list[Any]] = [
    ["z1", 38, 0.35, datetime(2026, 5, 2), "clean", "dry"],  # noqa: DTZ001
    ["Z2", 60.0, 0.40, date(2026, 5, 2), None, "dry"],
]


def by_openpyxl(path: Path, sheets: dict[str, list[list[Any]]]) -> Path:
    """Write a workbook with one library."""
    book = openpyxl.Workbook()
    book.remove(book.worksheets[0])
    for name, rows in sheets.items():
        sheet = book.create_sheet(name)
        for row in rows:
            sheet.append(row)
    book.save(path)
    return path


def by_xlsxwriter(path: Path, sheets: dict[str, list[list[Any]]]) -> Path:
    """Write the same with another."""
    book = xlsxwriter.Workbook(str(path))
    day = book.add_format({"num_format": "dd.mm.yyyy"})
    for name, rows in sheets.items():
        sheet = book.add_worksheet(name)
        for r, row in enumerate(rows):
            for c, cell in enumerate(row):
                if isinstance(cell, date):
                    sheet.write_datetime(r, c, cell, day)
                elif cell is not None:
                    sheet.write(r, c, cell)
    book.close()
    return path


BOTH = pytest.mark.parametrize("write", [by_openpyxl, by_xlsxwriter])


@BOTH
def test_a_workbook_is_understood(tmp_path: Path, write: Any) -> None:
    folder = sound(tmp_path / "teal")
    rows = [["Gaugings by the yard"], [], HEADER, *ROWS]
    (one,) = propose_file(folder, write(tmp_path / "ut.xlsx", {"Gaugings": rows}))
    assert (one.table, one.lines, one.left_out) == ("gaugings", (4, 5), ("Weather",))
    assert one.rows[0] == {
        "zone": "z1",
        "date": "2026-05-02",
        "frame": "38",
        "thickness_mm": "8.89",
        "remark": "clean",
    }
    assert (one.questions, one.problems) == ((), ())
    save(folder, [one])
    last = read_ship(folder).gaugings[-2:]
    assert [row.zone for row in last] == ["Z1", "Z2"]
    assert last[1].thickness == pytest.approx(0.4 * 0.0254)
    undo(folder)
    assert len(read_ship(folder).gaugings) == 3


@BOTH
def test_all_sheets_are_saved_or_none(tmp_path: Path, write: Any) -> None:
    folder = sound(tmp_path / "teal")
    faults: list[list[Any]] = [
        ["Fault no", "System", "Phase", "Date found", "Insulation (kohm)"]
    ]
    faults += [["F8", "service", "B", datetime(2026, 3, 1, 8, 30), 4.5]]  # noqa: DTZ001
    sheets = {"Notes": [["hello"]], "UT": [HEADER, *ROWS], "Fault log": faults}
    found = propose_file(folder, write(tmp_path / "all.xlsx", sheets))
    assert [one.table for one in found] == ["gaugings", "faults"]
    save(folder, found)
    fault = read_ship(folder).faults[-1]
    assert fault.readings.insulation == 4500.0
    assert (fault.readings.conductor, fault.found.text) == ("b", "2026-03-01 08:30")
    undo(folder)
    ship = read_ship(folder)
    assert (len(ship.faults), len(ship.gaugings)) == (3, 3)


def csv(folder: Path, text: str) -> Path:
    path = folder / "mine.csv"
    path.write_text(text, encoding="utf-8")
    return path


def one_of(tmp_path: Path, text: str, **units: str) -> tuple[Path, Proposal]:
    folder = sound(tmp_path / "teal")
    (one,) = propose_file(folder, csv(tmp_path, text), units)
    return folder, one


def test_a_unit_that_nothing_tells_is_asked(tmp_path: Path) -> None:
    text = "zone;date;thickness\nZ1;02.05.2026;0,33\nZ2;13.05.2026;0,35\n"
    folder, one = one_of(tmp_path, text)
    (question,) = one.questions
    assert "about 0.34: is it in inches?" in question.words
    assert question.likely == "in"
    with pytest.raises(InputError, match="is it in inches"):
        save(folder, [one])
    (told,) = propose_file(folder, tmp_path / "mine.csv", {"thickness_mm": "in"})
    assert told.questions == ()
    assert told.rows[0]["thickness_mm"] == "8.382"
    with pytest.raises(InputError, match="'stone' is no unit of it; its own is mm"):
        propose_file(folder, tmp_path / "mine.csv", {"thickness_mm": "stone"})


def test_an_unknown_unit_in_a_heading_is_asked(tmp_path: Path) -> None:
    _, one = one_of(tmp_path, "zone,date,thickness (cubits)\nZ1,2026,9\n")
    assert "'cubits' is not known" in one.questions[0].words


def test_problems_are_named_by_the_rows_of_her_sheet(tmp_path: Path) -> None:
    text = "Yard report\n\nzone,date,thickness\nZ1,2026,9\nZ1,2026,thin\nZ9,2026,9\n"
    folder, one = one_of(tmp_path, text)
    assert [(p.file, p.line) for p in one.problems] == [("mine", 5)]
    with pytest.raises(RecordError, match="mine:5: thickness_mm: 'thin'"):
        save(folder, [one])
    (good,) = propose_file(folder, csv(tmp_path, text.replace("thin", "8.8")))
    with pytest.raises(RecordError, match="mine:6: zone: no zone 'Z9'"):
        save(folder, [good])
    assert len(read_ship(folder).gaugings) == 3


def test_rows_that_stand_there_already_are_left_out(tmp_path: Path) -> None:
    rows = "Z2,2022-05-11,10.1,prepared\nZ1,2026,9,\n"
    folder, one = one_of(tmp_path, f"zone,date,thickness,surface\n{rows}")
    assert (one.again, len(one.rows), one.lines) == (1, 1, (3,))
    assert any("stand there already" in line for line in preview([one]))
    save(folder, [one])
    assert len(read_ship(folder).gaugings) == 4


def test_the_same_numbers_in_every_locale(tmp_path: Path) -> None:
    folder = sound(tmp_path / "teal")
    spellings = (
        "zone,date,thickness,insulation\nZ1,2026-05-13,9.125,\n",
        "zone;date;thickness;sd\nZ1;13.05.2026;9,125;0,2\n",
        "zone\tdate\tthickness\nZ1\t5/13/2026\t9.125\nZ2\t5/14/2026\t10.5\n",
    )
    for text in spellings:
        (one,) = propose_file(folder, csv(tmp_path, text))
        row = one.rows[0]
        assert row["thickness_mm"] == "9.125", text
        assert one.problems == ()


@pytest.mark.parametrize(
    ("data", "words"),
    [
        (b"PK\x03\x04 no workbook", r"cannot be read as a workbook \(BadZipFile\)"),
        (b"", "no table; a heading and at least one row"),
        (b"a,b\n1,2\n", "no sheet is recognised"),
        (b'zone,date,thickness\n"Z1,2026,9\n', "cannot be split"),
        (b"zone,date\nZ1,\xff\xfe\n", "is not UTF-8"),
        (b"zone,date,thickness\n" + b"Z1,2026,9\n" * 20_002, "more than 20000 rows"),
    ],
)
def test_what_is_no_table_is_refused(tmp_path: Path, data: bytes, words: str) -> None:
    folder = sound(tmp_path / "teal")
    (tmp_path / "bad.xlsx").write_bytes(data)
    with pytest.raises((RecordError, InputError), match=words):
        propose_file(folder, tmp_path / "bad.xlsx")


def test_a_workbook_cut_short_is_refused(tmp_path: Path) -> None:
    folder = sound(tmp_path / "teal")
    whole = by_openpyxl(tmp_path / "a.xlsx", {"Gaugings": [HEADER, *ROWS]}).read_bytes()
    for share in (0.2, 0.5, 0.9):
        (tmp_path / "a.xlsx").write_bytes(whole[: int(share * len(whole))])
        with pytest.raises(RecordError, match="cannot be read as a workbook"):
            propose_file(folder, tmp_path / "a.xlsx")
    assert io.BytesIO(whole).read(2) == b"PK"


@pytest.mark.parametrize(
    ("heading", "table", "column", "factor"),
    [
        ("thickness (in)", "gaugings", "thickness_mm", 25.4),
        ("Thickness [mm]", "gaugings", "thickness_mm", 1.0),
        ("date", "gaugings", "date", 1.0),
        ("frame no.", "gaugings", "frame", 1.0),
        ("Insulation resistance (MΩ)", "faults", "insulation_ohm", 1e6),
        ("Leakage current (mA)", "faults", "amps", 1e-3),
        ("hull potential, V", "potentials", "mv", 1e3),
        ("net weight", "anodes", None, None),
    ],
)
def test_plain_headings(
    heading: str, table: str, column: str | None, factor: float | None
) -> None:
    matches = match_headings([heading], table)
    assert [(one.column, one.factor) for one in matches] == (
        [] if column is None else [(column, factor)]
    )


def test_every_row_that_does_not_fit_has_its_line(tmp_path: Path) -> None:
    _, one = one_of(tmp_path, "zone,date,thk,zone\n\nZ1,2020\nZ1,2020,3,Z1\nZ2\n")
    places = [(problem.line, problem.found) for problem in one.problems[:3]]
    assert places == [
        (3, "2 cells"),
        (5, "1 cells"),
        (None, "two columns named 'zone'"),
    ]


def test_a_decimal_comma_between_commas_is_not_misread(tmp_path: Path) -> None:
    _, one = one_of(tmp_path, "zone,date,thickness,remark\nZ1,2020,9,1,\n")
    assert [(problem.line, problem.found) for problem in one.problems] == [
        (2, "5 cells")
    ]


def test_a_cell_of_two_lines_is_kept_whole(tmp_path: Path) -> None:
    text = 'zone,date,thickness,remark\nZ1,2020,9,"wet\nfloor"\n'
    _, one = one_of(tmp_path, text)
    assert one.rows[0]["remark"] == "wet\nfloor"
