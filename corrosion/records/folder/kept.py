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
from corrosion.records.folder.atomic_write import locked, replace_file
from corrosion.records.folder.files import read_plain
from corrosion.records.folder.read import read_candidate

__all__ = ["Kept", "digest_of", "keep", "last_save", "undo", "versions"]

_PLACE: Final = "kept"
_MOST: Final = 200
_MOST_BYTES: Final = 20 << 20


@dataclass(frozen=True, slots=True, kw_only=True)
class Kept:
    """What one save replaced in one file.

    Attributes
    ----------
    path : Path
        Where it is kept.
    file : str
        File of the ship folder.
    time : datetime
        When it was saved, in UTC.
    batch : str
        The same for all files of one save.
    old, new : str
        SHA-256 before and after; of nothing where there was no file.
    start, stop : int
        The bytes of the new content that the save wrote.
    replaced : bytes
        What stood in their place.
    """

    path: Path
    file: str
    time: datetime
    batch: str
    old: str
    new: str
    start: int
    stop: int
    replaced: bytes

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


def keep(folder: Path, changes: Mapping[str, tuple[bytes, bytes]]) -> list[Path]:
    """Keep what a save is about to replace, for each file its old and new content."""
    place = folder / _PLACE
    place.mkdir(exist_ok=True)
    moment = datetime.now(tz=UTC)
    made: list[Path] = []
    for file, (old, new) in changes.items():
        while (path := place / f"{moment:%Y-%m-%dT%H%M%S.%f}.json").exists():
            moment += timedelta(microseconds=1)  # a clock may have gone back
        start = _shared(old, new)
        tail = _shared(old[start:][::-1], new[start:][::-1])
        record = {
            "file": file,
            "batch": made[0].stem if made else path.stem,
            "old": digest_of(old),
            "new": digest_of(new),
            "start": start,
            "stop": len(new) - tail,
            "replaced": old[start : len(old) - tail].decode("latin-1"),
        }
        replace_file(path, json.dumps(record).encode())
        made.append(path)
    _bound(place)
    return made


def _bound(place: Path) -> None:
    """Remove the oldest differences beyond the number and size that are kept."""
    size = 0
    for number, path in enumerate(sorted(place.glob("*.json"), reverse=True)):
        size += path.stat().st_size
        if number and (number >= _MOST or size > _MOST_BYTES):
            with suppress(OSError):
                path.unlink()


def _read(folder: Path) -> Iterator[Kept]:
    """Yield what is kept, the latest first; what is damaged is passed over."""
    for path in sorted((folder / _PLACE).glob("*.json"), reverse=True):
        try:
            found: Any = json.loads(read_plain(path))
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

    Parameters
    ----------
    folder : str or Path
        The ship folder.

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
        saves = last_save(home)
        if not saves:
            msg = f"{home}: there is no save to undo."
            raise InputError(msg)
        contents = {kept.file: _content(home / kept.file) for kept in saves}
        _refuse_changed(saves, contents)
        earlier = {
            kept.file: kept.before(contents[kept.file]) or None for kept in saves
        }
        read_candidate(home, earlier)
        for kept in saves:
            data = earlier[kept.file]
            if data is None:
                (home / kept.file).unlink()
            else:
                replace_file(home / kept.file, data)
            kept.path.unlink(missing_ok=True)
    return saves


def _content(path: Path) -> bytes:
    try:
        return read_plain(path)
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
