"""The systems of ship.toml as rows of text, and back: the rest stays as written."""

from collections.abc import Iterable, Mapping
from pathlib import Path
from typing import Any, Final

import tomlkit
from tomlkit.items import Float, Integer

from corrosion.foundation.errors import CorrosionError
from corrosion.records.folder.atomic_write import locked
from corrosion.records.folder.files import content_of
from corrosion.records.folder.kept import digest_of
from corrosion.records.folder.row import columns
from corrosion.records.folder.save_journal import finish_saves
from corrosion.records.folder.save_table import save_files
from corrosion.records.folder.ship_toml_keys import LampKeys, SystemKeys

_FILE: Final = "ship.toml"
_LAMPS: Final = "lamps."
_WORDS: Final = ("name", "kind", "switchboard_zone", "earthed_at")

SYSTEM_COLUMNS: Final = (
    *(key for key in columns(SystemKeys) if key != "lamps"),
    *(f"{_LAMPS}{key}" for key in columns(LampKeys)),
)
"""Keys of one system; those of its lamps behind ``lamps.``"""


def read_systems(folder: str | Path) -> tuple[tuple[dict[str, str], ...], str]:
    """Return the systems of a ship just as written, and the file's digest.

    Text by :data:`SYSTEM_COLUMNS`, blank where a key is not written.
    """
    data = content_of(Path(folder), _FILE)
    return tuple(_row(each) for each in _systems(tomlkit.parse(data))), digest_of(data)


def write_systems(
    folder: str | Path, rows: Mapping[int, Mapping[str, str]], seen: str
) -> None:
    """Write the systems of a ship, if the folder stays sound.

    Parameters
    ----------
    folder : str or Path
        The ship folder.
    rows : mapping of int to mapping of str to str
        By its place in :func:`read_systems`; a new system by any other number. What is
        not named goes.
    seen : str
        Digest of what the rows were made from.

    Raises
    ------
    CorrosionError
        If somebody else saved ship.toml meanwhile. Nothing is written.
    RecordError
        If the folder would have problems: all of them. Nothing is written.
    """
    home = Path(folder)
    with locked(home / _FILE):
        finish_saves(home)
        data = content_of(home, _FILE)
        if digest_of(data) != seen:
            msg = "Somebody else saved ship.toml meanwhile. Nothing was written."
            raise CorrosionError(msg)
        document = tomlkit.parse(data)
        old = list(_systems(document))
        for place, table in enumerate(old):
            if place in rows:
                _amend(table, rows[place])
        kept = [table for place, table in enumerate(old) if place in rows]
        for place, cells in rows.items():
            if place not in range(len(old)):
                fresh = tomlkit.table()
                _amend(fresh, cells)
                kept.append(fresh)
        if len(kept) != len(old) or any(place >= len(old) for place in rows):
            document["system"] = tomlkit.aot()
            for table in kept:
                document["system"].append(table)
        new = tomlkit.dumps(document).encode()
        save_files(home, {_FILE: (data, new)})


def _systems(document: tomlkit.TOMLDocument) -> Iterable[Any]:
    found: Iterable[Any] = document.get("system", ())
    return found


def _row(table: Mapping[str, Any]) -> dict[str, str]:
    lamps = table.get("lamps", {})
    return {
        key: _text(
            lamps.get(key.removeprefix(_LAMPS))
            if key.startswith(_LAMPS)
            else table.get(key)
        )
        for key in SYSTEM_COLUMNS
    }


def _text(value: object) -> str:
    if isinstance(value, bool):
        return "true" if value else "false"
    if isinstance(value, Integer | Float):
        return value.as_string()  # as written: 1e6 stays 1e6
    return "" if value is None else str(value)


def _amend(table: Any, cells: Mapping[str, str]) -> None:
    """Write into a table what its row says otherwise than it does."""
    before = _row(table)
    for key, text in cells.items():
        if text == before.get(key, ""):
            continue
        inner = key.removeprefix(_LAMPS)
        if inner != key and "lamps" not in table:
            table["lamps"] = tomlkit.inline_table()
        into = table["lamps"] if inner != key else table
        if text:
            into[inner] = _value(inner, text)
        else:
            del into[inner]
    if "lamps" in table and not table["lamps"]:
        del table["lamps"]


def _value(key: str, text: str) -> str | float | bool:
    """Return a value as TOML writes it; what is no number stays words, and is told."""
    if key in _WORDS:
        return text
    if text in ("true", "false"):
        return text == "true"
    try:
        return int(text)
    except ValueError:
        pass
    try:
        return float(text.replace(",", "."))
    except ValueError:
        return text
