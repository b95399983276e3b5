"""Saving a table of a ship folder: all of it or nothing, and nobody's row is lost.

Under a lock on the folder the new text is checked together with all other files, the
previous version is kept in ``history/``, and a temporary file that is safe on disk
takes the old one's place in one step. A crash at any instant leaves the old file or
the new one.
"""

import hashlib
from collections.abc import Callable, Mapping, Sequence
from dataclasses import replace
from pathlib import Path

from corrosion.foundation.errors import (
    CorrosionError,
    InputError,
    LookupFailed,
    Problem,
    RecordError,
)
from corrosion.records.folder.atomic_write import (
    SaveError,
    backup,
    locked,
    replace_file,
)
from corrosion.records.folder.columns import TABLES
from corrosion.records.folder.csv_file import Sheet, parsed, rendered
from corrosion.records.folder.files import read_plain
from corrosion.records.folder.read import read_candidate
from corrosion.records.folder.row import Spot, columns
from corrosion.records.folder.sheet_rows import layout_problems

__all__ = [
    "SaveError",
    "StaleError",
    "append_row",
    "digest",
    "read_table",
    "replace_row",
    "write_table",
]

Cells = Mapping[str, str]


class StaleError(CorrosionError):
    """Someone else saved the table meanwhile.

    Attributes
    ----------
    changed : tuple of dict of str to str
        Rows that they added or amended, as they stand now.
    removed : tuple of dict of str to str
        Rows that are no longer there as they were.
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

    Parameters
    ----------
    folder : str or Path
        The ship folder.
    table : str
        ``zones``, ``faults``, ``berths``, ``gaugings`` or ``circuits``.

    Returns
    -------
    str
        SHA-256 in hexadecimal digits; that of nothing where there is no such file.
    """
    return _hash(_bytes(_path(folder, table)))


