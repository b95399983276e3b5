"""A ship folder that arrives as a zip file: looked at before anything is written."""

import io
import stat
import zipfile
import zlib
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from pathlib import Path, PurePosixPath
from typing import Final

from corrosion.foundation.errors import Problem, RecordError
from corrosion.records.folder.atomic_write import SaveError
from corrosion.records.folder.columns import TABLES

MOST_FILES: Final = 200
MOST_BYTES: Final = 200_000_000
"""Unpacked, all files together. [byte]"""

_TEXTS: Final = frozenset({"ship.toml", *(f"{table}.csv" for table in TABLES)})
_LOGS: Final = (".csv", ".csv.gz", ".parquet")
_IGNORED: Final = frozenset(
    {"__MACOSX", ".DS_Store", "Thumbs.db", ".lock", "history", "kept"}
)  # a computer's or our own by-products, no records
_ZIP_IT: Final = "a ship folder, zipped; zip it again and upload that"
_DAMAGE: Final = (
    zipfile.BadZipFile,
    zlib.error,
    NotImplementedError,
    EOFError,
    OSError,
)
_ENCRYPTED: Final = 0x1
_TEXT_LIMIT: Final = 20_000_000  # one table; rows are hundreds, not millions [byte]
_LONGEST_NAME: Final = 120  # every disk takes it [byte]


@dataclass(frozen=True, slots=True, kw_only=True)
class Parcel:
    """What a zip file held: a name for the folder, and its files."""

    name: str  # of the folder
    files: Mapping[str, bytes]  # by path within the folder, with ``/``


def unpacked(data: bytes, file_name: str) -> Parcel:
    """Return the ship folder in a zip file; nothing is written.

    ``data``: the zip file. ``file_name``: as the user's computer calls it. Returns only
    files of a ship folder, small enough, in UTF-8. Raises RecordError if it is not such
    a file: every reason, with what to do.
    """
    try:
        with zipfile.ZipFile(io.BytesIO(data)) as archive:
            return _opened(archive, file_name)
    except RecordError:
        raise
    except (*_DAMAGE, ValueError) as error:
        found = f"no zip file that can be read ({error})"
        raise RecordError([_problem(file_name, found, _ZIP_IT)]) from None


def _opened(archive: zipfile.ZipFile, file_name: str) -> Parcel:
    entries = [
        entry
        for entry in archive.infolist()
        if not entry.is_dir()
        and not _IGNORED.intersection(PurePosixPath(entry.filename).parts)
    ]
    # Size and kind of every entry are looked at before a byte is unpacked: the
    # headers are enough to refuse a bomb, a link or a path that leads out.
    problems = _size_problems(entries, file_name)
    for entry in entries[:MOST_FILES]:
        problems += _entry_problems(entry)
    if problems:
        raise RecordError(problems)
    top = _top([entry.filename for entry in entries])
    names = {entry: entry.filename[len(top) :] for entry in entries}
    problems += _name_problems(list(names.values()))
    if not problems:
        files = {name: _content(archive, entry) for entry, name in names.items()}
        problems += sorted(_text_problems(files), key=lambda one: one.file)
    if problems:
        raise RecordError(problems)
    stem = top.strip("/") or Path(file_name).stem
    return Parcel(name=_plain_name(stem), files=files)


def _size_problems(entries: Sequence[zipfile.ZipInfo], name: str) -> list[Problem]:
    total = sum(entry.file_size for entry in entries)
    least = (
        f"at most {MOST_BYTES / 1e6:.0f} MB; leave out old hull-current logs, or "
        "put the folder on this computer and start the dashboard on it"
    )
    wrong = (
        (
            len(entries) > MOST_FILES,
            f"{len(entries)} files",
            f"at most {MOST_FILES} files",
        ),
        (total > MOST_BYTES, f"{total / 1e6:.0f} MB when unpacked", least),
        (not entries, "an empty zip file", _ZIP_IT),
    )
    return [_problem(name, found, expected) for bad, found, expected in wrong if bad]


