"""Damaged bytes in any file give a ship or its problems, and nothing else."""

from pathlib import Path

import pytest
from hypothesis import example, given, settings
from hypothesis import strategies as st
from records.folders import sound

from corrosion.foundation.errors import Problem, RecordError
from corrosion.records import read_ship
from corrosion.records.folder.candidate import read_candidate

FILES = (
    "ship.toml",
    "zones.csv",
    "faults.csv",
    "berths.csv",
    "gaugings.csv",
    "circuits.csv",
)
CELLS = (b"", b",", b'"', b"\n", b"\t;", b"nan", b"-1e999", b"0", b"\xff", b"\0", b"]")


@pytest.fixture(scope="module")
def folder(tmp_path_factory: pytest.TempPathFactory) -> Path:
    return sound(tmp_path_factory.mktemp("teal"))


def ship_or_problems(folder: Path, file: str, data: bytes) -> None:
    problems: tuple[Problem, ...] = ()
    try:
        ship = read_candidate(folder, {file: data})
    except RecordError as error:
        problems = error.problems
    else:
        assert len(ship.zones) > 0
    assert all(problem.found and problem.expected for problem in problems)


@settings(deadline=None, max_examples=250)
@given(
    file=st.sampled_from(FILES),
    places=st.lists(st.tuples(st.floats(0, 1), st.integers(0, 255)), max_size=6),
)
def test_flipped_bytes(
    folder: Path, file: str, places: list[tuple[float, int]]
) -> None:
    data = bytearray((folder / file).read_bytes())
    for share, value in places:
        data[int(share * (len(data) - 1))] = value
    ship_or_problems(folder, file, bytes(data))


@settings(deadline=None, max_examples=250)
@given(
    file=st.sampled_from(FILES),
    start=st.floats(0, 1),
    length=st.integers(0, 30),
    new=st.one_of(st.sampled_from(CELLS), st.binary(max_size=6)),
)
def test_spliced_bytes(
    folder: Path, file: str, start: float, length: int, new: bytes
) -> None:
    data = (folder / file).read_bytes()
    cut = int(start * len(data))
    ship_or_problems(folder, file, data[:cut] + new + data[cut + length :])


@settings(deadline=None, max_examples=100)
@given(file=st.sampled_from(FILES), share=st.floats(0, 1))
@example(file="zones.csv", share=0.0)
def test_half_written_files(folder: Path, file: str, share: float) -> None:
    data = (folder / file).read_bytes()
    ship_or_problems(folder, file, data[: int(share * len(data))])


@settings(deadline=None, max_examples=100)
@given(file=st.sampled_from(FILES), data=st.binary(max_size=60))
def test_any_bytes(folder: Path, file: str, data: bytes) -> None:
    ship_or_problems(folder, file, data)


def test_the_folder_itself_is_sound(folder: Path) -> None:
    assert read_ship(folder).name == "Teal"
