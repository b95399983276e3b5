"""Reading a ship folder: every problem of every file in one pass, or a ship.

Nothing in the folder is ever changed by reading.
"""

import hashlib
import stat
import time
from collections.abc import Iterator, Mapping
from pathlib import Path
from typing import Final

from corrosion.foundation.errors import Problem, RecordError
from corrosion.records.folder.cell_messages import unknown
from corrosion.records.folder.columns import (
    TABLES,
    BerthRow,
    CircuitRow,
    FaultRow,
    GaugingRow,
    ZoneRow,
)
from corrosion.records.folder.csv_file import read_sheet
from corrosion.records.folder.date_order import disorder
from corrosion.records.folder.errors_across import contradictions
from corrosion.records.folder.row import R
from corrosion.records.folder.ship_toml import read_ship_file
from corrosion.records.folder.warnings import doubts
from corrosion.records.folder.written import Tables
from corrosion.records.ship import Berth, MonitorLog, Ship

__all__ = ["folder_digest", "read_candidate", "read_plain", "read_ship"]

_FILES: Final = ("ship.toml", *(f"{table}.csv" for table in TABLES))
_REQUIRED: Final = ("ship.toml", "zones.csv")
_LOGS: Final = (".csv", ".csv.gz", ".parquet")
_ALIKE: Final = (".csv", ".toml", ".xlsx", ".ods", ".txt")
_AFLOAT: Final = Berth(start=None, end=None, berth="afloat", supply="own")


def read_ship(path: str | Path) -> Ship:
    """Read and check a ship folder.

    Parameters
    ----------
    path : str or Path
        The folder that holds ship.toml.

    Returns
    -------
    Ship
        In SI units, with its doubts.

    Raises
    ------
    RecordError
        If there are problems: every one of every file, with file, line and column.
    """
    return read_candidate(Path(path), {})


def read_candidate(folder: Path, changed: Mapping[str, bytes]) -> Ship:
    """Read and check a ship folder as it would be with some files changed.

    Parameters
    ----------
    folder : Path
        The folder that holds ship.toml.
    changed : mapping of str to bytes
        Content that stands in for the files of those names.

    Returns
    -------
    Ship
        In SI units, with its doubts.

    Raises
    ------
    RecordError
        If there are problems: every one of every file, with file, line and column.
    """
    problems: list[Problem] = []
    files = {**_contents(folder, problems), **changed}
    logs = _logs(folder, problems)
    tables = _tables(files, problems)
    problems.extend(contradictions(tables))
    problems.extend(disorder(tables))
    if problems:
        raise RecordError(_sorted(problems))
    doubtful = [*doubts(tables, time.time()), *_strangers(folder)]
    return _ship(tables, folder, logs, tuple(_sorted(doubtful)))


