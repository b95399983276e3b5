"""Reading a ship folder: every problem of every file in one pass, or a ship.

Nothing in the folder is ever changed by reading.
"""

from collections.abc import Callable
from pathlib import Path

from corrosion.foundation.errors import Problem
from corrosion.foundation.kept_objects import kept
from corrosion.foundation.parallel import Begun
from corrosion.records.folder.files import contents, monitor_logs, names_in, this_hour
from corrosion.records.ship import Ship


def read_ship(
    path: str | Path, *, meanwhile: Callable[[], object] | None = None
) -> Ship:
    """Read and check a ship folder.

    Parameters
    ----------
    path : str or Path
        The folder that holds ship.toml.
    meanwhile : callable, optional
        Called of a ship that is not kept: while a child reads, where there may be one.

    Returns
    -------
    Ship
        In SI units, with its doubts. Kept by all that stands in the folder.

    Raises
    ------
    RecordError
        If there are problems: every one of every file, with file, line and column.
    """
    folder, problems = Path(path), list[Problem]()
    files = contents(folder, problems)
    logs = monitor_logs(folder, problems)

    def checked() -> Ship:
        from corrosion.records.folder.candidate import read_candidate  # noqa: PLC0415 - pydantic is slow

        return read_candidate(folder, files)

    def beside() -> Ship:
        if meanwhile is None:
            return checked()
        read = Begun(checked)
        meanwhile()
        return read.result()

    if problems:
        return checked()  # it tells these and all others
    names = names_in(folder)
    return kept(
        ("ship", str(folder), files, names, logs, this_hour()), beside, large=True
    )
