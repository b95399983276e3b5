"""Putting a whole file in the place of another: all of it or nothing."""

import errno
import os
import shutil
import time
from collections.abc import Iterator, Mapping
from contextlib import contextmanager, suppress
from pathlib import Path
from typing import Final

from corrosion.foundation.errors import CorrosionError

PATIENCE: Final = 20.0  # s, for the other people who are saving
_TURN: Final = 0.01  # s between two looks at a lock that others hold
_REASONS: Final[Mapping[int, str]] = {
    errno.ENOENT: "there is no such folder. Make it",
    errno.ENOSPC: "the disk is full. Make room",
    errno.EDQUOT: "your share of the disk is full. Make room",
    errno.EACCES: "the folder is read-only for you. Ask for the right to write",
    errno.EPERM: "the folder is read-only for you. Ask for the right to write",
    errno.EROFS: "the disk is read-only. Copy the folder to one that can be written",
}


class SaveError(CorrosionError):
    """The file could not be written; what stood there stands unchanged."""


@contextmanager
def locked(path: Path, patience: float = PATIENCE) -> Iterator[None]:
    """Hold the lock of the folder in which a file lies; wait for it so long [s].

    Raises SaveError if the folder cannot be written, or is locked all the while;
    also for whatever the system says while the lock is held.
    """
    from filelock import FileLock, Timeout  # noqa: PLC0415 - only for writing

    lock = FileLock(path.parent / ".lock", timeout=patience, poll_interval=_TURN)
    try:
        path.parent.stat()  # the lock would make a folder that is not there
        with lock:
            yield
        time.sleep(2.0 * _TURN)  # whoever waits comes first: nobody is locked out
    except Timeout:
        msg = f"{path.name} was not saved: someone else is saving. Try again."
        raise SaveError(msg) from None
    except OSError as error:
        reason = _REASONS.get(error.errno or 0) or f"{error.strerror or error}"
        msg = (
            f"{path.name} was not saved: {reason}, then save again. The old one stands."
        )
        raise SaveError(msg) from None


def staged_beside(target: Path) -> Path:
    """Return where the new content of a file lies until it takes its place."""
    return target.with_name(f".{target.name}.saving")


def write_staged(target: Path, data: bytes) -> Path:
    """Write the new content of a file beside it, safe on disk, and say where."""
    staged = staged_beside(target)  # what a crash leaves is overwritten
    with staged.open("wb") as file:
        file.write(data)
        file.flush()
        os.fsync(file.fileno())
    if target.exists():
        shutil.copymode(target, staged)
    return staged


def replace_file(path: Path, data: bytes) -> None:
    """Put a whole file in its place in one step, safe on disk before and after."""
    target = Path(os.path.realpath(path))
    try:
        write_staged(target, data).replace(target)
    except BaseException:  # an interrupt leaves no half file either
        staged_beside(target).unlink(missing_ok=True)
        raise
    with suppress(OSError):  # the new file is there; not every disk flushes a folder
        flush_folder(target.parent)


def flush_folder(folder: Path) -> None:
    """Make what a folder names safe on disk, where the system can."""
    if hasattr(os, "O_DIRECTORY"):
        handle = os.open(folder, os.O_RDONLY | os.O_DIRECTORY)
        try:
            os.fsync(handle)
        finally:
            os.close(handle)
