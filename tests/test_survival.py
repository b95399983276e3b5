"""Faults survived: killed, full, read-only, crowded, clock set back, damaged bytes.

What takes long runs with ``CORROSION_LONG=1``; otherwise a few of each.
"""

import gzip
import json
import os
import shutil
import subprocess
import sys
from collections.abc import Iterator
from contextlib import redirect_stderr, redirect_stdout, suppress
from datetime import datetime, tzinfo
from functools import partial
from io import StringIO
from pathlib import Path
from random import Random
from time import sleep
from typing import NamedTuple
from unittest.mock import patch

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st
from records.folders import sound

from corrosion.foundation.errors import RecordError
from corrosion.presentation.terminal import cli
from corrosion.records import SaveError, append_row, read_ship, read_table, undo
from corrosion.records.folder.kept import versions
from corrosion.records.monitor.charge import charge

dying = pytest.importorskip("dying", reason="needs the limits of a POSIX system")

LONG = os.environ.get("CORROSION_LONG") == "1"
KILLS, ADDITIONS, DAMAGES = (200, 500, 3000) if LONG else (10, 25, 18)
DATA = Path(__file__).parents[1] / "data"
PAGE = 4096
OLD = ["F1", "F2", "F3"]


class Outcome(NamedTuple):
    """What a command left behind."""

    code: int
    out: str
    err: str


def command(*words: object) -> Outcome:
    """Run the command line in this process; it may refuse, in words."""
    out, err = StringIO(), StringIO()
    with (
        patch.object(sys, "argv", ["corrosion", *map(str, words)]),
        redirect_stdout(out),
        redirect_stderr(err),
    ):
        try:
            cli.main()
        except SystemExit as leave:
            code = int(leave.code or 0)
        else:
            code = 0
    assert code in (0, 1, 2)
    assert "Traceback" not in out.getvalue() + err.getvalue()
    assert "fault of the program" not in err.getvalue(), err.getvalue()
    assert (code == 0) or err.getvalue().strip()
    return Outcome(code, out.getvalue(), err.getvalue())


def contents(folder: Path) -> dict[str, bytes]:
    files = (path for path in folder.rglob("*") if path.is_file())
    return {str(path.relative_to(folder)): path.read_bytes() for path in files}


def names(folder: Path) -> list[str]:
    return [fault.fault for fault in read_ship(folder).faults]


@pytest.fixture(scope="module", autouse=True)
def _cache(tmp_path_factory: pytest.TempPathFactory) -> Iterator[None]:
    with pytest.MonkeyPatch.context() as patched:
        patched.setenv("CORROSION_CACHE", str(tmp_path_factory.mktemp("cache")))
        yield


@pytest.fixture
def disk(tmp_path: Path) -> Iterator[Path]:
    """Return a disk of its own that holds 256 kB and a ship folder."""
    place = tmp_path / "disk"
    place.mkdir()
    mount = ["mount", "-t", "tmpfs", "-o", "size=256k", "tmpfs", str(place)]
    if shutil.which("mount") is None or subprocess.run(mount, check=False).returncode:
        pytest.skip("no small disk can be mounted here; root may")
    sound(place / "teal")
    yield place
    subprocess.run(["umount", place], check=True)


def fill(path: Path) -> int:
    """Fill a disk by one file and return that file's size."""
    with path.open("wb", buffering=0) as file, suppress(OSError):
        while file.write(bytes(PAGE)) == PAGE:
            pass
    return path.stat().st_size


def test_killed_at_each_step_of_a_save(tmp_path: Path) -> None:
    step, code = 0, 9
    while code == 9:
        step += 1
        folder = sound(tmp_path / str(step))
        old = (folder / "faults.csv").read_bytes()
        process = dying.begin(dying.die_at, folder, step)
        process.join()
        code = process.exitcode
        assert names(folder) in (OLD, [*OLD, "F9"])
        kept = [*versions(folder, "faults.csv", (folder / "faults.csv").read_bytes())]
        assert kept in ([], [old])
        append_row(folder, "faults", dying.row("F10"))
        assert names(folder)[-1] == "F10"
        assert not list(folder.rglob("*.saving"))
    assert code == 0
    assert names(folder) == [*OLD, "F9", "F10"]
    assert step > 8  # lock, history, two files opened, set right and put in place


def test_a_save_of_several_tables_is_all_or_nothing_wherever_it_is_killed(
    tmp_path: Path,
) -> None:
    step, code, seen = 0, 9, set()
    while code == 9:
        step += 1
        folder = sound(tmp_path / str(step))
        many = len(read_ship(folder).gaugings)
        process = dying.begin(partial(dying.die_at, tables=True), folder, step)
        process.join()
        code = process.exitcode
        found = "F9" in names(folder), len(read_ship(folder).gaugings) > many
        assert found in ((False, False), (True, True))
        rows, _ = read_table(folder, "faults")
        assert ("F9" in [one["fault"] for one in rows]) == found[0]
        seen.add(found[0])
        append_row(folder, "faults", dying.row("F10"))  # finishes or clears away
        assert names(folder) == [*OLD, *["F9"] * found[0], "F10"]
        assert len(read_ship(folder).gaugings) == many + found[1]
        assert not list(folder.rglob("*.saving"))
        undo(folder)
        if found[0]:
            assert {save.file for save in undo(folder)} == {
                "faults.csv",
                "gaugings.csv",
            }
        assert names(folder) == OLD
        assert len(read_ship(folder).gaugings) == many
    assert code == 0
    assert seen == {False, True}
    assert step > 15  # four files and a journal, opened, set right, put in place


