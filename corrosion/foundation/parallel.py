"""Independent pieces of work, as many at once as the machine has cores.

Threads wait for one another wherever numpy does not compute. The command line, whose
process is its own, lets child processes do what takes long: the same bits. What a child
did not end, as when the system ended it, is done here, and fails here if it must.
"""

import math
import mmap
import os
import signal
import sys
import threading
import warnings
from collections import deque
from collections.abc import Callable, Sequence
from contextlib import suppress
from functools import partial
from typing import TYPE_CHECKING, Any, Final, Generic, TypeVar

if TYPE_CHECKING:
    from multiprocessing.connection import Connection

    from corrosion.foundation.types import Array

T = TypeVar("T")
R = TypeVar("R")

_LOOK: Final = 0.1  # how often it is told that work goes on [s]
_AT_PARENTS_END: Final = 1  # PR_SET_PDEATHSIG of Linux
_CORES: Final = os.cpu_count() or 1
_allowed = {"children": False}


def allow_children(*, allowed: bool = True) -> None:
    """Let children do what takes long: for a process in which nobody else works."""
    _allowed["children"] = allowed and sys.platform == "linux" and _CORES > 1


def cores() -> int:
    """Return how many pieces of work the machine does at once."""
    return _CORES


def may_fork() -> bool:
    """Return whether children may be begun now."""
    return _allowed["children"] and threading.active_count() == 1


def zeros(shape: tuple[int, ...], kind: Any = float) -> "Array":
    """Return zeros to which a child writes for its parent, where children may be."""
    import numpy as np  # noqa: PLC0415 - not for `--help`

    size = math.prod(shape) * np.dtype(kind).itemsize
    if not (size and _allowed["children"]):
        return np.zeros(shape, kind)
    try:
        return np.frombuffer(mmap.mmap(-1, size), kind).reshape(shape)
    except OSError as error:
        raise MemoryError(*error.args) from None


class Begun(Generic[R]):
    """Work that a child has begun, where there may be one; else it begins when asked.

    Beside another thread there is none: it might copy a lock that is held.

    Parameters
    ----------
    work : callable
        Without effects but on arrays of :func:`zeros`.
    again : callable, optional
        Does here what a child did not end; None: ``work``.
    """

    def __init__(
        self, work: Callable[[], R], again: Callable[[], R] | None = None
    ) -> None:
        self._work, self._again = work, again or work
        self.pipe: Connection | None = None
        if not may_fork():
            return
        from multiprocessing import get_context  # noqa: PLC0415 - not for `--help`

        fork = get_context("fork")
        self.pipe, end = fork.Pipe(duplex=False)
        self._child = fork.Process(target=_send, args=(work, end, os.getpid()))
        self._child.daemon = True
        with warnings.catch_warnings(), suppress(OSError), end:  # no more processes
            warnings.simplefilter("ignore", DeprecationWarning)  # a library's threads
            self._child.start()

    def result(self) -> R:
        """Wait for the result; what was doubted there is doubted here."""
        if self.pipe is None:
            return self._work()
        with self.pipe, suppress(EOFError, OSError):
            made: R
            made, doubts = self.pipe.recv()
            for each in doubts:
                warnings.warn(each, stacklevel=2)
            return made
        return self._again()

    def stop(self) -> None:
        """End the child: nobody waits for it."""
        with suppress(AttributeError):  # none was begun
            self._child.kill()


def end_with(parent: int) -> bool:
    """Have the system end this child of Linux with its parent; whether that lives."""
    import ctypes  # noqa: PLC0415 - not for `--help`

    ctypes.CDLL(None).prctl(_AT_PARENTS_END, signal.SIGKILL)
    return os.getppid() == parent


def _send(work: Callable[[], R], end: "Connection", parent: int) -> None:
    """Work as a child, in silence; its parent ends it, or ends before it."""
    signal.signal(signal.SIGINT, signal.SIG_IGN)
    _allowed["children"] = False
    with warnings.catch_warnings(record=True) as caught, suppress(Exception):
        warnings.simplefilter("always", UserWarning)
        if end_with(parent):
            made = work()
            end.send((made, [one.message for one in caught]))


def at_once(
    work: Callable[[T], R],
    items: Sequence[T],
    *,
    apart: bool = False,
    again: Callable[[T], R] | None = None,
    tell: Callable[[], None] = lambda: None,
    stop: Callable[[], None] = lambda: None,
) -> list[R]:
    """Return the result of each item, in order: the same bits as one after another.

    ``work``: of arrays, and without effects: numpy lets other threads run meanwhile.
    ``items``: what it is called with; none may wait for another. ``apart``: whether
    children do it where there may be any: for what takes long. ``again``: as
    :class:`Begun` takes it, of an item. ``tell``: called from time to time in this
    thread; what it raises ends the work. ``stop``: asks threads to end when something
    is raised.
    """
    if apart and len(items) > 1 and may_fork():
        pieces = [(partial(work, one), partial(again or work, one)) for one in items]
        return _from_children(pieces, tell)
    from concurrent.futures import (  # noqa: PLC0415 - not for `--help`
        FIRST_COMPLETED,
        ThreadPoolExecutor,
        wait,
    )

    with ThreadPoolExecutor(min(len(items), _CORES) or 1) as pool:
        futures = [pool.submit(work, each) for each in items]
        going = set(futures)
        try:
            while going:
                ended, going = wait(going, _LOOK, FIRST_COMPLETED)
                for piece in ended:
                    piece.result()
                tell()
        finally:
            stop()
        return [each.result() for each in futures]


def _from_children(
    pieces: Sequence[tuple[Callable[[], R], Callable[[], R]]], tell: Callable[[], None]
) -> list[R]:
    """Return the result of each piece from a child, as many at once as cores."""
    from multiprocessing import connection  # noqa: PLC0415 - not for `--help`

    left = deque(enumerate(pieces))
    going: dict[Any, tuple[int, Begun[R]]] = {}
    results: dict[int, R] = {}
    try:
        while left or going:
            while left and len(going) < _CORES:
                k, piece = left.popleft()
                begun = Begun(*piece)
                if begun.pipe is None:  # another thread has begun since
                    results[k] = begun.result()
                else:
                    going[begun.pipe] = k, begun
            for pipe in connection.wait(going, _LOOK):
                k, begun = going.pop(pipe)
                results[k] = begun.result()
            tell()
    finally:
        for _, begun in going.values():
            begun.stop()
    return [results[k] for k in range(len(pieces))]