def folder_digest(folder: str | Path) -> str:
    """Return a digest of everything in a ship folder that an estimate reads.

    Monitor logs, which may be far too long to read again for this, enter with name,
    size and time of change; every other file with name and content.

    Parameters
    ----------
    folder : str or Path
        The folder that holds ship.toml.

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
    for name, data in _contents(Path(folder), problems).items():
        whole.update(f"{name}:{len(data)}:".encode())
        whole.update(data)
    for log in _logs(Path(folder), problems):
        try:
            seen = log.path.stat()
        except OSError as error:
            found = f"it cannot be read ({error.strerror or error})"
            expected = "a log that stays where it is; try again"
            problems.append(_whole(f"monitor/{log.path.name}", found, expected))
            continue
        whole.update(f"{log.path.name}:{seen.st_size}:{seen.st_mtime_ns}:".encode())
    if problems:
        raise RecordError(problems)
    return whole.hexdigest()


def _contents(folder: Path, problems: list[Problem]) -> dict[str, bytes]:
    """Return the content of each file of the ship that is there."""
    names = _names(folder)
    files = {}
    for name in _FILES:
        if name in names:
            try:
                files[name] = read_plain(folder / name)
            except OSError as error:
                found = f"it cannot be read ({error.strerror or error})"
                problems.append(_whole(name, found, "a plain file that may be read"))
        elif name in _REQUIRED:
            _, near = unknown("file", name, [one for one in names if one not in _FILES])
            hint = (
                near if near.startswith("did") else "`corrosion new` writes an example"
            )
            problems.append(_whole(name, "no such file in the folder", hint))
    return files


def _names(folder: Path) -> list[str]:
    try:
        return sorted(entry.name for entry in folder.iterdir())
    except (OSError, ValueError) as error:
        reason = error.strerror if isinstance(error, OSError) else str(error)
        found = f"no folder that can be read ({reason or error})"
        expected = "the folder that holds ship.toml; `corrosion new` writes an example"
        raise RecordError([_whole(str(folder), found, expected)]) from None


def read_plain(path: Path) -> bytes:
    """Return the content of a plain file; a pipe or device is not opened at all.

    Raises
    ------
    OSError
        If there is no such file, or it is none that can be read.
    """
    mode = path.stat().st_mode
    if not stat.S_ISREG(mode):
        raise OSError(None, "a folder" if stat.S_ISDIR(mode) else "not a plain file")
    return path.read_bytes()


def _logs(folder: Path, problems: list[Problem]) -> tuple[MonitorLog, ...]:
    place = folder / "monitor"
    try:
        if not place.is_dir():
            return ()
        found = sorted(path for path in place.iterdir() if path.name.endswith(_LOGS))
        return tuple(MonitorLog(path=path) for path in found if path.is_file())
    except OSError as error:
        words = f"it cannot be read ({error.strerror or error})"
        problems.append(_whole("monitor", words, "a folder that may be read"))
        return ()


def _strangers(folder: Path) -> Iterator[Problem]:
    """Yield each file beside ours that may have been meant to be read."""
    for name in _names(folder):
        if name not in _FILES and name.lower().endswith(_ALIKE):
            found, near = unknown("file of a ship folder:", name, _FILES)
            yield _whole(name, f"{found}, so it is not read", near)


def _whole(file: str, found: str, expected: str) -> Problem:
    return Problem(file=file, line=None, column="", found=found, expected=expected)


def _tables(files: Mapping[str, bytes], problems: list[Problem]) -> Tables:
    def rows(model: type[R], file: str) -> tuple[R, ...] | None:
        if file not in files:
            return None if file in _REQUIRED else ()
        return read_sheet(model, file, files[file], problems)

    return Tables(
        file=read_ship_file(files.get("ship.toml"), problems),
        zones=rows(ZoneRow, "zones.csv"),
        faults=rows(FaultRow, "faults.csv") or (),
        berths=rows(BerthRow, "berths.csv") or (),
        gaugings=rows(GaugingRow, "gaugings.csv") or (),
        circuits=rows(CircuitRow, "circuits.csv") or (),
    )


def _sorted(problems: list[Problem]) -> list[Problem]:
    """Return problems in the order of files and lines, each once."""
    place = {name: number for number, name in enumerate(_FILES)}
    unique = dict.fromkeys(problems)
    return sorted(unique, key=lambda row: (place.get(row.file, -1), row.line or 0))


def _ship(
    tables: Tables,
    folder: Path,
    logs: tuple[MonitorLog, ...],
    doubtful: tuple[Problem, ...],
) -> Ship:
    systems = {name: row.record() for name, row in tables.systems.items()}
    faults = (row.record(systems.get(row.system or "")) for row in tables.faults)
    ship = tables.file.ship
    return Ship(
        name=ship.name,
        folder=folder,
        form=ship.form(),
        water=tables.file.water.record(),
        built=ship.built,
        last_docking=ship.last_docking,
        next_docking=ship.next_docking,
        systems=tuple(systems.values()),
        zones=tuple(row.record() for row in tables.zones or ()),
        faults=tuple(faults),
        berths=tuple(row.record() for row in tables.berths) or (_AFLOAT,),
        gaugings=tuple(row.record() for row in tables.gaugings),
        circuits=tuple(row.record() for row in tables.circuits),
        logs=logs,
        prices=tables.file.prices,
        assumptions=tables.file.assumptions,
        doubts=doubtful,
    )
