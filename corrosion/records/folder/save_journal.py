"""Several files of a ship folder saved in one step: all of them or none.

The new contents are written beside the files and flushed to disk; then a journal names
them, and from that instant the save is done. The files take their places one by one,
and the journal goes last. Whoever reads in between, or after a crash, reads the new
contents where they lie; the next save puts in place what a crash left, or removes what
was never named.
"""

import json
import os
from collections.abc import Mapping
from contextlib import suppress
from pathlib import Path
from typing import Any, Final

from corrosion.foundation.errors import CorrosionError
from corrosion.records.folder.atomic_write import (
    flush_folder,
    replace_file,
    staged_beside,
    write_staged,
)

_JOURNAL: Final = ".saving"
_PLACES: Final = ("", "kept", "hunts")


def replace_files(folder: Path, contents: Mapping[str, bytes | None]) -> None:
    """Write some files of a folder and remove others, all of them or none.

    ``folder``: the ship folder, whose lock is held. ``contents``: new content by file
    name relative to the folder; None: the file goes.

    Raises OSError if the disk refuses before the save was done; nothing is changed.
    Raises CorrosionError if it refuses after: the save is done, and the next one puts
    it in place.
    """
    finish_saves(folder)
    written = [name for name, data in contents.items() if data is not None]
    removed = [name for name in contents if name not in written]
    journal = folder / _JOURNAL
    try:
        # All new content lies beside its file before the journal names any of it. From
        # the one rename of the journal on the save is done: what a crash leaves then is
        # put in place by the next, and what it leaves before is swept away.
        for name in written:
            (folder / name).parent.mkdir(exist_ok=True)
            write_staged(_target(folder, name), contents[name] or b"")
        replace_file(
            journal, json.dumps({"written": written, "removed": removed}).encode()
        )
    except BaseException:  # an interrupt leaves no half save either
        journal.unlink(missing_ok=True)
        for name in written:
            staged_beside(_target(folder, name)).unlink(missing_ok=True)
        raise
    try:
        _put_in_place(folder, written, removed)
    except OSError as error:
        msg = (
            f"{folder.name}: saved, but not yet in place ({error.strerror or error}). "
            "The next save puts it there; nothing is lost."
        )
        raise CorrosionError(msg) from None


def finish_saves(folder: Path) -> None:
    """Put in place what a crash left of a save, and remove what was never named."""
    found = _journal(folder)
    if found is not None:
        _put_in_place(folder, found["written"], found["removed"])
    (folder / _JOURNAL).unlink(missing_ok=True)
    for place in _PLACES:
        # No journal names these: a crash came before the save was done.
        for left in (folder / place).glob(".*.saving"):
            left.unlink(missing_ok=True)


def unplaced(folder: Path) -> Mapping[str, list[str]]:
    """Return the files that a save has written or removed and not put in place yet."""
    return _journal(folder) or {"written": [], "removed": []}


def staged(folder: Path, name: str) -> Path | None:
    """Return where the content of a file lies that has not taken its place yet."""
    beside = staged_beside(_target(folder, name))
    return beside if name in unplaced(folder)["written"] and beside.exists() else None


def _target(folder: Path, name: str) -> Path:
    return Path(os.path.realpath(folder / name))


def _journal(folder: Path) -> dict[str, list[str]] | None:
    """Return what the journal names; None: there is none, or it is none of ours."""
    try:
        found: Any = json.loads((folder / _JOURNAL).read_bytes())
        return {key: [str(name) for name in found[key]] for key in _KEYS}
    except (OSError, ValueError, KeyError, TypeError):
        return None


_KEYS: Final = ("written", "removed")


def _put_in_place(folder: Path, written: list[str], removed: list[str]) -> None:
    for name in written:
        target = _target(folder, name)
        with suppress(FileNotFoundError):  # it is in place already
            staged_beside(target).replace(target)
    for name in removed:
        (folder / name).unlink(missing_ok=True)
    for place in {(folder / name).parent for name in (*written, *removed)}:
        with suppress(OSError):  # not every disk flushes a folder
            flush_folder(place)
    (folder / _JOURNAL).unlink(missing_ok=True)