def read_table(
    folder: str | Path, table: str
) -> tuple[tuple[dict[str, str], ...], str]:
    """Return the rows of one table just as written, and its digest.

    Parameters
    ----------
    folder : str or Path
        The ship folder.
    table : str
        ``zones``, ``faults``, ``berths``, ``gaugings`` or ``circuits``.

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
    data = _bytes(_path(folder, table))
    return _rows(_sheet(table, data)), _hash(data)


def append_row(folder: str | Path, table: str, row: Cells) -> None:
    """Add one row at the end of a table; rows that others added are kept.

    Parameters
    ----------
    folder : str or Path
        The ship folder.
    table : str
        ``zones``, ``faults``, ``berths``, ``gaugings`` or ``circuits``.
    row : mapping of str to str
        Cells by column, as one would write them; columns left out are blank.

    Raises
    ------
    RecordError
        If the folder would have problems: all of them. Nothing is written.
    SaveError
        If the folder cannot be written. Nothing is changed.
    """
    _save(folder, table, lambda old, _: [*old, row])


def replace_row(folder: str | Path, table: str, key: Cells, row: Cells) -> None:
    """Amend one row of a table; cells and rows that are not named stay as written.

    Parameters
    ----------
    folder : str or Path
        The ship folder.
    table : str
        ``zones``, ``faults``, ``berths``, ``gaugings`` or ``circuits``.
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
    RecordError
        If the folder would have problems: all of them. Nothing is written.
    SaveError
        If the folder cannot be written. Nothing is changed.
    """

    def amended(old: Sequence[Cells], _: bytes) -> list[Cells]:
        places = [n for n, cells in enumerate(old) if _has(cells, key)]
        words = ", ".join(
            f"{column} {cell!r}" if cell else f"{column} blank"
            for column, cell in key.items()
        )
        if not places:
            msg = (
                f"{table}.csv: no row with {words}. Someone may have amended or "
                "removed it meanwhile; look at the table."
            )
            raise LookupFailed(msg)
        if len(places) > 1:
            msg = f"{table}.csv: {len(places)} rows with {words}. Name more cells."
            raise InputError(msg)
        return [
            {**cells, **row} if n == places[0] else cells for n, cells in enumerate(old)
        ]

    _save(folder, table, amended)


def write_table(
    folder: str | Path, table: str, rows: Sequence[Cells], expected_digest: str
) -> None:
    """Write all rows of a table, if it still is what they were made from.

    Parameters
    ----------
    folder : str or Path
        The ship folder.
    table : str
        ``zones``, ``faults``, ``berths``, ``gaugings`` or ``circuits``.
    rows : sequence of mapping of str to str
        Cells by column.
    expected_digest : str
        Digest of the table from which the rows were made.

    Raises
    ------
    StaleError
        If someone else saved the table meanwhile; it carries their rows.
    RecordError
        If the folder would have problems: all of them. Nothing is written.
    SaveError
        If the folder cannot be written. Nothing is changed.
    """

    def written(now: Sequence[Cells], data: bytes) -> Sequence[Cells]:
        if _hash(data) != expected_digest:
            base = _version(folder, table, expected_digest)
            before = rows if base is None else _rows(_sheet(table, base))
            changed = tuple(dict(row) for row in now if row not in before)
            removed = tuple(dict(row) for row in before if row not in now)
            raise StaleError(table, changed, removed if base is not None else ())
        return rows

    _save(folder, table, written)


def _save(
    folder: str | Path,
    table: str,
    change: Callable[[Sequence[Cells], bytes], Sequence[Cells]],
) -> None:
    """Change one table under the lock, once the whole folder is known to be sound."""
    path = _path(folder, table)
    with locked(path):
        data = _bytes(path)
        sheet = _sheet(table, data)
        new = rendered(_filled(sheet, table, change(_rows(sheet), data)))
        read_candidate(Path(folder), {f"{table}.csv": new})
        with backup(path, data):
            replace_file(path, new)


def _has(cells: Cells, key: Cells) -> bool:
    """Return whether a row has some cells, as reading takes them."""
    return all(cells.get(name, "").strip() == cell for name, cell in key.items())


def _version(folder: str | Path, table: str, wanted: str) -> bytes | None:
    """Return the kept version of that digest, the latest first."""
    kept = sorted((Path(folder) / "history").glob(f"*-{table}.csv"), reverse=True)
    contents = (path.read_bytes() for path in kept)
    return next((data for data in contents if _hash(data) == wanted), None)


def _path(folder: str | Path, table: str) -> Path:
    if table not in TABLES:
        raise LookupFailed.among("table", table, TABLES)
    return Path(folder) / f"{table}.csv"


def _bytes(path: Path) -> bytes:
    try:
        return read_plain(path)
    except FileNotFoundError:
        return b""
    except OSError as error:
        spot = Spot(file=path.name, line=None)
        found = f"it cannot be read ({error.strerror or error})"
        raise RecordError(
            [spot.problem("", found, "a plain file that may be read")]
        ) from None


def _hash(data: bytes) -> str:
    return hashlib.sha256(data).hexdigest()


def _sheet(table: str, data: bytes) -> Sheet:
    """Return the cells of a table, none of them lost; a missing file has no row."""
    names, file = columns(TABLES[table]), f"{table}.csv"
    if not data:
        return Sheet(file=file, header=names)
    problems: list[Problem] = []
    sheet = parsed(file, data, names, problems)
    if sheet is not None:
        problems.extend(layout_problems(TABLES[table], sheet))
    if sheet is None or problems:
        raise RecordError(problems)
    return sheet


def _rows(sheet: Sheet) -> tuple[dict[str, str], ...]:
    pairs = (zip(sheet.header, cells, strict=False) for _, cells in sheet.rows)
    return tuple(dict(row) for row in pairs)


def _filled(sheet: Sheet, table: str, rows: Sequence[Cells]) -> Sheet:
    """Return the sheet with other rows, and such columns added as they need."""
    named = dict.fromkeys(name for row in rows for name in row)
    known = columns(TABLES[table])
    for name in named:
        if name not in sheet.header and name not in known:
            raise LookupFailed.among("column", name, known)
    header = tuple(dict.fromkeys((*sheet.header, *named)))
    cells = tuple((0, tuple(row.get(name, "") for name in header)) for row in rows)
    spelt = dict(zip(sheet.header, sheet.titles, strict=False))
    titles = tuple(spelt.get(name, name) for name in header)
    return replace(sheet, header=header, titles=titles, rows=cells)
