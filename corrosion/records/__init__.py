"""What the crew write down: reading, checking and saving of a ship folder."""

from typing import TYPE_CHECKING, Any

if TYPE_CHECKING:
    from corrosion.records.folder.atomic_write import SaveError
    from corrosion.records.folder.files import folder_digest
    from corrosion.records.folder.first_ship import write_example
    from corrosion.records.folder.kept import last_save, undo
    from corrosion.records.folder.read import read_ship
    from corrosion.records.folder.save_table import (
        StaleError,
        append_row,
        digest,
        read_table,
        replace_row,
        save_tables,
        write_table,
    )

__all__ = [
    "SaveError",
    "StaleError",
    "append_row",
    "digest",
    "folder_digest",
    "last_save",
    "read_ship",
    "read_table",
    "replace_row",
    "save_tables",
    "undo",
    "write_example",
    "write_table",
]

_HOMES = {
    "SaveError": "corrosion.records.folder.atomic_write",
    "last_save": "corrosion.records.folder.kept",
    "undo": "corrosion.records.folder.kept",
    "folder_digest": "corrosion.records.folder.files",
    "read_ship": "corrosion.records.folder.read",
    "write_example": "corrosion.records.folder.first_ship",
}


def __getattr__(name: str) -> Any:
    """Fetch a public name when it is first used: other rooms need no file reading."""
    if name not in __all__:
        msg = f"module 'corrosion.records' has no attribute {name!r}"
        raise AttributeError(msg)
    from importlib import import_module  # noqa: PLC0415 - only on first use

    return getattr(
        import_module(_HOMES.get(name, "corrosion.records.folder.save_table")), name
    )
