"""Of 101 plausible slips few pass in silence, and none of those that ruin an answer."""

import csv
import re
import shutil
from pathlib import Path

import pytest
from records.folder.slips import NEVER_SILENT, SLIPS, Slip
from records.folders import with_text

from corrosion.foundation.errors import RecordError
from corrosion.records import read_ship

DATA = Path(__file__).parents[3] / "data" / "saltmarsh"
MOST_SILENT = 15


def put(folder: Path, slip: Slip) -> None:
    """Make the slip in a copy of the records."""
    if slip.where not in ("ship.toml",) and ":" not in slip.where:
        with_text(folder, "ship.toml", slip.where, slip.cells[""])
        return
    table, _, line = slip.where.partition(":")
    path = folder / f"{table}.csv"
    with path.open(encoding="utf-8", newline="") as file:
        reader = csv.DictReader(file)
        header = list(reader.fieldnames or ())
        rows = list(reader)
    if slip.every is not None:
        (column,) = slip.cells
        for row in rows:
            row[column] = f"{slip.every(float(row[column])):.3g}"
    else:
        rows[int(line) - 2].update(slip.cells)
    header += [name for name in slip.cells if name not in header]
    with path.open("w", encoding="utf-8", newline="") as file:
        writer = csv.DictWriter(file, header)
        writer.writeheader()
        writer.writerows(rows)


def said(folder: Path) -> set[str]:
    """Return every problem and doubt, without the lines; a doubt has a verb."""
    try:
        found = read_ship(folder).doubts
    except RecordError as error:
        found = error.problems
    else:
        for one in found:
            assert VERB.search(one.found), one
    return {f"{one.column}: {one.found}" for one in found}


@pytest.fixture(scope="module")
def answers(tmp_path_factory: pytest.TempPathFactory) -> dict[str, set[str]]:
    """Return what is said of each slip."""
    place = tmp_path_factory.mktemp("slips")
    before = said(DATA)
    spoken = {}
    for number, slip in enumerate(SLIPS):
        folder = place / str(number)
        shutil.copytree(DATA, folder, ignore=shutil.ignore_patterns("monitor"))
        put(folder, slip)
        spoken[slip.name] = said(folder) - before
        shutil.rmtree(folder)
    return spoken


@pytest.fixture(scope="module")
def silent(answers: dict[str, set[str]]) -> list[str]:
    """Return the slips of which nothing is said."""
    return [name for name, words in answers.items() if not words]


VERB = re.compile(
    r"\b(is|are|was|were|does|do|has|lies?|stands?|begins?|ends?|reads?|covers|sum"
    r"|fails?|failed|would|may|cannot|replaced|runs|loses)\b"
)


def test_there_are_101_of_them() -> None:
    assert len(SLIPS) == 101
    assert len({slip.name for slip in SLIPS}) == 101


def test_few_pass_in_silence(silent: list[str]) -> None:
    assert len(silent) <= MOST_SILENT, silent


def test_none_of_inches_megohms_or_marks_of_thousands(silent: list[str]) -> None:
    assert not [name for name in silent if name.startswith(NEVER_SILENT)]
    assert not [name for name in silent if name.startswith("all gaugings")]
