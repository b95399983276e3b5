"""Writing a report: all of a file or nothing, and a CSV of each of its tables."""

from pathlib import Path

from corrosion.foundation.errors import InputError
from corrosion.presentation.csv_export import csv_bytes
from corrosion.presentation.report.contents import Contents
from corrosion.presentation.report.page import report_html
from corrosion.presentation.report.tables import tables
from corrosion.records.folder.atomic_write import replace_file

__all__ = ["csv_files", "writable", "write_csv", "write_html"]


def csv_files(contents: Contents) -> dict[str, bytes]:
    """Return every table of a report as CSV that spreadsheets open, by file name.

    Parameters
    ----------
    contents : Contents
        From :func:`corrosion.presentation.report.gather`.

    Returns
    -------
    dict of str to bytes
        UTF-8 with its mark, commas, one line of heads with units; no cell of text
        starts a formula.
    """
    return {
        f"{name}.csv": csv_bytes(table.full) for name, table in tables(contents).items()
    }


def writable(file: Path) -> Path:
    """Return the path of a file to be written, once it is plain that it can be.

    Raises
    ------
    InputError
        If its folder is missing, or something other than a file stands there.
    """
    if not file.parent.is_dir():
        msg = f"cannot write {file}: there is no folder {file.parent}. Make it first."
        raise InputError(msg)
    if file.exists() and not file.is_file():
        msg = f"cannot write {file}: it is not a plain file. Choose another name."
        raise InputError(msg)
    return file


def write_html(contents: Contents, file: Path) -> int:
    """Write a report as one HTML file and return its size in bytes.

    Raises
    ------
    InputError
        If it cannot be written; what stood there stands unchanged.
    """
    return _put(file, report_html(contents).encode())


def write_csv(contents: Contents, folder: Path) -> list[str]:
    """Write a CSV of every table into a folder and return the file names.

    Raises
    ------
    InputError
        If one cannot be written.
    """
    try:
        folder.mkdir(parents=True, exist_ok=True)
    except OSError as error:
        msg = f"cannot make the folder {folder}: {error.strerror}. Choose another."
        raise InputError(msg) from None
    files = csv_files(contents)
    for name, data in files.items():
        _put(folder / name, data)
    return list(files)


def _put(file: Path, data: bytes) -> int:
    try:
        replace_file(writable(file), data)
    except OSError as error:
        msg = f"cannot write {file}: {error.strerror}. Choose another place."
        raise InputError(msg) from None
    return len(data)
