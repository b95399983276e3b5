"""Files that people ask for: written whole or not at all, CSV without formulas."""

import errno
import signal
import sys
from collections.abc import Iterable, Iterator
from contextlib import contextmanager
from pathlib import Path
from typing import TYPE_CHECKING, Any, Final

from corrosion.foundation.errors import InputError
from corrosion.presentation.tables.table import Table
from corrosion.records.folder.atomic_write import SaveError, replace_file

if TYPE_CHECKING:
    import pandas as pd


def writable(file: Path) -> Path:
    """Return the path of a file to be written, once it is plain that it can be.

    Raises InputError if its folder is missing, or a folder stands there.
    """
    if not file.parent.is_dir():
        msg = f"cannot write {file}: there is no folder {file.parent}. Make it first."
        raise InputError(msg)
    if file.is_dir():
        msg = f"cannot write {file}: it is a folder. Choose another name."
        raise InputError(msg)
    return file


def write_whole(target: str | Path, data: bytes) -> int:
    """Write a file, or standard output where the target is ``-``.

    Raises InputError if it cannot be written; what stood there stands unchanged. Raises
    SaveError if the disk is full, which is no wrong use; likewise.
    """
    if str(target) == "-":
        binary = getattr(sys.stdout, "buffer", None)
        if binary is None:  # somebody captures text
            sys.stdout.write(data.decode())
        else:
            binary.write(data)
        return len(data)
    file = writable(Path(target))
    try:
        with _uninterrupted():
            # A file is written beside the old one and renamed, so that whoever reads
            # meanwhile has one of them whole. A pipe cannot be replaced so.
            if file.exists() and not file.is_file():  # a pipe or device
                file.write_bytes(data)
            else:
                replace_file(file, data)
    except OSError as error:
        msg = f"cannot write {file}: {error.strerror}. Choose another place."
        full = error.errno in (errno.ENOSPC, errno.EDQUOT)
        raise (SaveError(msg) if full else InputError(msg)) from None
    return len(data)


@contextmanager
def _uninterrupted() -> Iterator[None]:
    """Let Ctrl-C wait until a file stands whole, where the system can."""
    mask = getattr(signal, "pthread_sigmask", None)
    before = mask(signal.SIG_BLOCK, {signal.SIGINT}) if mask else None
    try:
        yield
    finally:
        if mask:
            mask(signal.SIG_SETMASK, before)


def write_csv(tables: Iterable[Table], folder: Path) -> list[str]:
    """Write a CSV of every table into a folder and return the file names.

    Raises InputError if one cannot be written.
    """
    try:
        folder.mkdir(parents=True, exist_ok=True)
    except OSError as error:
        msg = f"cannot make the folder {folder}: {error.strerror}. Choose another."
        raise InputError(msg) from None
    named = {f"{table.name}.csv": csv_bytes(table.spreadsheet()) for table in tables}
    for name, data in named.items():
        write_whole(folder / name, data)
    return list(named)


_FORMULA: Final = ("=", "+", "-", "@", "＝", "＋", "－", "＠", "\t", "\r", "\n")


def escape_formula(cell: Any) -> Any:
    """Return text that would start a formula behind an apostrophe; numbers as they are.

    Examples
    --------
    >>> [escape_formula(cell) for cell in ("=1+1", " @now", -5.0, "paint")]
    ["'=1+1", "' @now", -5.0, 'paint']
    """
    if isinstance(cell, str) and cell.lstrip(" \u00a0").startswith(_FORMULA):
        return f"'{cell}"
    return cell


def csv_bytes(table: "pd.DataFrame") -> bytes:
    """Return a table as CSV that spreadsheets open.

    ``table``: any table; its index is left out. Returns UTF-8 with its mark, commas,
    one line of heads; no cell of text starts a formula.
    """
    safe = table.rename(columns=escape_formula).map(escape_formula)
    return safe.to_csv(index=False, lineterminator="\r\n").encode("utf-8-sig")
