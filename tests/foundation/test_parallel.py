"""Work at once: the same whoever does it, and nothing lost with a child that ends."""

import os
import signal
import subprocess
import sys
import threading
import time
import warnings
from collections.abc import Callable
from functools import partial
from pathlib import Path

import numpy as np
import pytest

from corrosion.foundation import parallel
from corrosion.foundation.errors import InputError, ValidityWarning
from corrosion.foundation.parallel import Begun, at_once, zeros

ITEMS = range(5)
HERE = os.getpid()

pytestmark = pytest.mark.skipif(
    sys.platform != "linux", reason="children are had on Linux alone"
)


@pytest.fixture
def children(monkeypatch: pytest.MonkeyPatch) -> None:
    """Let there be children, also beside the thread of a worker of the test run."""
    monkeypatch.setitem(parallel._allowed, "children", True)
    monkeypatch.setattr(parallel, "_CORES", 2)
    monkeypatch.setattr(threading, "active_count", lambda: 1)


def waves(k: int) -> tuple[int, bytes]:
    return os.getpid(), np.sin(np.arange(1.0, 1e3) * k).cumsum().tobytes()


def ended(pid: int) -> bool:
    """Tell whether a process has ended, also if nobody has asked for its end."""
    try:
        return (
            Path(f"/proc/{pid}/stat").read_text().rpartition(")")[2].split()[0] == "Z"
        )
    except FileNotFoundError:
        return True


def soon(what: Callable[[], bool]) -> bool:
    for _ in range(1000):
        if what():
            return True
        time.sleep(0.01)
    return False


@pytest.mark.usefixtures("children")
def test_the_same_bits_in_order_whoever_does_it() -> None:
    serial = [waves(k) for k in ITEMS]
    threads, apart = at_once(waves, ITEMS), at_once(waves, ITEMS, apart=True)
    assert [bits for _, bits in serial] == [bits for _, bits in threads]
    assert [bits for _, bits in serial] == [bits for _, bits in apart]
    assert {pid for pid, _ in threads} == {HERE}
    assert len({HERE, *(pid for pid, _ in apart)}) == 1 + len(ITEMS)


def test_nobody_else_has_children() -> None:
    assert {pid for pid, _ in at_once(waves, ITEMS, apart=True)} == {HERE}
    assert Begun(partial(waves, 1)).result()[0] == HERE


@pytest.mark.usefixtures("children")
def test_work_goes_on_while_another_is_done() -> None:
    begun = [Begun(partial(waves, k)) for k in ITEMS]
    found = [each.result() for each in begun]
    assert [bits for _, bits in found] == [waves(k)[1] for k in ITEMS]
    assert HERE not in {pid for pid, _ in found}


@pytest.mark.usefixtures("children")
def test_no_child_beside_another_thread(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(threading, "active_count", lambda: 2)
    assert {pid for pid, _ in at_once(waves, ITEMS, apart=True)} == {HERE}


@pytest.mark.usefixtures("children")
def test_a_child_has_none_of_its_own() -> None:
    def nested(_: int) -> list[tuple[int, bytes]]:
        return at_once(waves, ITEMS, apart=True)

    for inner in at_once(nested, (1, 2), apart=True):
        assert len({pid for pid, _ in inner}) == 1


@pytest.mark.usefixtures("children")
def test_a_child_writes_into_zeros_of_its_parent() -> None:
    many, single = zeros((5, 3)), zeros((5, 2), np.float32)
    assert (many == 0.0).all()
    assert single.dtype == np.float32
    assert zeros((0, 3)).shape == (0, 3)

    def write(k: int) -> None:
        many[k] += k
        single[k] = -k

    at_once(write, ITEMS, apart=True)
    assert (many == np.arange(5)[:, None]).all()
    assert (single == -np.arange(5)[:, None]).all()


@pytest.mark.usefixtures("children")
def test_what_a_killed_child_did_not_end_is_done_here() -> None:
    def die(k: int) -> tuple[int, bytes]:
        if k == 3 and os.getpid() != HERE:
            os.kill(os.getpid(), signal.SIGKILL)
        return waves(k)

    found = at_once(die, ITEMS, apart=True)
    assert [bits for _, bits in found] == [waves(k)[1] for k in ITEMS]
    assert [k for k, (pid, _) in enumerate(found) if pid == HERE] == [3]
    found = at_once(die, ITEMS, apart=True, again=lambda k: (k, b"again"))
    assert found[3] == (3, b"again")


@pytest.mark.usefixtures("children")
def test_where_no_process_can_be_had_it_is_done_here(
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    def refuse() -> int:
        raise BlockingIOError(11, "Resource temporarily unavailable")

    monkeypatch.setattr(os, "fork", refuse)
    assert {pid for pid, _ in at_once(waves, ITEMS, apart=True)} == {HERE}


@pytest.mark.usefixtures("children")
def test_what_fails_there_fails_here_and_is_the_same_error() -> None:
    def refuse(k: int) -> int:
        if k == 1:
            msg = "too many zones"
            raise InputError(msg)
        return k

    with pytest.raises(InputError, match="too many zones"):
        at_once(refuse, ITEMS, apart=True)


@pytest.mark.usefixtures("children")
def test_what_is_doubted_there_is_doubted_here() -> None:
    def doubt(k: int) -> int:
        warnings.warn(f"salt {k}", ValidityWarning, stacklevel=1)
        return k

    with pytest.warns(ValidityWarning) as caught:
        assert at_once(doubt, (7, 8), apart=True) == [7, 8]
    assert sorted(str(one.message) for one in caught) == ["salt 7", "salt 8"]


@pytest.mark.usefixtures("children")
def test_who_follows_can_stop_it_and_no_child_is_left() -> None:
    pids = zeros((5,))

    def wait(k: int) -> None:
        pids[k] = os.getpid()
        time.sleep(60.0)

    def refuse() -> None:
        if (pids > 0.0).sum() == 2:
            raise KeyboardInterrupt

    with pytest.raises(KeyboardInterrupt):
        at_once(wait, ITEMS, apart=True, tell=refuse)
    begun = pids[pids > 0.0].astype(int).tolist()
    assert len(begun) == 2
    assert soon(lambda: all(map(ended, begun)))


FAMILY = """
import os, sys, time
from corrosion.foundation.parallel import _allowed, at_once
_allowed["children"] = True
def wait(k):
    os.write(1, f"{os.getpid()}\\n".encode())
    time.sleep(60)
at_once(wait, (1, 2), apart=True)
"""


def test_a_child_ends_with_a_parent_that_is_killed() -> None:
    with subprocess.Popen(
        [sys.executable, "-c", FAMILY], stdout=subprocess.PIPE, text=True
    ) as parent:
        assert parent.stdout is not None
        begun = [
            int(parent.stdout.readline()) for _ in range(1 + (os.cpu_count() != 1))
        ]
        parent.kill()
        assert soon(lambda: all(map(ended, begun)))
