"""A small ship folder to fill in, as `corrosion new` writes it. She is invented."""

from pathlib import Path

from corrosion.foundation.errors import InputError
from corrosion.records.folder.column_docs import columns_text
from corrosion.records.folder.files import FILES


def write_example(path: str | Path) -> None:
    """Write a small, commented, invented ship folder to fill in.

    Beside its files stands ``columns.md``: what each column means.

    Parameters
    ----------
    path : str or Path
        The new folder; parents are made as needed.

    Raises
    ------
    InputError
        If something is already there, or the folder cannot be written.
    """
    folder, example = Path(path), Path(__file__).with_name("example")
    try:
        folder.mkdir(parents=True, exist_ok=True)
        if any(folder.iterdir()):
            msg = f"{folder}: is not empty. Name a new folder; nothing was written."
            raise InputError(msg)
        for name in FILES:
            (folder / name).write_bytes((example / name).read_bytes())
        (folder / "columns.md").write_text(columns_text(), encoding="utf-8")
    except (OSError, ValueError) as error:
        if isinstance(error, InputError):
            raise
        reason = error.strerror if isinstance(error, OSError) else str(error)
        msg = f"{folder}: cannot be written ({reason}). Name another folder."
        raise InputError(msg) from None
