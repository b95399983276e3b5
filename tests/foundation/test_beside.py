"""Work beside a server: the same bits and errors, and no process is left of it."""

import os
import signal
import subprocess
import sys
import threading
import time
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from dataclasses import dataclass
from functools import partial
from pathlib import Path

import numpy as np
import pytest
from foundation.test_parallel import ended, soon

from corrosion.foundation import beside as module
from corrosion.foundation import parallel
from corrosion.foundation.beside import begin_helper, beside
from corrosion.foundation.cache import remembered
from corrosion.foundation.errors import Problem, RecordError
from corrosion.foundation.memory import packed, set_aside
from corrosion.foundation.types import Array

HERE = os.getpid()

pytestmark = pytest.mark.skipif(
    sys.platform != "linux", reason="a helper is had on Linux alone"
)


@dataclass(frozen=True)
class Made:
    """Where something was made: the process, its parent, and what."""

    process: int
    parent: int
    many: Array


@contextmanager
def helped(*modules: str) -> Iterator[None]:
    """Let there be a helper, also beside the thread of a worker of the test run."""
    with pytest.MonkeyPatch.context() as alone:
        alone.setitem(parallel._allowed, "children", True)
        alone.setattr(threading, "active_count", lambda: 1)
        begin_helper(*modules)
    try:
        yield
    finally:
        module._helper.pop().close()


@pytest.fixture
def _helper() -> Iterator[None]:
    with helped():
        yield


def waves(many: Array) -> Made:
    return Made(os.getpid(), os.getppid(), np.sin(many).cumsum(axis=0))


def slow(pids: Path, *, on_progress: Callable[[float], None]) -> None:
    with pids.open("a") as file:
        file.write(f"{os.getpid()} {os.getppid()}\n")
    on_progress(0.5)
    time.sleep(60.0)


def fails() -> None:
    raise RecordError([Problem("zones.csv", 2, "zone", "'é'", "a name")])


def dies(how: str) -> tuple[int, str]:
    if os.getpid() != HERE:
        os.kill(os.getppid() if how == "helper" else os.getpid(), signal.SIGKILL)
        time.sleep(60.0)
    return os.getpid(), how


@pytest.mark.parametrize("room", ["", "file"])
def test_the_same_bits_from_another_process(
    room: str, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    (tmp_path / "file").touch()  # where it stands no folder can be made
    monkeypatch.setenv("CORROSION_CACHE", str(tmp_path / room))
    many = set_aside(np.arange(3e5).reshape(-1, 3))
    with helped():
        first, second = (beside(partial(waves, many)) for _ in range(2))
    assert len({HERE, first.process, second.process, first.parent}) == 4
    assert first.parent == second.parent
    np.testing.assert_array_equal(first.many, waves(many).many)
    assert first.many.flags.writeable == bool(room)
    assert list(tmp_path.iterdir()) == [tmp_path / "file"]


def test_what_lies_in_a_file_is_not_written_again(tmp_path: Path) -> None:
    with pytest.MonkeyPatch.context() as patched:
        patched.setenv("CORROSION_CACHE", str(tmp_path))
        aside = set_aside({"a": np.arange(9.0), "none": np.zeros(0)})
        one, two = packed([aside]), packed([aside, np.arange(3)])
        assert one.maps == two.maps[:1]
        assert len(two.maps) == 2
        assert packed("no array").maps == []


@pytest.mark.usefixtures("_helper")
def test_what_is_told_ends_the_work_and_its_process(tmp_path: Path) -> None:
    shares: list[float] = []

    def tell(share: float) -> None:
        shares.append(share)
        if shares.count(0.5) == 3:  # it is told again while the work goes on
            raise KeyboardInterrupt

    with pytest.raises(KeyboardInterrupt):
        beside(partial(slow, tmp_path / "pids"), tell)
    child, helper = (tmp_path / "pids").read_text().split()
    assert soon(lambda: ended(int(child)))
    assert not ended(int(helper))


def test_what_is_kept_is_written_after_the_answer(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setenv("CORROSION_CACHE", str(tmp_path))
    many = np.arange(2e6)  # too large to be written before the answer
    work = partial(remembered, "many", {"many": many}.copy)
    with helped():
        np.testing.assert_array_equal(beside(work)["many"], many)
        assert soon(lambda: len([*tmp_path.glob("*.arrays")]) == 1)
    np.testing.assert_array_equal(remembered("many", dict)["many"], many)


@pytest.mark.usefixtures("_helper")
def test_an_error_is_the_same_one() -> None:
    with pytest.raises(RecordError, match="zones") as error:
        beside(fails)
    assert error.value.problems[0].found == "'é'"


@pytest.mark.usefixtures("_helper")
@pytest.mark.parametrize("who", ["child", "helper"])
def test_what_a_killed_process_did_not_end_is_done_here(who: str) -> None:
    for _ in range(2):
        assert beside(partial(dies, who)) == (HERE, who)


def test_without_a_helper_it_is_done_here() -> None:
    assert beside(partial(waves, np.ones(3))).process == HERE


SERVER = """
import sys
from functools import partial
from pathlib import Path
from threading import Thread

from corrosion.foundation import beside, parallel

sys.path.insert(0, sys.argv[2])
parallel._allowed["children"] = True
beside.begin_helper("foundation.test_beside")
from foundation.test_beside import slow

work = partial(slow, Path(sys.argv[1]))
for _ in range(2):
    Thread(target=beside.beside, args=(work, lambda share: None)).start()
"""


@pytest.mark.parametrize("sign", [signal.SIGKILL, signal.SIGTERM])
def test_no_process_is_left_of_a_server_that_is_killed(
    sign: signal.Signals, tmp_path: Path
) -> None:
    pids = tmp_path / "pids"
    tests = str(Path(__file__).parents[1])
    command = [sys.executable, "-c", SERVER, str(pids), tests]
    with subprocess.Popen(command) as server:
        try:
            assert soon(lambda: pids.exists() and pids.read_text().count("\n") == 2)
        finally:
            server.send_signal(sign)
    processes = [int(pid) for pid in pids.read_text().split()]
    assert len(set(processes)) == 3  # two pieces of work, one helper
    for pid in processes:
        assert soon(partial(ended, pid))
