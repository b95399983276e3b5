"""Saving a table of a ship folder: all of it or nothing, and nobody's row is lost.

Under a lock on the folder the new text is checked together with all other files; then
it and what is kept of the old one in ``kept/`` are saved in one step, however many
tables they are (:mod:`corrosion.records.folder.save_journal`). A crash at any instant
leaves the old state or the new one.

A table is one of the design's, or ``hunts/ID``. What saves raises RecordError if the
folder would have problems, all of them, and SaveError if it cannot be written; then
nothing is changed.
"""

from collections.abc import Mapping, Sequence
from pathlib import Path

from corrosion.foundation.errors import CorrosionError
from corrosion.records.folder.atomic_write import locked
from corrosion.records.folder.candidate import read_candidate
from corrosion.records.folder.csv_file import rendered
from corrosion.records.folder.kept import bound_kept, differences, digest_of, versions
from corrosion.records.folder.save_journal import finish_saves, replace_files
from corrosion.records.folder.table_text import (
    Cells,
    amended_rows,
    filled,
    rows_of,
    spelt_for,
    table_bytes,
    table_path,
    table_sheet,
)


class StaleError(CorrosionError):
    """Someone else saved the table meanwhile.

    ``changed``: rows that they added or amended, as they stand now. ``removed``: rows
    that are no longer there as they were.
    """

    def __init__(
        self,
        table: str,
        changed: tuple[dict[str, str], ...],
        removed: tuple[dict[str, str], ...],
    ) -> None:
        self.changed, self.removed = changed, removed
        super().__init__(
            f"{table}.csv: someone else saved it meanwhile ({len(changed)} rows added "
            f"or amended). Nothing was written. Look at their rows, then save again."
        )


def digest(folder: str | Path, table: str) -> str:
    """Return a digest of one table as it stands, to be given to :func:`write_table`.

    Returns
    -------
    str
        SHA-256 in hexadecimal digits; that of nothing where there is no such file.
    """
    return digest_of(table_bytes(folder, table))


def read_table(
    folder: str | Path, table: str
) -> tuple[tuple[dict[str, str], ...], str]:
    """Return the rows of one table just as written, and its digest.

    Returns
    -------
    tuple of dict of str to str
        Cells by column.
    str
        Digest of exactly these rows, as of :func:`digest`.

    Raises
    ------
    RecordError
        If the file cannot be split into the cells of its header.
    """
    data = table_bytes(folder, table)
    return rows_of(table_sheet(table, data)), digest_of(data)


def append_row(folder: str | Path, table: str, row: Cells) -> None:
    """Add one row at the end of a table; rows that others added are kept.

    Parameters
    ----------
    folder, table : str or Path, str
    row : mapping of str to str
        Cells by column, as one would write them; columns left out are blank.
    """
    save_tables(folder, {table: [row]})


def replace_row(folder: str | Path, table: str, key: Cells, row: Cells) -> None:
    """Amend one row of a table; cells and rows that are not named stay as written.

    Parameters
    ----------
    folder, table : str or Path, str
    key : mapping of str to str
        Cells by which the row is known, as ``{"fault": "F12", "cleared": ""}``; a
        column that the file does not have is blank, blanks around a cell are nothing.
    row : mapping of str to str
        The amended cells by column.

    Raises
    ------
    LookupFailed
        If no row has those cells.
    InputError
        If more than one row has.
    """
    save_tables(folder, {}, {table: [(key, row)]})


def write_table(
    folder: str | Path, table: str, rows: Sequence[Cells], expected_digest: str
) -> None:
    """Write all rows of a table, if it still is what they were made from.

    Parameters
    ----------
    folder, table : str or Path, str
    rows : sequence of mapping of str to str
        Cells by column.
    expected_digest : str
        Digest of the table from which the rows were made.

    Raises
    ------
    StaleError
        If someone else saved the table meanwhile; it carries their rows.
    """
    home, path = Path(folder), table_path(folder, table)
    with locked(home / path.name):
        finish_saves(home)
        data = table_bytes(folder, table)
        sheet = table_sheet(table, data)
        if digest_of(data) != expected_digest:
            now, base = rows_of(sheet), _version(folder, table, expected_digest)
            before = rows if base is None else rows_of(table_sheet(table, base))
            changed = tuple(dict(row) for row in now if row not in before)
            removed = tuple(dict(row) for row in before if row not in now)
            raise StaleError(table, changed, removed if base is not None else ())
        new = rendered(filled(sheet, table, rows))
        save_files(home, {f"{table}.csv": (data, new)})


def save_tables(
    folder: str | Path,
    added: Mapping[str, Sequence[Cells]],
    amended: Mapping[str, Sequence[tuple[Cells, Cells]]] | None = None,
) -> None:
    """Add rows to several tables and amend others at once: all of it or nothing.

    Parameters
    ----------
    folder : str or Path
    added : mapping of str to sequence of mapping
        New rows by table.
    amended : mapping of str to sequence of tuple, optional
        By table, the key and the amended cells of rows, as for :func:`replace_row`.

    Raises
    ------
    LookupFailed, InputError
        As for :func:`replace_row`.
    """
    home, other = Path(folder), amended or {}
    paths = {table: table_path(home, table) for table in (*added, *other)}
    with locked(home / " and ".join(path.name for path in paths.values())):
        finish_saves(home)
        changes = {}
        for table in paths:
            old = table_bytes(home, table)
            sheet = table_sheet(table, old)
            rows: Sequence[Cells] = rows_of(sheet)
            for change in other.get(table, ()):
                rows = amended_rows(sheet, table, rows, change)
            spelt = [spelt_for(sheet, table, row) for row in added.get(table, ())]
            new = rendered(filled(sheet, table, [*rows, *spelt]))
            changes[f"{table}.csv"] = (old, new)
        save_files(home, changes)


def save_files(folder: Path, changes: Mapping[str, tuple[bytes, bytes]]) -> None:
    """Write files whose old and new contents are given, if the folder stays sound.

    ``changes``: content before and after, by file. Raises RecordError if the folder
    would have problems: all of them. Nothing is written.
    """
    new = {file: contents[1] for file, contents in changes.items()}
    read_candidate(folder, new)
    replace_files(folder, {**differences(folder, changes), **new})
    bound_kept(folder)


def _version(folder: str | Path, table: str, wanted: str) -> bytes | None:
    """Return the kept version of that digest, the latest first."""
    now = table_bytes(folder, table)
    some = versions(Path(folder), f"{table}.csv", now)
    return next((data for data in some if digest_of(data) == wanted), None)
