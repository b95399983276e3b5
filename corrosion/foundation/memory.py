"""Memory that a long computation no longer uses, given back to the system."""

import ctypes
import mmap
import os
import pickle
import tempfile
from collections.abc import Callable
from contextlib import suppress
from functools import wraps
from typing import Any, Final, NamedTuple, ParamSpec, TypeVar
from weakref import WeakValueDictionary, finalize

import numpy as np

from corrosion.foundation.cache import cache_directory
from corrosion.foundation.parallel import may_fork

P = ParamSpec("P")
T = TypeVar("T")

_KEPT: Final = (
    (-4, 0),  # M_MMAP_MAX of the C library: no array has a map of its own
    (-1, 2**31 - 1),  # M_TRIM_THRESHOLD: freed at the end of the heap, and kept [bytes]
)
_PAGE: Final = 64  # an array begins at a multiple of it [bytes]
_aside: "WeakValueDictionary[int, Mapped]" = WeakValueDictionary()


def gives_memory_back(work: Callable[P, T]) -> Callable[P, T]:
    """Return a function that gives back what its arrays took once it has ended.

    The C library of Linux keeps what is freed, between what is still used, for a next
    time: a server would hold twice what its answers need. What is large it gives back
    at once, and each page of the next large array is cleared anew: a process in which
    nobody else works keeps that too, until the end. Elsewhere nothing is done.
    """

    @wraps(work)
    def ended(*args: P.args, **named: P.kwargs) -> T:
        if may_fork():
            with suppress(AttributeError, OSError, TypeError):
                for setting, value in _KEPT:
                    ctypes.CDLL(None).mallopt(setting, value)
        try:
            return work(*args, **named)
        finally:
            # no such function, or no C library that goes by no name
            with suppress(AttributeError, OSError, TypeError):
                ctypes.CDLL(None).malloc_trim(0)
                for held in _maps():  # what was read of them is in the file still
                    held.madvise(mmap.MADV_DONTNEED)

    return ended


class Mapped(mmap.mmap):
    """A file without a name that is mapped, and open as long as it is."""

    file: int
    """Its descriptor, by which another process may map it too."""


def mapped(file: int) -> Mapped:
    """Map what a descriptor stands for; the map takes it over."""
    whole = Mapped(file, 0, access=mmap.ACCESS_READ)
    whole.file = file
    finalize(whole, os.close, file)
    _aside[file] = whole
    return whole


def _maps() -> "list[Mapped]":
    refs = _aside.valuerefs()  # a list, whatever other threads add meanwhile
    return [one for ref in refs if (one := ref()) is not None]


class Packed(NamedTuple):
    """A thing of which the arrays lie in files, for another process or a later time."""

    small: bytes  # the rest of it
    # which of them each array is in, from where to where [bytes]
    cuts: list[tuple[int, int, int]]
    maps: list[Mapped]  # the files


def packed(thing: object) -> Packed:
    """Lay the arrays of a thing into a file, but those that lie in one.

    From which :func:`unpacked` makes its equal, to the digit.

    ``thing``: of dataclasses, tables and arrays; what it cannot be copied by is a
    fault.

    Raises OSError if no file can be written.
    """
    large: list[pickle.PickleBuffer] = []
    small = pickle.dumps(thing, protocol=5, buffer_callback=large.append)
    held = [(one, _address(one)) for one in _maps()]
    maps: list[Any] = []
    cuts, fresh, end = [], [], 0
    for each in large:
        raw = each.raw()
        at = _address(raw)
        places: list[tuple[Mapped | None, int]] = [
            (one, at - a) for one, a in held if 0 <= at - a < len(one)
        ]
        if not places:  # it goes into the new file
            fresh.append((end, raw))
            places = [(None, end)]
            end += -(-len(raw) // _PAGE) * _PAGE
        whole, start = places[0]
        if whole not in maps:
            maps.append(whole)
        cuts.append((maps.index(whole), start, start + len(raw)))
    if fresh:
        maps[maps.index(None)] = _laid_down(fresh, end)
    return Packed(small, cuts, maps)


def _address(thing: Any) -> int:
    return int(np.asarray(thing).ctypes.data)


def _laid_down(parts: list[tuple[int, memoryview]], end: int) -> Mapped:
    """Write parts into a new file, each from where it shall begin."""
    cache_directory().mkdir(parents=True, exist_ok=True)
    with tempfile.TemporaryFile(dir=cache_directory()) as file:
        for start, part in parts:
            file.seek(start)
            file.write(part)
        file.truncate(end + 1)  # an empty file cannot be mapped
        file.flush()
        return mapped(os.dup(file.fileno()))


def unpacked(thing: Packed) -> Any:
    """Return the thing: memory holds what is read of its arrays.

    They cannot be written to, and their files go with them.
    """
    wholes = [memoryview(one) for one in thing.maps]
    parts = [wholes[place][start:stop] for place, start, stop in thing.cuts]
    return pickle.loads(thing.small, buffers=parts)  # noqa: S301 - ours


def set_aside(thing: T) -> T:
    """Return the same thing with its arrays in a file, where one can be written."""
    with suppress(OSError):
        same: T = unpacked(packed(thing))
        return same
    return thing