def test_killed_at_random_instants_keeps_every_save_that_was_told(
    tmp_path: Path,
) -> None:
    random = Random(11)  # noqa: S311 - instants of a test
    for turn in range(KILLS):
        folder = sound(tmp_path / "teal")
        heard, on_progress = dying.channel()
        process = dying.begin(dying.add_and_clear, folder, "K", 1000, on_progress)
        on_progress.close()
        assert heard.poll(60.0)
        sleep(0.15 * random.random())
        process.kill()
        process.join()
        told: dict[str, str | None] = {}
        while heard.poll():
            try:
                told |= [heard.recv()]
            except EOFError:
                break
        rows, _ = read_table(folder, "faults")
        stands = {row["fault"]: row["cleared"] or None for row in rows[3:]}
        assert told
        assert list(stands) == [f"K{n}" for n in range(len(stands))], turn
        # One save may have been done and not told any more.
        assert len(told) <= len(stands) <= len(told) + 1
        behind = [name for name, cleared in told.items() if stands[name] != cleared]
        assert behind in ([], [f"K{len(told) - 1}"])
        assert names(folder) == [*OLD, *stands]
        shutil.rmtree(folder)


def test_two_people_at_once_lose_nothing(tmp_path: Path) -> None:
    folder = sound(tmp_path / "teal")
    people = [dying.begin(dying.add, folder, who, ADDITIONS) for who in "AB"]
    for process in people:
        process.join()
    assert [process.exitcode for process in people] == [0, 0]
    found = names(folder)
    assert found[:3] == OLD
    for who in "AB":
        mine = [name for name in found if name[0] == who]
        assert mine == [f"{who}{n}" for n in range(ADDITIONS)]
    now = (folder / "faults.csv").read_bytes()
    assert len(list(versions(folder, "faults.csv", now))) == 2 * ADDITIONS


def test_a_full_disk_leaves_the_old_file_whatever_is_free(disk: Path) -> None:
    folder, filler = disk / "teal", disk / "filler"
    old, refused = (folder / "faults.csv").read_bytes(), 0
    full = fill(filler)
    for free in range(0, 20 * PAGE, PAGE):
        os.truncate(filler, full - free)
        try:
            append_row(folder, "faults", dying.row("F9"))
        except SaveError as error:
            refused += 1
            assert "the disk is full. Make room" in str(error)  # noqa: PT017 - either way
            assert (folder / "faults.csv").read_bytes() == old
            assert not list(folder.rglob("*.saving"))
        else:
            break
    assert names(folder) == [*OLD, "F9"]
    assert refused >= 2
    now = (folder / "faults.csv").read_bytes()
    assert set(versions(folder, "faults.csv", now)) <= {old}


def test_output_onto_a_full_disk_is_told(disk: Path) -> None:
    fill(disk / "filler")
    told = command("metal", "steel", "--json", disk / "steel.json")
    assert told.code == 1  # no wrong use
    assert "No space left" in told.err
    assert command("check", disk / "teal").code == 0


@pytest.mark.parametrize("size", [0, 200, 430])
def test_a_file_that_may_not_grow_leaves_the_old_one(tmp_path: Path, size: int) -> None:
    folder = sound(tmp_path / "teal")
    before = (folder / "faults.csv").read_bytes()
    assert len(before) > 430
    process = dying.begin(dying.save_no_more_than, folder, size)
    process.join()
    assert process.exitcode == dying.REFUSED
    assert (folder / "faults.csv").read_bytes() == before
    assert not list(folder.rglob("*.saving"))


