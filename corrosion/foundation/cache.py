"""Results that take a while, kept in memory and in the user's cache directory.

A kept result is named after all that it depends on, this program and its libraries
among that; a file is written beside its place and renamed into it, and is never
trusted: one that does not read is written anew. Without a writable directory what is
not in memory is computed again, and nothing is said. What was used last is kept, up to
a bound in memory and one on the disk.
"""

import hashlib
import json
import mmap
import os
import tempfile
import zlib
from collections import OrderedDict
from collections.abc import Callable, Iterator, Mapping
from contextlib import contextmanager, suppress
from contextvars import ContextVar
from dataclasses import fields, is_dataclass
from functools import cache, partial
from pathlib import Path
from threading import Lock
from time import time
from typing import IO, Final

import numpy as np
from platformdirs import user_cache_dir

from corrosion.foundation.parallel import Begun
from corrosion.foundation.types import Array

_MEMORY: Final = 24 * 2**20  # held in memory at most, and a quarter of it each [bytes]
_DISK: Final = 2**30  # held on the disk at most, and a quarter of it each [bytes]
_MOMENT: Final = 4 * 2**20  # takes no longer to write than to begin a child [bytes]
_LOOKS: Final = 16  # at too much, by one process, until the disk is full of its own
_BLOCK: Final = 4096  # taken by a file beside its arrays, at most [bytes]

_ENDING: Final = ".arrays"
_PART: Final = ".part"  # of a file that is being written
_LEFT: Final = 3600.0  # after which nobody writes it any more: that process ended [s]
_PAGE: Final = 64  # an array begins at a multiple of it [bytes]
_WORD: Final = 8  # at the end of a file: how long is what tells of its arrays [bytes]

_PLAIN: Final = frozenset({bool, float, int, str, type(None)})
_LINE: Final = "line"  # of a file, on which a row stands: it decides no number

_writing: dict[Path, Begun[None]] = {}  # what children still write
_held: "OrderedDict[Path, dict[str, Array]]" = OrderedDict()
_since: dict[Path, int] = {}  # written to a directory since the last look [bytes]
_lock = Lock()
_large = ContextVar("large", default=True)


def cache_directory() -> Path:
    """Return where results are kept.

    What the environment variable CORROSION_CACHE says, else the user's own cache
    directory; it may not exist yet.
    """
    return Path(os.environ.get("CORROSION_CACHE") or user_cache_dir("corrosion"))


def digest(thing: object, *, lines: bool = False) -> str:
    """Return a name for all that a thing holds, and for the program that made it.

    Parameters
    ----------
    thing : object
        Of dataclasses, mappings, sequences, arrays, numbers, text and None, one within
        another; of anything else its ``repr`` counts. Of a row, where it is written
        does not, nor what does not count when rows are compared.
    lines : bool, optional
        Whether the line on which a row stands counts, as it does in words.

    Returns
    -------
    str
        64 hexadecimal digits, the same in every process.
    """
    parts = [
        f"{program()} {np.__version__} ".encode()
    ]  # another numpy rounds otherwise
    _add_parts(thing, parts, lines)
    return hashlib.sha256(b"".join(parts)).hexdigest()


def _add_parts(thing: object, parts: list[bytes], lines: bool) -> None:
    """Add the content of a thing: each part begins with its kind and length."""
    if type(thing) not in _PLAIN:  # nearly all are
        if isinstance(thing, np.ndarray):
            parts.append(f"array {thing.dtype} {thing.shape} ".encode())
            parts.append(np.ascontiguousarray(thing).tobytes())
            return
        if is_dataclass(thing) and not isinstance(thing, type):
            parts.append(f"{type(thing).__qualname__} ".encode())
            for name in _names(type(thing), lines):
                _add_parts(getattr(thing, name), parts, lines)
            return
        if isinstance(thing, Mapping | list | tuple):
            kind = "mapping" if isinstance(thing, Mapping) else "sequence"
            parts.append(f"{kind} {len(thing)} ".encode())
            for each in thing.items() if isinstance(thing, Mapping) else thing:
                _add_parts(each, parts, lines)
            return
    text = repr(thing)
    parts.append(f"{len(text)} {text} ".encode())


@cache
def _names(kind: type, lines: bool) -> tuple[str, ...]:
    named = [(one.name, one.compare) for one in fields(kind)]
    return tuple(name for name, one in named if (lines if name == _LINE else one))


@cache
def program() -> str:
    """Return a digest of this program: another version may find other numbers."""
    whole = hashlib.sha256()
    for folder, _, names in sorted(os.walk(Path(__file__).parents[1])):
        for name in sorted(names):
            if name.endswith((".py", ".csv", ".toml")):
                whole.update(name.encode() + Path(folder, name).read_bytes())
    return whole.hexdigest()


@contextmanager
def nothing_large() -> Iterator[None]:
    """Let no large result be kept or looked for: of many ships none comes again."""
    token = _large.set(False)
    try:
        yield
    finally:
        _large.reset(token)


