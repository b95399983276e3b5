"""Tests of the report's files and command: laws, edges, errors."""

import csv
import errno
import io
import json
import re
import sys
from pathlib import Path

import pandas as pd
import pytest
from records.folders import without_anodes

from corrosion.foundation.errors import InputError
from corrosion.presentation.files import (
    csv_bytes,
    escape_formula,
    write_csv,
    write_whole,
)
from corrosion.presentation.report import Contents, gather, report_html
from corrosion.presentation.terminal import cli
from corrosion.records.folder.atomic_write import SaveError
from corrosion.records.folder.first_ship import write_example

DANGEROUS = ("=", "+", "-", "@", "\t", "\r")


def ran(monkeypatch: pytest.MonkeyPatch, *words: object) -> int:
    """Run the command line and return its exit code."""
    monkeypatch.setattr(sys, "argv", ["corrosion", *map(str, words)])
    try:
        cli.main()
    except SystemExit as left:
        return int(left.code or 0)
    return 0


def test_numbers_of_every_table_come_through(plover: Contents) -> None:
    for table in plover.tables():
        full = table.spreadsheet()
        read = pd.read_csv(io.BytesIO(csv_bytes(full)))
        assert list(read.columns) == list(full.columns), table.name
        assert len(read) == len(full), table.name
        for column in full.select_dtypes("number"):
            assert read[column].to_numpy(dtype=float) == pytest.approx(
                full[column].to_numpy(dtype=float), nan_ok=True, rel=1e-12
            )


def test_no_text_starts_a_formula(hostile: Contents) -> None:
    seen = 0
    for table in hostile.tables():
        data = csv_bytes(table.spreadsheet())
        assert data.startswith(b"\xef\xbb\xbf")
        for row in csv.reader(io.StringIO(data.decode("utf-8-sig"), newline="")):
            for cell in row:
                seen += cell.startswith("'")
                if cell.startswith(DANGEROUS):
                    float(cell)  # a number may be negative
    assert seen > 8


def test_a_negative_number_stays_a_number() -> None:
    assert escape_formula(-1.5) == -1.5
    assert escape_formula("-1.5") == "'-1.5"
    assert escape_formula("\r=1") == "'\r=1"
    assert escape_formula("a=b") == "a=b"
    assert escape_formula(None) is None


def test_file_names_are_plain(hostile: Contents) -> None:
    for table in hostile.tables():
        assert re.fullmatch(r"[a-z0-9-]+", table.name)


def test_a_report_that_breaks_off_leaves_the_old_one(
    bare: Contents, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    file = tmp_path / "report.html"
    file.write_text("old")

    def full(self: Path, _: Path) -> Path:
        raise OSError(errno.ENOSPC, "No space left on device")

    monkeypatch.setattr(Path, "replace", full)
    with pytest.raises(SaveError, match=r"report\.html: No space left.*Choose"):
        write_whole(file, report_html(bare).encode())
    assert file.read_text() == "old"
    assert [one.name for one in tmp_path.iterdir()] == ["report.html"]


def test_a_report_takes_the_place_of_the_old_one(
    bare: Contents, tmp_path: Path
) -> None:
    file = tmp_path / "report.html"
    file.write_text("old")
    size = write_whole(file, report_html(bare).encode())
    assert file.read_text(encoding="utf-8") == report_html(bare)
    assert file.stat().st_size == size
    names = write_csv(bare.tables(), tmp_path / "deep" / "tables")
    assert names == [f"{table.name}.csv" for table in bare.tables()]
    assert all((tmp_path / "deep" / "tables" / name).is_file() for name in names)


@pytest.mark.parametrize("hours", [0.0, -1.0, float("nan"), float("inf")])
def test_refuses_hours_that_cannot_be(bare: Contents, hours: float) -> None:
    with pytest.raises(InputError, match="must be more than 0 h"):
        gather(bare.result, hours=hours)


def test_command_writes_page_tables_and_json(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    write_example(tmp_path / "ship")
    page, folder, numbers = (tmp_path / n for n in ("r.html", "tables", "r.json"))
    asked = ("report", tmp_path / "ship", "--samples", 16, "--as-of", "2026-11-25")
    files = ("--html", page, "--csv", folder, "--json", numbers)
    assert ran(monkeypatch, *asked, *files) == 0
    assert "Wrote" in capsys.readouterr().err
    assert len(list(folder.glob("*.csv"))) > 10
    told = json.loads(numbers.read_text())
    assert told["digest"] in page.read_text(encoding="utf-8")
    assert ran(monkeypatch, "estimate", *asked[1:], "--json", "-") == 0
    alone = json.loads(capsys.readouterr().out)
    head = ("schema", "version", "units")  # of a document, not of an answer in it
    assert told["estimate"] == {k: v for k, v in alone.items() if k not in head}


@pytest.mark.parametrize(
    ("page", "words"),
    [("nowhere/r.html", "no folder"), ("ship", "it is a folder")],
)
def test_a_page_that_cannot_be_written_is_told_before_the_work(
    tmp_path: Path,
    monkeypatch: pytest.MonkeyPatch,
    capsys: pytest.CaptureFixture[str],
    page: str,
    words: str,
) -> None:
    write_example(tmp_path / "ship")
    code = ran(monkeypatch, "report", tmp_path / "ship", "--html", tmp_path / page)
    assert code == 2
    assert words in capsys.readouterr().err


def test_tables_that_cannot_be_written_are_told(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    without_anodes(tmp_path / "ship")
    (tmp_path / "file").touch()
    asked = ("report", tmp_path / "ship", "--samples", 2, "--html", tmp_path / "r.html")
    assert ran(monkeypatch, *asked, "--csv", tmp_path / "file") == 2
    said = capsys.readouterr()
    assert said.out.startswith("Wrote")  # the page
    assert "cannot make the folder" in said.err


def test_bad_records_leave_with_one(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    page = tmp_path / "r.html"
    (tmp_path / "ship").mkdir()
    assert ran(monkeypatch, "report", tmp_path / "ship", "--html", page) == 1
    assert "nothing was estimated" in capsys.readouterr().err
    assert not page.exists()