def test_a_read_only_disk_can_be_read_and_says_why_it_is_not_written(
    disk: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    folder = disk / "teal"
    before = contents(folder)
    monkeypatch.setenv("CORROSION_CACHE", str(disk / "cache"))
    subprocess.run(["mount", "-o", "remount,ro", disk], check=True)
    with pytest.raises(SaveError, match=r"the disk is read-only. Copy the folder"):
        append_row(folder, "faults", dying.row("F9"))
    assert command("check", folder).code == 0
    assert command("estimate", folder, "--samples", 4).code == 0
    told = command("estimate", folder, "--samples", 4, "--json", disk / "out.json")
    assert told.code == 2
    assert "Read-only file system" in told.err
    assert contents(folder) == before


def test_a_clock_set_back_loses_no_version_and_stops_no_reading(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    folder = sound(tmp_path / "teal")
    hours = iter((12, 9, 9, 11, 0))

    class Wandering(datetime):
        @classmethod
        def now(cls, tz: tzinfo | None = None) -> "Wandering":
            return cls(1999, 1, 1, next(hours), tzinfo=tz)

    monkeypatch.setattr("corrosion.records.folder.kept.datetime", Wandering)
    monkeypatch.setattr("time.time", lambda: 915_148_800.0)
    monkeypatch.setattr("time.monotonic", iter(range(10_000, 0, -1)).__next__)
    before = []
    for n in range(5):
        before.append((folder / "faults.csv").read_bytes())
        append_row(folder, "faults", dying.row(f"F{4 + n}"))
    kept = [*versions(folder, "faults.csv", (folder / "faults.csv").read_bytes())]
    assert sorted(kept) == sorted(before)
    assert names(folder) == [f"F{n}" for n in range(1, 9)]
    assert command("check", folder).code == 0


LINES = [
    f"2026-01-01T00:00:{second:02}Z,service,galley,{0.25 * second:g},dc"
    for second in range(20)
]
LOG = "\n".join(["time,system,circuit,amps,current", *LINES, ""]).encode()


@pytest.mark.parametrize("packed", [False, True])
def test_a_half_written_log_counts_its_whole_rows_and_no_other(
    tmp_path: Path, packed: bool
) -> None:
    path = tmp_path / ("hull.csv.gz" if packed else "hull.csv")
    data = gzip.compress(LOG, mtime=0) if packed else LOG
    sums = {0.25 * sum(k + 0.5 for k in range(rows - 1)): rows for rows in range(2, 21)}
    seen = set()
    for length in range(0, len(data), 1 if LONG else 7):
        path.write_bytes(data[:length])
        try:
            frame = charge(path)
        except RecordError as error:
            assert error.problems  # noqa: PT017 - either way
            continue
        if frame.empty or frame["rows"].iloc[0] < 2:
            continue
        assert frame["rows"].iloc[0] == sums[frame["charge"].iloc[0]]
        whole = not packed and data[:length].endswith(b"\n")
        cut = "the compressed file ends before" if packed else "half-written"
        assert whole or cut in str(frame.attrs["doubts"])
        seen.add(int(frame["rows"].iloc[0]))
    assert packed or len(seen) > 10


HUNTED = {"grey-plover": "ship service", "saltmarsh": "main"}
SHIPS = {ship: contents(DATA / ship) for ship in ("grey-plover", "saltmarsh")}
PLACES = [(ship, file) for ship, files in SHIPS.items() for file in sorted(files)]
TOKENS = (b"", b",", b'"', b"\n", b";", b"nan", b"-1e999", b"1e-320", b"0", b"\xff")
COMMANDS = (
    ("estimate",),
    ("leakage",),
    ("hull",),
    ("isolate",),
    ("hunt", "--system"),
    ("plan", "--hours", "40"),
)
flips = st.lists(st.tuples(st.floats(0, 1), st.integers(0, 255)), max_size=4)
splices = st.tuples(
    st.floats(0, 1),
    st.integers(0, 40),
    st.one_of(st.sampled_from(TOKENS), st.binary(max_size=4)),
)


def flipped(data: bytes, places: list[tuple[float, int]]) -> bytes:
    changed = bytearray(data)
    for share, value in places:
        changed[int(share * (len(changed) - 1))] = value
    return bytes(changed)


def spliced(data: bytes, share: float, length: int, new: bytes) -> bytes:
    start = int(share * len(data))
    return data[:start] + new + data[start + length :]


def survives(folder: Path, ship: str, words: tuple[str, ...]) -> None:
    """Check and compute a ship, which may be refused, and find nothing changed."""
    before = contents(folder)
    command("check", folder)
    name, *rest = words if words[0] != "hunt" else (*words, HUNTED[ship])
    more = ("--samples", 2, "--as-of", "2026-11-25", "--json", "-")
    told = command(name, folder, *rest, *more)
    if told.code == 0:
        json.loads(told.out, parse_constant=pytest.fail)
    for log in folder.glob("monitor/*"):
        command("charge", log)
    assert contents(folder) == before


@settings(
    deadline=None,
    max_examples=DAMAGES,
    suppress_health_check=[HealthCheck.function_scoped_fixture, HealthCheck.too_slow],
)
@given(
    place=st.sampled_from(PLACES),
    damage=st.one_of(flips, splices),
    words=st.sampled_from(COMMANDS),
)
def test_damaged_bytes_anywhere_give_an_exit_code_and_change_nothing(
    tmp_path: Path,
    place: tuple[str, str],
    damage: list[tuple[float, int]] | tuple[float, int, bytes],
    words: tuple[str, ...],
) -> None:
    ship, file = place
    data = SHIPS[ship][file]
    data = flipped(data, damage) if isinstance(damage, list) else spliced(data, *damage)
    for name, whole in SHIPS[ship].items():
        path = tmp_path / ship / name
        path.parent.mkdir(parents=True, exist_ok=True)
        path.write_bytes(data if name == file else whole)
    survives(tmp_path / ship, ship, words)
