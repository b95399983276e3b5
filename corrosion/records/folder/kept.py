"""What a save replaced, kept as a difference, so that each save can be undone.

Every save leaves one small file in ``kept/``: which file, when, by how much, and the
bytes that stood where the new ones stand. The latest are kept, up to a number and a
size; whole versions that an earlier edition left in ``history/`` are still read.
"""

import hashlib
import json
from collections.abc import Iterator, Mapping, Sequence
from contextlib import suppress
from dataclasses import dataclass
from datetime import UTC, datetime, timedelta
from pathlib import Path
from typing import Any, Final

from corrosion.foundation.errors import InputError
from corrosion.records.folder.atomic_write import locked
from corrosion.records.folder.candidate import read_candidate
from corrosion.records.folder.files import content_of
from corrosion.records.folder.save_journal import finish_saves, replace_files, unplaced

_PLACE: Final = "kept"
_MOST: Final = 200
_MOST_BYTES: Final = 20 << 20


@dataclass(frozen=True, slots=True, kw_only=True)
class Kept:
    """What one save replaced in one file."""

    path: Path  # where it is kept
    file: str  # file of the ship folder
    time: datetime  # when it was saved, in UTC
    batch: str  # the same for all files of one save
    # old, new: SHA-256 before and after; of nothing where there was no file
    old: str
    new: str
    # start, stop: the bytes of the new content that the save wrote
    start: int
    stop: int
    replaced: bytes  # what stood in their place

    def before(self, data: bytes) -> bytes:
        """Return the content before the save from the content after it."""
        return data[: self.start] + self.replaced + data[self.stop :]


def digest_of(data: bytes) -> str:
    """Return the SHA-256 of some content, in hexadecimal digits."""
    return hashlib.sha256(data).hexdigest()


def _shared(one: bytes, other: bytes) -> int:
    """Return how many bytes two contents have alike at their beginning."""
    low, high = 0, min(len(one), len(other))
    while low < high:
        middle = (low + high + 1) // 2
        if one[low:middle] == other[low:middle]:
            low = middle
        else:
            high = middle - 1
    return low


def differences(
    folder: Path, changes: Mapping[str, tuple[bytes, bytes]]
) -> dict[str, bytes]:
    """Return what to keep of what a save replaces, by its file in the ship folder.

    For each file its old and new content are given.
    """
    place = folder / _PLACE
    moment = datetime.now(tz=UTC)
    made: dict[str, bytes] = {}
    first = ""
    for file, (old, new) in changes.items():
        while (
            path := place / f"{moment:%Y-%m-%dT%H%M%S.%f}.json"
        ).exists() or f"{_PLACE}/{path.name}" in made:
            moment += timedelta(microseconds=1)  # a clock may have gone back
        first = first or path.stem
        start = _shared(old, new)
        tail = _shared(old[start:][::-1], new[start:][::-1])
        record = {
            "file": file,
            "batch": first,
            "old": digest_of(old),
            "new": digest_of(new),
            "start": start,
            "stop": len(new) - tail,
            "replaced": old[start : len(old) - tail].decode("latin-1"),
        }
        made[f"{_PLACE}/{path.name}"] = json.dumps(record).encode()
    return made


def bound_kept(folder: Path) -> None:
    """Remove the oldest differences beyond the number and size that are kept."""
    size = 0
    kept = sorted((folder / _PLACE).glob("*.json"), reverse=True)
    for number, path in enumerate(kept):
        size += path.stat().st_size
        if number and (number >= _MOST or size > _MOST_BYTES):
            with suppress(OSError):
                path.unlink()


def _read(folder: Path) -> Iterator[Kept]:
    """Yield what is kept, the latest first; what is damaged is passed over."""
    left = unplaced(folder)
    names = {path.name for path in (folder / _PLACE).glob("*.json")}
    names |= {Path(name).name for name in left["written"] if name.startswith(_PLACE)}
    names -= {Path(name).name for name in left["removed"] if name.startswith(_PLACE)}
    for path in sorted((folder / _PLACE / name for name in names), reverse=True):
        try:
            found: Any = json.loads(content_of(folder, f"{_PLACE}/{path.name}"))
            yield Kept(
                path=path,
                time=datetime.strptime(path.stem, "%Y-%m-%dT%H%M%S.%f").replace(
                    tzinfo=UTC
                ),
                file=str(found["file"]),
                batch=str(found["batch"]),
                old=str(found["old"]),
                new=str(found["new"]),
                start=int(found["start"]),
                stop=int(found["stop"]),
                replaced=str(found["replaced"]).encode("latin-1"),
            )
        except (OSError, ValueError, KeyError, TypeError):
            continue


def versions(folder: Path, file: str, now: bytes) -> Iterator[bytes]:
    """Yield the contents that a file had, the latest first, as far as they are kept."""
    data, left = now, [one for one in _read(folder) if one.file == file]
    # by content and not by name: a clock that was set back puts the names out of order
    while (
        kept := next((k for k in left if k.new == digest_of(data)), None)
    ) is not None:
        left.remove(kept)
        data = kept.before(data)
        yield data
    for path in sorted((folder / "history").glob(f"*-{file}"), reverse=True):
        yield path.read_bytes()


def last_save(folder: str | Path) -> tuple[Kept, ...]:
    """Return what the last save replaced, a file each; empty: nothing is kept."""
    kept = list(_read(Path(folder)))
    return tuple(one for one in kept if one.batch == kept[0].batch) if kept else ()


def undo(folder: str | Path) -> tuple[Kept, ...]:
    """Take the last save back; once more takes back the one before it.

    Returns
    -------
    tuple of Kept
        What was taken back, a file each.

    Raises
    ------
    InputError
        If nothing is kept, or a file was changed since by other hands.
    RecordError
        If the folder as it was before would have problems now. Nothing is changed.
    SaveError
        If the folder cannot be written.
    """
    home = Path(folder)
    with locked(home / "ship.toml"):
        finish_saves(home)
        saves = last_save(home)
        if not saves:
            msg = f"{home}: there is no save to undo."
            raise InputError(msg)
        contents = {kept.file: _content(home, kept.file) for kept in saves}
        _refuse_changed(saves, contents)
        earlier = {
            kept.file: kept.before(contents[kept.file]) or None for kept in saves
        }
        read_candidate(home, earlier)
        gone = {f"{_PLACE}/{kept.path.name}": None for kept in saves}
        replace_files(home, {**earlier, **gone})
    return saves


def _content(folder: Path, name: str) -> bytes:
    try:
        return content_of(folder, name)
    except FileNotFoundError:
        return b""


def _refuse_changed(saves: Sequence[Kept], contents: Mapping[str, bytes]) -> None:
    for kept in saves:
        if digest_of(contents[kept.file]) != kept.new:
            msg = (
                f"{kept.file}: changed since by other hands than a save of "
                f"{kept.time:%Y-%m-%d %H:%M} UTC; nothing was undone. What that save "
                f"replaced stands in {_PLACE}/{kept.path.name}."
            )
            raise InputError(msg)
