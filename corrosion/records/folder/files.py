"""The files of a ship folder: which are there, and what stands in them."""

import hashlib
import math
import stat
import time
from collections.abc import Iterator, Mapping
from contextlib import suppress
from pathlib import Path
from typing import Final

from corrosion.foundation.errors import Problem, RecordError
from corrosion.foundation.units import HOUR
from corrosion.records.folder.save_journal import staged, unplaced
from corrosion.records.ship import MonitorLog

TABLES: Final = (
    *("zones", "faults", "berths", "gaugings", "circuits", "readings", "works"),
    *("anodes", "potentials"),
)
FILES: Final = ("ship.toml", *(f"{table}.csv" for table in TABLES))
"""In the order in which they are read: the tables' is that of `columns.TABLES`."""

REQUIRED: Final = ("ship.toml", "zones.csv")
HUNTS: Final = "hunts"  # folder of the hunts, a file each
_MOST_HUNTS: Final = 2000
_LOGS: Final = (".csv", ".csv.gz", ".parquet")
_ALIKE: Final = (".csv", ".toml", ".xlsx", ".ods", ".txt")


def folder_digest(folder: str | Path) -> str:
    """Return a digest of everything in a ship folder that an estimate reads.

    Monitor logs, which may be far too long to read again for this, enter with name,
    size and time of change; every other file with name and content.

    Returns
    -------
    str
        SHA-256, in hexadecimal digits.

    Raises
    ------
    RecordError
        If there is no such folder, or a file of it cannot be read.
    """
    problems: list[Problem] = []
    whole = hashlib.sha256()
    for name, data in contents(Path(folder), problems).items():
        whole.update(f"{name}:{len(data)}:".encode())
        whole.update(data)
    for log in monitor_logs(Path(folder), problems):
        try:
            seen = log.path.stat()
        except OSError as error:
            found = f"it cannot be read ({error.strerror or error})"
            expected = "a log that stays where it is; try again"
            problems.append(whole_file(f"monitor/{log.path.name}", found, expected))
            continue
        whole.update(f"{log.path.name}:{seen.st_size}:{seen.st_mtime_ns}:".encode())
    if problems:
        raise RecordError(problems)
    return whole.hexdigest()


def contents(folder: Path, problems: list[Problem]) -> dict[str, bytes]:
    """Return the content of each file of the ship that is there, by its name."""
    left = unplaced(folder)
    names = sorted({*names_in(folder), *left["written"]} - {*left["removed"]})
    for name in REQUIRED:
        if name not in names:
            from corrosion.records.folder.cell_messages import unknown  # noqa: PLC0415 - pydantic is slow

            _, near = unknown("file", name, [one for one in names if one not in FILES])
            if not near.startswith("did"):
                near = "`corrosion new` writes an example"
            problems.append(whole_file(name, "no such file in the folder", near))
    files = {}
    hunts = _hunts(folder, left, problems) if (folder / HUNTS).is_dir() else []
    for name in (*(name for name in FILES if name in names), *hunts):
        try:
            files[name] = content_of(folder, name)
        except OSError as error:
            found = f"it cannot be read ({error.strerror or error})"
            problems.append(whole_file(name, found, "a plain file that may be read"))
    return files


def names_in(folder: Path) -> list[str]:
    """Return the names of all that lies in a folder.

    Raises RecordError if it cannot be read.
    """
    try:
        return sorted(entry.name for entry in folder.iterdir())
    except (OSError, ValueError) as error:
        reason = error.strerror if isinstance(error, OSError) else str(error)
        found = f"no folder that can be read ({reason or error})"
        expected = "the folder that holds ship.toml; `corrosion new` writes an example"
        raise RecordError([whole_file(str(folder), found, expected)]) from None


def _read_plain(path: Path) -> bytes:
    """Return the content of a plain file; a pipe or device is not opened at all.

    Raises OSError if there is no such file, or it is none that can be read.
    """
    mode = path.stat().st_mode
    if not stat.S_ISREG(mode):
        raise OSError(None, "a folder" if stat.S_ISDIR(mode) else "not a plain file")
    return path.read_bytes()


def content_of(folder: Path, name: str) -> bytes:
    """Return the content of a file of a ship, wherever a save has it lying.

    Raises OSError if there is no such file, or it is none that can be read.
    """
    beside = staged(folder, name)
    if beside is not None:
        with suppress(FileNotFoundError):  # it has taken its place meanwhile
            return _read_plain(beside)
    return _read_plain(folder / name)


def _hunts(
    folder: Path, left: Mapping[str, list[str]], problems: list[Problem]
) -> list[str]:
    """Return the names of the hunts."""
    there = {f"{HUNTS}/{name}" for name in names_in(folder / HUNTS)}
    there = {*there, *left["written"]} - {*left["removed"]}
    names = [n for n in there if n.startswith(f"{HUNTS}/") and n.endswith(".csv")]
    if len(names) > _MOST_HUNTS:
        found = f"{len(names)} files"
        expected = f"at most {_MOST_HUNTS} hunts: put old ones into another folder"
        problems.append(whole_file(HUNTS, found, expected))
    return sorted(names)[:_MOST_HUNTS]


def monitor_logs(folder: Path, problems: list[Problem]) -> tuple[MonitorLog, ...]:
    """Return the hull-current logs that are there; they are not opened."""
    place = folder / "monitor"
    try:
        if not place.is_dir():
            return ()
        found = sorted(path for path in place.iterdir() if path.name.endswith(_LOGS))
        return tuple(MonitorLog(path=path) for path in found if path.is_file())
    except OSError as error:
        words = f"it cannot be read ({error.strerror or error})"
        problems.append(whole_file("monitor", words, "a folder that may be read"))
        return ()


def strangers(folder: Path) -> Iterator[Problem]:
    """Yield each file beside ours that may have been meant to be read."""
    from corrosion.records.folder.cell_messages import unknown  # noqa: PLC0415 - pydantic is slow

    for name in names_in(folder):
        if name not in FILES and name.lower().endswith(_ALIKE):
            found, near = unknown("file of a ship folder:", name, FILES)
            yield whole_file(name, f"{found}, so it is not read", near)


def this_hour() -> float:
    """Return when the present hour ends: what is later lies ahead [s]."""
    return float(math.ceil(time.time() / HOUR) * HOUR)


def whole_file(file: str, found: str, expected: str) -> Problem:
    """Return a problem of a file as a whole."""
    return Problem(file, None, "", found, expected)
