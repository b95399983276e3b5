"""Work that a server has done by a process beside it: its own threads stay free.

In a server with threads all of them wait for the interpreter's lock, and no child may
be begun there. So a helper is, while the server has one thread yet. It has loaded what
the work needs, and does nothing but begin a child for each piece of work, which works
as the command line does, with children of its own: the same bits. The child ends with
its work, with whoever waits for it, with the helper; and the helper with the server.

Where there is no helper, and for what a child did not end, the work is done here, and
fails here if it must.
"""

import gc
import os
import pickle
import signal
import warnings
from collections.abc import Callable
from contextlib import suppress
from importlib import import_module
from multiprocessing import Pipe, reduction
from multiprocessing.connection import Connection
from typing import Any, Final, TypeVar

from corrosion.foundation.parallel import end_with, may_fork

T = TypeVar("T")

_LOOK: Final = 0.2  # how often the page may end what it waits for [s]
_helper: "list[Connection]" = []


def begin_helper(*modules: str) -> None:
    """Begin the helper, where there may be one, and have it load modules."""
    if not may_fork():
        return
    ours, theirs = Pipe()
    if os.fork():
        theirs.close()
        _helper[:] = [ours]
        return
    try:
        ours.close()
        _help(theirs, modules)
    finally:
        os._exit(0)


def _help(server: Connection, modules: tuple[str, ...]) -> None:
    """Begin a child for each who asks, until the server has ended."""
    warnings.simplefilter("ignore", DeprecationWarning)  # a library's threads
    signal.signal(signal.SIGINT, signal.SIG_IGN)
    signal.signal(signal.SIGCHLD, signal.SIG_IGN)  # nobody waits for a child's end
    for name in modules:
        import_module(name)
    gc.freeze()  # what is loaded is shared with the children
    helper = os.getpid()
    while True:
        with Connection(reduction.recv_handle(server)) as asker:
            if not os.fork():
                server.close()
                signal.signal(signal.SIGCHLD, signal.SIG_DFL)
                if end_with(helper):
                    _answer(asker)
                os._exit(0)


def _answer(asker: Connection) -> None:
    """Do as a child what is asked; what fails is tried again where it is asked."""
    from corrosion.foundation import cache  # noqa: PLC0415 - loads numpy

    with suppress(Exception):
        asker.send(os.getpid())
        work, tells = _received(asker, asker.recv())
        _send(asker, work(on_progress=asker.send) if tells else work())
        cache.await_all()  # what is kept is written meanwhile


def _send(to: Connection, thing: object) -> None:
    """Send a thing: the other process maps the files in which its arrays are."""
    from corrosion.foundation.memory import packed  # noqa: PLC0415 - loads numpy

    try:
        small, cuts, maps = packed(thing)
    except OSError:  # no file can be written: all goes through the pipe
        small, cuts, maps = pickle.dumps(thing), [], []
    to.send((small, cuts, len(maps)))
    for each in maps:
        reduction.send_handle(to, each.file, 0)


def _received(of: Connection, told: tuple[bytes, list[Any], int]) -> Any:
    from corrosion.foundation.memory import Packed, mapped, unpacked  # noqa: PLC0415 - loads numpy

    small, cuts, many = told
    maps = [mapped(reduction.recv_handle(of)) for _ in range(many)]
    return unpacked(Packed(small, cuts, maps))


def beside(
    work: Callable[..., T], on_progress: Callable[[float], None] | None = None
) -> T:
    """Return what some work returns, done by a process beside this one.

    Parameters
    ----------
    work : callable
        Without effects but on what is kept: a function of a module that loads no page,
        or a partial one, with arguments that can be copied.
    on_progress : callable, optional
        Takes the finished fraction, from time to time and until the work has ended;
        what it raises ends the work. The work is called with one like it by that name.

    Returns
    -------
    object
        The same to the bit, wherever it is done.
    """
    with suppress(OSError, EOFError):
        if _helper:
            made: T = _asked(work, on_progress)
            return made
    return work() if on_progress is None else work(on_progress=on_progress)


def _asked(work: object, on_progress: Callable[[float], None] | None) -> Any:
    ours, theirs = Pipe()
    child, share = None, 0.0
    with ours:
        with theirs:
            reduction.send_handle(_helper[0], theirs.fileno(), 0)
        try:
            _send(ours, (work, on_progress is not None))
            child = ours.recv()
            while True:
                if ours.poll(_LOOK):
                    told = ours.recv()
                    if isinstance(told, tuple):
                        return _received(ours, told)
                    share = told
                if on_progress is not None:
                    on_progress(share)
        except BaseException:  # the page has gone on: nobody waits
            if child is not None:
                with suppress(ProcessLookupError):
                    os.kill(child, signal.SIGKILL)
            raise