def remembered(
    key: object,
    compute: Callable[[], dict[str, Array]],
    *,
    large: bool = False,
    lines: bool = False,
) -> dict[str, Array]:
    """Return the arrays that belong to a key, computed only if not yet kept.

    Parameters
    ----------
    key : object
        All that the result depends on, as :func:`digest` takes it.
    compute : callable
        Computes the arrays by name.
    large : bool, optional
        Whether the result is large, so that it is not kept in :func:`nothing_large`.
    lines : bool, optional
        Whether it tells on which lines rows stand.

    Returns
    -------
    dict of str to ndarray
        The arrays, kept or fresh: not to be written to. Nothing is kept where
            CORROSION_KEEP is ``no``.
    """
    if os.environ.get("CORROSION_KEEP") == "no" or (large and not _large.get()):
        return compute()
    path = cache_directory() / f"{digest(key, lines=lines)}{_ENDING}"
    with _lock:
        if path in _held:
            _held.move_to_end(path)
            return dict(_held[path])
    _await(path)
    with suppress(OSError, ValueError, KeyError, TypeError):
        arrays = _read(path)
        os.utime(path)
        return _hold(path, arrays)
    arrays = _hold(path, compute())
    write = partial(_keep, path, arrays, look=_grown(path.parent, _size(arrays)))
    if _size(arrays) >= _MOMENT and (begun := Begun(write)).pipe is not None:
        _writing[path] = begun
        return arrays
    with suppress(OSError):
        write()
    return arrays


def _await(path: Path) -> None:
    """Wait for what a child writes to a path."""
    begun = _writing.pop(path, None)
    if begun is not None:
        with suppress(OSError):
            begun.result()


def await_all() -> None:
    """Wait for all that children still write: its process is about to end."""
    for path in [*_writing]:
        _await(path)


def forget() -> None:
    """Forget what is held in memory; files stay."""
    with _lock:
        _held.clear()


def _size(arrays: Mapping[str, Array]) -> int:
    return sum(each.nbytes for each in arrays.values())


def _hold(path: Path, arrays: dict[str, Array]) -> dict[str, Array]:
    """Hold arrays in memory, and let go of those used longest ago."""
    if _size(arrays) > _MEMORY // 4:
        return arrays
    mine = {name: np.array(each) for name, each in arrays.items()}  # not in its file
    for each in mine.values():
        each.flags.writeable = False
    with _lock:
        _held[path] = mine
        while sum(map(_size, _held.values())) > _MEMORY:
            _held.popitem(last=False)
    return dict(mine)


def _read(path: Path) -> dict[str, Array]:
    """Return the arrays of a file: of a large one memory holds what is looked at."""
    with path.open("rb") as file:
        whole = memoryview(mmap.mmap(file.fileno(), 0, access=mmap.ACCESS_READ))
    last = len(whole) - _WORD
    start = last - int.from_bytes(whole[last:], "little")
    places, checked = json.loads(whole[start:last].tobytes())
    if zlib.crc32(whole[:start]) != checked:
        msg = f"{path} is damaged"
        raise ValueError(msg)
    return {
        name: np.frombuffer(whole[at : at + size], kind).reshape(shape)
        for name, (kind, shape, at, size) in places.items()
    }


def _write(file: IO[bytes], arrays: Mapping[str, Array]) -> None:
    """Write arrays, then where each lies with a check, then how long that is."""
    places, checked, at = {}, 0, 0
    for name, each in arrays.items():
        content = np.ascontiguousarray(each).reshape(-1).view(np.uint8).data
        places[name] = (each.dtype.str, each.shape, at, len(content))
        for part in (content, bytes(-len(content) % _PAGE)):
            checked, at = zlib.crc32(part, checked), at + file.write(part)
    told = json.dumps([places, checked]).encode()
    file.write(told + len(told).to_bytes(_WORD, "little"))


def _grown(directory: Path, more: int) -> bool:
    """Return whether so much was written since the last look that another is due.

    Among thousands of files a look takes longer than many a result.
    """
    with _lock:
        _since[directory] = _since.get(directory, _DISK) + more + _BLOCK
        due = _since[directory] > _DISK // _LOOKS
        if due:
            _since[directory] = 0
    return due


def _keep(path: Path, arrays: dict[str, Array], *, look: bool) -> None:
    if _size(arrays) > _DISK // 4:
        return
    path.parent.mkdir(parents=True, exist_ok=True)
    handle, name = tempfile.mkstemp(dir=path.parent, suffix=_PART)
    try:
        with os.fdopen(handle, "wb") as file:
            _write(file, arrays)
        Path(name).replace(path)
    except BaseException:
        Path(name).unlink(missing_ok=True)
        raise
    if look:
        _prune(path.parent)


def _prune(directory: Path) -> None:
    """Take away the files used longest ago until there is room until the next look."""
    for each in directory.glob(f"*{_PART}"):
        if time() - each.stat().st_mtime > _LEFT:
            each.unlink(missing_ok=True)
    states = [(each.stat(), each) for each in directory.glob(f"*{_ENDING}")]
    left = sum(state.st_size for state, _ in states)
    most = _DISK - _DISK // _LOOKS
    for state, each in sorted(states, key=lambda one: one[0].st_mtime_ns):
        if left <= most:
            return
        each.unlink(missing_ok=True)
        left -= state.st_size
