"""Tests of foundation.cache, in the order: laws, edges."""

import json
import multiprocessing
import os
import sys
import threading
import zlib
from collections.abc import Callable
from pathlib import Path

import numpy as np
import pytest

from corrosion.foundation import cache, parallel
from corrosion.foundation.cache import (
    cache_directory,
    digest,
    forget,
    remembered,
)
from corrosion.foundation.types import Array

ARRAYS = {"matrix": np.linspace(0.0, 1.0, 400).reshape(20, 20), "one": np.array(2.5)}


@pytest.fixture(autouse=True)
def kept(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    monkeypatch.setenv("CORROSION_CACHE", str(tmp_path / "kept"))
    return tmp_path / "kept"


def compute() -> dict[str, Array]:
    return ARRAYS


def never() -> dict[str, Array]:
    pytest.fail("was computed again")


def same(found: dict[str, Array]) -> bool:
    return found.keys() == ARRAYS.keys() and all(
        (found[name] == ARRAYS[name]).all() for name in ARRAYS
    )


def test_is_computed_once() -> None:
    assert same(remembered(("a", 1.0), compute))
    assert same(remembered(("a", 1.0), never))


def test_what_is_held_in_memory_needs_no_file_and_bears_no_writing(kept: Path) -> None:
    remembered("a", compute)
    for path in kept.iterdir():
        path.unlink()
    found = remembered("a", never)
    with pytest.raises(ValueError, match="read-only"):
        found["matrix"][0] = 1.0


@pytest.mark.skipif(sys.platform != "linux", reason="children are had on Linux alone")
@pytest.mark.parametrize("killed", [False, True])
def test_a_child_writes_what_is_large_and_its_end_loses_nothing(
    kept: Path, monkeypatch: pytest.MonkeyPatch, *, killed: bool
) -> None:
    here, write, wrote = os.getpid(), cache._keep, []

    def slow(path: Path, arrays: dict[str, Array], *, look: bool) -> None:
        if os.getpid() == here:
            wrote.append(path)
        elif killed:
            os._exit(1)
        write(path, arrays, look=look)

    monkeypatch.setattr(cache, "_keep", slow)
    monkeypatch.setattr(cache, "_MEMORY", 0)  # else it would be held
    monkeypatch.setitem(parallel._allowed, "children", True)
    monkeypatch.setattr(threading, "active_count", lambda: 1)
    large = {"a": np.arange(2**20, dtype=np.float64)}
    for name in "ab":
        assert remembered(name, lambda: large) is large
    assert (remembered("a", never)["a"] == large["a"]).all()  # waits for the child
    cache.await_all()
    assert len([*kept.iterdir()]) == 2
    assert (remembered("b", never)["a"] == large["a"]).all()
    assert len(wrote) == 2 * killed


def test_nothing_is_kept_where_it_is_switched_off(
    kept: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setenv("CORROSION_KEEP", "no")
    remembered("a", compute)
    with pytest.raises(pytest.fail.Exception):
        remembered("a", never)
    assert not kept.exists()


def test_files_used_longest_ago_go_first(
    kept: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    one = {"x": np.zeros(1000)}
    monkeypatch.setattr(cache, "_DISK", 40_000)
    for key in "abcd":
        remembered(key, lambda: one)
        forget()
        stamp = 1e9 + ord(key)
        newest = max(kept.glob("*.arrays"), key=lambda path: path.stat().st_ctime_ns)
        os.utime(newest, (stamp, stamp))
    remembered("a", never)  # used again: now "b" is the oldest
    forget()
    remembered("e", lambda: one)
    forget()
    remembered("a", never)
    with pytest.raises(pytest.fail.Exception):
        remembered("b", never)
    assert sum(path.stat().st_size for path in kept.iterdir()) <= 40_000


def test_what_a_killed_process_was_writing_goes_in_time(kept: Path) -> None:
    kept.mkdir(exist_ok=True)
    for name, age in (("left.part", 4000.0), ("written.part", 10.0)):
        (kept / name).write_bytes(b"half")
        then = (kept / name).stat().st_mtime - age
        os.utime(kept / name, (then, then))
    remembered("b", lambda: {"one": np.ones(2)})
    assert [path.name for path in kept.glob("*.part")] == ["written.part"]


def test_too_much_is_looked_for_seldom_and_never_stands(
    kept: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    looks: list[Path] = []
    whole = cache._prune

    def prune(directory: Path) -> None:
        looks.append(directory)
        whole(directory)

    monkeypatch.setattr(cache, "_DISK", 400_000)
    monkeypatch.setattr(cache, "_prune", prune)
    for key in range(100):
        remembered(key, lambda: {"x": np.zeros(1000)})
        assert sum(path.stat().st_size for path in kept.iterdir()) <= 400_000
    assert 20 <= len(looks) <= 40  # each time that 25,000 bytes are new


def test_a_digest_tells_every_digit_of_every_part_apart() -> None:
    ship = {"name": "a", "rows": (1.0, None, np.array([1.0, 2.0]))}
    others = [
        {"name": "b", "rows": (1.0, None, np.array([1.0, 2.0]))},
        {"name": "a", "rows": (np.nextafter(1.0, 2.0), None, np.array([1.0, 2.0]))},
        {"name": "a", "rows": (1.0, None, np.array([1.0, np.nextafter(2.0, 3.0)]))},
        {"name": "a", "rows": (1.0, (None, np.array([1.0, 2.0])))},
    ]
    names = {digest(ship), *map(digest, others)}
    assert len(names) == 5
    assert digest(ship) == digest({**ship})


def test_another_key_is_another_result(kept: Path) -> None:
    remembered(("a", 1.0), compute)
    remembered(("a", np.nextafter(1.0, 2.0)), compute)
    assert len(list(kept.iterdir())) == 2


def cut_short(path: Path) -> None:
    path.write_bytes(path.read_bytes()[:200])


def flip_bytes(path: Path) -> None:
    content = bytearray(path.read_bytes())
    for at in range(200, 3000, 50):
        content[at] ^= 0xFF
    path.write_bytes(content)


def write_words(path: Path) -> None:
    path.write_text("not a result", encoding="utf-8")


def empty(path: Path) -> None:
    path.write_bytes(b"")


def pickle_inside(path: Path) -> None:
    told = json.dumps([{"matrix": ["|O", [1], 0, 8]}, zlib.crc32(bytes(8))]).encode()
    path.write_bytes(bytes(8) + told + len(told).to_bytes(8, "little"))


@pytest.mark.parametrize(
    "harm", [cut_short, flip_bytes, write_words, empty, pickle_inside]
)
def test_harmed_result_is_written_anew(
    kept: Path, harm: Callable[[Path], None]
) -> None:
    remembered("a", compute)
    (path,) = kept.iterdir()
    harm(path)
    forget()
    assert same(remembered("a", compute))
    forget()
    assert same(remembered("a", never))


def test_unwritable_directory_is_done_without(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    (tmp_path / "file").write_text("in the way", encoding="utf-8")
    monkeypatch.setenv("CORROSION_CACHE", str(tmp_path / "file" / "below"))
    assert same(remembered("a", compute))
    assert same(remembered("a", compute))


def test_users_cache_without_the_variable(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.delenv("CORROSION_CACHE")
    assert "corrosion" in cache_directory().parts


def write_often(_: int) -> bool:
    good = True
    for _ in range(20):
        for path in cache.cache_directory().glob("*.arrays"):
            path.unlink(missing_ok=True)
        forget()
        good &= same(cache.remembered("a", compute))
    return good


def test_two_processes_write_whole_results(kept: Path) -> None:
    with multiprocessing.get_context("spawn").Pool(2) as pool:
        assert all(pool.map(write_often, range(2)))
    assert same(remembered("a", never))
    assert [path.suffix for path in kept.iterdir()] == [".arrays"]
