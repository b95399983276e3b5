"""Tests of foundation.memory."""

import ctypes
import os
import subprocess
import sys
from dataclasses import dataclass
from pathlib import Path

import numpy as np
import pytest

from corrosion.foundation.memory import gives_memory_back, set_aside
from corrosion.foundation.types import Array

_STATE = Path("/proc/self/statm")


def held() -> int:
    """Return the memory of this process that is in the machine [pages]."""
    return int(_STATE.read_text().split()[1])


@pytest.mark.skipif(
    not (_STATE.exists() and hasattr(ctypes.CDLL(None), "malloc_trim")),
    reason="only this C library keeps what is freed",
)
def test_what_is_freed_between_what_is_used_goes_back() -> None:
    @gives_memory_back
    def work() -> list[np.ndarray]:
        pieces = [np.ones(4000) for _ in range(4000)]  # 32 kB each: off the heap
        return pieces[::1000]

    before = held()
    kept = work()
    assert len(kept) == 4
    assert held() - before < 4000  # of 31,000 pages of 4 kB


ALONE = """
import resource
import numpy as np
from corrosion.foundation.memory import gives_memory_back
from corrosion.foundation.parallel import allow_children

def cleared() -> int:
    before = resource.getrusage(resource.RUSAGE_SELF).ru_minflt
    for _ in range(10):
        np.ones(5 * 10**6)
    return resource.getrusage(resource.RUSAGE_SELF).ru_minflt - before

before = cleared()
allow_children()
gives_memory_back(cleared)()  # it keeps what the first array took
print(before, gives_memory_back(cleared)())
"""


@pytest.mark.skipif(
    sys.platform != "linux" or not hasattr(ctypes.CDLL(None), "mallopt"),
    reason="only this C library gives what is large back at once",
)
def test_a_process_of_one_work_clears_no_page_twice() -> None:
    words = [sys.executable, "-c", ALONE]
    env = {**os.environ, "NUMPY_MADVISE_HUGEPAGE": "0"}
    done = subprocess.run(words, capture_output=True, text=True, check=True, env=env)
    before, after = map(int, done.stdout.split())
    assert before > 90_000  # forty megabytes are 10,000 pages
    assert after < before / 4


def test_an_error_passes_and_names_and_words_stay() -> None:
    @gives_memory_back
    def fails(what: str) -> None:
        """Say what fails."""
        raise ValueError(what)

    assert (fails.__name__, fails.__doc__) == ("fails", "Say what fails.")
    with pytest.raises(ValueError, match="this"):
        fails("this")


@dataclass(frozen=True, slots=True)
class Kept:
    one: Array
    again: Array
    none: Array
    turned: Array
    words: dict[str, str]


def kept() -> Kept:
    one = np.random.default_rng(1).normal(size=(4000, 1000))
    return Kept(one, one, np.zeros((0, 3)), one[:5, :7].T.copy(order="F"), {"a": "b"})


def test_what_is_set_aside_is_the_same_to_the_digit(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setenv("CORROSION_CACHE", str(tmp_path / "new"))
    was, aside = kept(), set_aside(kept())
    np.testing.assert_array_equal(aside.one, was.one)
    np.testing.assert_array_equal(aside.turned, was.turned)
    assert aside.none.shape == (0, 3)
    assert aside.words == was.words
    assert np.shares_memory(aside.one, aside.again)
    with pytest.raises(ValueError, match="read-only"):
        aside.one[0, 0] = 1.0
    assert list((tmp_path / "new").iterdir()) == []  # its file has no name


@pytest.mark.skipif(
    not (_STATE.exists() and hasattr(ctypes.CDLL(None), "malloc_trim")),
    reason="only this C library keeps what is freed",
)
def test_what_is_set_aside_takes_no_memory_until_it_is_read() -> None:
    make = gives_memory_back(lambda: set_aside(kept()))
    before = held()
    aside = make()
    assert held() - before < 2000  # of 7,800 pages of 4 kB
    gives_memory_back(aside.one.sum)()
    assert held() - before < 2000


def test_where_nothing_can_be_written_it_stays_in_memory(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    (tmp_path / "file").write_text("no folder", encoding="utf-8")
    monkeypatch.setenv("CORROSION_CACHE", str(tmp_path / "file"))
    was = kept()
    assert set_aside(was) is was
