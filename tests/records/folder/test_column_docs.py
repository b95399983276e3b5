"""Each column is described once, as it is read."""

from pathlib import Path

import pytest

from corrosion.foundation.errors import LookupFailed, Problem
from corrosion.records import read_ship, write_example
from corrosion.records.folder.column_docs import DOCUMENTED, column_docs, columns_text
from corrosion.records.folder.row import Spot, columns, read_row, required_columns
from corrosion.records.monitor.log_file import COLUMNS

READ = [*DOCUMENTED.items()]


@pytest.mark.parametrize(("table", "model"), READ)
def test_describes_every_column_in_its_order(table: str, model: type) -> None:
    docs = column_docs(table)
    assert tuple(doc.column for doc in docs) == columns(model)
    needed = tuple(doc.column for doc in docs if doc.required)
    assert needed == required_columns(model)


def test_describes_the_columns_of_a_log() -> None:
    assert tuple(doc.column for doc in column_docs("monitor")) == COLUMNS


@pytest.mark.parametrize(
    ("table", "model"), [each for each in READ if each[0] in [*DOCUMENTED][:10]]
)
def test_every_example_can_be_read(table: str, model: type) -> None:
    cells = {doc.column: doc.example for doc in column_docs(table)}
    problems: list[Problem] = []
    read_row(model, cells, Spot(file=table, line=1), problems)
    assert problems == []


def test_every_key_of_the_ship_file_has_an_example_that_reads(tmp_path: Path) -> None:
    write_example(tmp_path)
    text = ""
    for table in ("ship", "water", "system", "prices", "display"):
        text += f"[[{table}]]\n" if table == "system" else f"[{table}]\n"
        for doc in column_docs(table):
            text += f"{doc.column} = {doc.example}\n"
    text += "[assumption.pitting_factor]\n"
    for doc in column_docs("assumption"):
        text += f"{doc.column} = {doc.example}\n"
    (tmp_path / "ship.toml").write_text(text, encoding="utf-8")
    ship = read_ship(tmp_path)
    assert ship.systems[0].monitor == 120e3
    assert ship.display.currency == "crowns"


def test_says_range_words_blank_and_example() -> None:
    text = columns_text("gaugings")
    assert "a number, from 0 to 300 mm" in text
    assert "one of: prepared, as found, through paint, echo to echo" in text
    assert "Blank: not known: any of the four may be so" in text
    assert "## zones.csv" not in text


def test_all_tables_stand_beside_the_example(tmp_path: Path) -> None:
    write_example(tmp_path)
    text = (tmp_path / "columns.md").read_text(encoding="utf-8")
    assert text == columns_text()
    assert text.count("\n## ") == len(DOCUMENTED)
    assert max(len(line) for line in text.splitlines()) <= 88


def test_an_unknown_table_is_named() -> None:
    with pytest.raises(LookupFailed, match=r"no table 'zone'; did you mean 'zones'"):
        columns_text("zone")