def _entry_problems(entry: zipfile.ZipInfo) -> list[Problem]:
    """Return why one entry would be dangerous to unpack."""
    name = entry.filename
    path = PurePosixPath(name)
    mode = entry.external_attr >> 16
    if stat.S_ISLNK(mode) or (stat.S_IFMT(mode) and not stat.S_ISREG(mode)):
        return [_problem(name, "a link or device", "plain files; copy the file in")]
    if path.is_absolute() or "\\" in name or ":" in name or ".." in path.parts:
        return [_problem(name, "a path that leads out of the folder", _ZIP_IT)]
    if any(len(part.encode()) > _LONGEST_NAME for part in path.parts):
        shown = f"{name[:40]}…"
        expected = f"names of at most {_LONGEST_NAME} letters; rename it, zip it again"
        return [_problem(shown, "a name too long to be kept", expected)]
    if entry.flag_bits & _ENCRYPTED:
        return [_problem(name, "a password", "a zip file without one")]
    if path.name in _TEXTS and entry.file_size > _TEXT_LIMIT:
        found = f"{entry.file_size / 1e6:.0f} MB"
        return [_problem(name, found, f"a table of at most {_TEXT_LIMIT / 1e6:.0f} MB")]
    return []


def _top(names: Sequence[str]) -> str:
    """Return the one folder that holds everything, with its slash; or nothing."""
    first = {PurePosixPath(name).parts[0] for name in names}
    inside = all("/" in name for name in names)
    return f"{first.pop()}/" if len(first) == 1 and inside else ""


def _name_problems(names: Sequence[str]) -> list[Problem]:
    problems = []
    for name in names:
        folder, _, log = name.rpartition("/")
        known = name in _TEXTS or (folder == "monitor" and log.endswith(_LOGS))
        if not known:
            expected = f"only {', '.join(sorted(_TEXTS))} and logs in monitor/"
            problems.append(_problem(name, "not a file of a ship folder", expected))
        elif names.count(name) > 1:
            problems.append(_problem(name, "is there twice", "one file of that name"))
    if "ship.toml" not in names and not problems:
        problems.append(_problem("ship.toml", "not in the zip file", _ZIP_IT))
    return list(dict.fromkeys(problems))


def _content(archive: zipfile.ZipFile, entry: zipfile.ZipInfo) -> bytes:
    with archive.open(entry) as file:
        return file.read(entry.file_size)  # never more than it says


def _text_problems(files: Mapping[str, bytes]) -> Iterator[Problem]:
    for name in _TEXTS.intersection(files):
        try:
            files[name].decode("utf-8-sig")
        except UnicodeDecodeError:
            again = "UTF-8; save it again as CSV UTF-8"
            yield _problem(name, "not UTF-8 text", again)


def _plain_name(stem: str) -> str:
    kept = "".join(c if c.isalnum() or c in "-_ " else "-" for c in stem).strip()
    return kept[:40] or "uploaded"


def _problem(file: str, found: str, expected: str) -> Problem:
    return Problem(file, None, "", found, expected)


def place(parcel: Parcel, within: Path) -> Path:
    """Write a parcel's files into a new folder and return the folder.

    Raises SaveError if they cannot be written.
    """
    folder = within / parcel.name
    try:
        for name, data in parcel.files.items():
            target = folder / name
            target.parent.mkdir(parents=True, exist_ok=True)
            target.write_bytes(data)
    except OSError as error:
        msg = (
            f"{parcel.name} was not taken in: {error.strerror or error}. Nothing of "
            "it is used; tell whoever keeps this computer, then try again."
        )
        raise SaveError(msg) from None
    return folder


def packed(folder: Path) -> bytes:
    """Return a ship folder as a zip file that :func:`unpacked` takes.

    Raises RecordError if a file of it cannot be read.
    """
    whole = io.BytesIO()
    with zipfile.ZipFile(whole, "w", zipfile.ZIP_DEFLATED) as archive:
        for path in sorted(folder.rglob("*")):
            name = path.relative_to(folder).as_posix()
            log = name.startswith("monitor/") and name.endswith(_LOGS)
            if (name in _TEXTS or log) and path.is_file():
                try:
                    archive.write(path, f"{folder.name}/{name}")
                except (OSError, ValueError) as error:
                    found = f"it cannot be read ({error})"
                    expected = "a plain file that may be read"
                    raise RecordError([_problem(name, found, expected)]) from None
    return whole.getvalue()
