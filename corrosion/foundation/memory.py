"""Memory that a long computation no longer uses, given back to the system."""

import ctypes
import mmap
import pickle
import tempfile
from collections.abc import Callable
from contextlib import suppress
from functools import wraps
from typing import Final, ParamSpec, TypeVar
from weakref import WeakSet

from corrosion.foundation.cache import cache_directory

P = ParamSpec("P")
T = TypeVar("T")

_PAGE: Final = 64  # an array begins at a multiple of it [bytes]
_aside: "WeakSet[mmap.mmap]" = WeakSet()


def gives_memory_back(work: Callable[P, T]) -> Callable[P, T]:
    """Return a function that gives back what its arrays took once it has ended.

    The C library of Linux keeps what is freed, between what is still used, for a next
    time: a server would hold twice what its answers need. Elsewhere nothing is done.
    """

    @wraps(work)
    def ended(*args: P.args, **named: P.kwargs) -> T:
        try:
            return work(*args, **named)
        finally:
            # no such function, or no C library that goes by no name
            with suppress(AttributeError, OSError, TypeError):
                ctypes.CDLL(None).malloc_trim(0)
                for held in list(_aside):  # what was read of them is in the file still
                    held.madvise(mmap.MADV_DONTNEED)

    return ended


def set_aside(thing: T) -> T:
    """Return the same thing with its arrays in a file: memory holds what is read of it.

    Parameters
    ----------
    thing : object
        Of dataclasses, tables and arrays; what it cannot be copied by is a fault.

    Returns
    -------
    object
        Equal to the digit. Its arrays cannot be written to; their file has no name, and
        goes with them. Where no file can be written it is the thing itself.
    """
    large: list[pickle.PickleBuffer] = []
    small = pickle.dumps(thing, protocol=5, buffer_callback=large.append)
    cuts = []
    with suppress(OSError):
        cache_directory().mkdir(parents=True, exist_ok=True)
        with tempfile.TemporaryFile(dir=cache_directory()) as file:
            for each in large:
                file.write(bytes(-file.tell() % _PAGE))
                start = file.tell()
                cuts.append(slice(start, start + file.write(each.raw())))
            file.write(b" ")  # an empty file cannot be mapped
            file.flush()
            held = mmap.mmap(file.fileno(), 0, access=mmap.ACCESS_READ)
        _aside.add(held)
        whole = memoryview(held)
        aside: T = pickle.loads(small, buffers=[whole[cut] for cut in cuts])  # noqa: S301 - ours
        return aside
    return thing
