"""What a file may hold is said up front, and nothing takes long or prints without end.

Times are not asserted; each case once took minutes, and ends here because the work is
bounded. ``CORROSION_LONG=1`` damages 5,000 folders.
"""

import os
from pathlib import Path
from random import Random

import pytest
from records.folder.test_further_tables import full

from corrosion.foundation.errors import Problem, RecordError
from corrosion.records import read_ship
from corrosion.records.folder.candidate import read_candidate
from corrosion.records.folder.columns import TABLES
from corrosion.records.folder.row import columns

FOLDERS = 5000 if os.environ.get("CORROSION_LONG") else 60
PIECES: tuple[bytes, ...] = (
    b"",
    b",",
    b'"',
    b"\n",
    b";",
    b"nan",
    b"-1e999",
    b"0",
    b"\xff",
    b"\0",
    b"]",
)
PIECES += (b"40.000", b"1,5", b"?", b"ca. 1991", b"=1", b"3/6/1994", b"[[system]]\n")


def refused(folder: Path, file: str, data: bytes) -> tuple[str, ...]:
    """Return the problems that a file gives."""
    with pytest.raises(RecordError, match="; ") as caught:
        read_candidate(folder, {file: data})
    return tuple(map(str, caught.value.problems))


def problems_of(folder: Path, changed: dict[str, bytes | None]) -> tuple[Problem, ...]:
    """Return the problems of a changed folder; none where it gives a ship."""
    try:
        read_candidate(folder, changed)
    except RecordError as error:
        return error.problems
    return ()


@pytest.fixture(scope="module")
def folder(tmp_path_factory: pytest.TempPathFactory) -> Path:
    return full(tmp_path_factory.mktemp("bounds") / "teal")


def test_200_000_bad_rows_are_said_in_few_words(folder: Path) -> None:
    rows = b"zone,date,thickness_mm\n" + b"Q,when,thin\n" * 200_000
    problems = refused(folder, "gaugings.csv", rows)
    assert problems == (
        "gaugings.csv:50002: more than 50000 rows; fewer rows; a log of samples "
        "belongs in monitor/",
    )
    fewer = b"zone,date,thickness_mm\n" + b"Q,when,thin\n" * 40_000
    problems = refused(folder, "gaugings.csv", fewer)
    assert len(problems) < 2100
    assert any("reading stopped here, after 1000 problems" in one for one in problems)
    assert sum(map(len, problems)) < 400_000


@pytest.mark.parametrize("table", TABLES)
def test_10_megabytes_of_any_table_are_read_or_refused(
    folder: Path, table: str
) -> None:
    header = ",".join(columns(TABLES[table])).encode() + b"\n"
    row = b",".join(b"Z%d" % k for k in range(header.count(b",") + 1)) + b"\n"
    assert refused(folder, f"{table}.csv", header + row * (10_000_000 // len(row)))
    one_line = header + b"x" * 10_000_000
    assert refused(folder, f"{table}.csv", one_line)


def test_a_large_file_is_refused_before_it_is_looked_at(folder: Path) -> None:
    (one,) = refused(folder, "works.csv", b"a" * (17 << 20))
    assert one.startswith("works.csv: 18 MB; at most 17 MB")


@pytest.mark.parametrize(
    "piece",
    [
        b'[[system]]\nname = "x"\n',
        b"a.b.c.d.e.f = 1\n",
        b"a" + b".a" * 100_000 + b" = 1\n",
        b"a = " + b"[" * 100_000,
        b'[assumption.x]\nmedian = "x"\n',
        b"x = 1\n",
    ],
)
def test_a_ship_file_of_any_kind_ends_soon(folder: Path, piece: bytes) -> None:
    text = (folder / "ship.toml").read_bytes()
    for size in (200_000, 300_000):
        data = text + piece * max(1, size // len(piece))
        problems = refused(folder, "ship.toml", data)
        assert sum(map(len, problems)) < 400_000


def test_many_systems_are_refused_by_their_number(folder: Path) -> None:
    system = '[[system]]\nname = "S{}"\nkind = "dc2"\nvolts = 24\n'
    many = "".join(system.format(k) for k in range(400)).encode()
    text = (folder / "ship.toml").read_bytes()
    problems = refused(folder, "ship.toml", text + many)
    assert any("402 tables; at most 200" in one for one in problems)


def test_damaged_folders_give_a_ship_or_its_problems(folder: Path) -> None:
    random = Random(11)  # noqa: S311 - damage of a test
    files = {
        path.relative_to(folder).as_posix(): path.read_bytes()
        for path in folder.rglob("*")
        if path.suffix in (".csv", ".toml")
    }
    sound = 0
    for _ in range(FOLDERS):
        damaged: dict[str, bytes | None] = {}
        for name in random.sample(sorted(files), random.choice((1, 1, 2))):
            data = files[name]
            for _ in range(random.choice((1, 1, 1, 4))):
                at = random.randrange(len(data) + 1)
                cut = random.choice((0, 0, 1, 3, 40))
                data = data[:at] + random.choice(PIECES) + data[at + cut :]
            damaged[name] = data if random.random() < 0.98 else None
        said = problems_of(folder, damaged)
        sound += said == ()
        assert all(one.found and one.expected for one in said)
    assert 0 < sound < FOLDERS


def test_the_folder_is_sound(folder: Path) -> None:
    assert read_ship(folder).name == "Teal"
