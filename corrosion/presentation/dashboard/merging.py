"""Two people amended one table: both keep theirs."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass

Cells = Mapping[str, str]


@dataclass(frozen=True, slots=True, kw_only=True)
class Merged:
    """A table with the changes of both.

    ``contested``: first cells of the rows that both changed; the other person's stand.
    """

    rows: tuple[Cells, ...]  # cells by column
    contested: tuple[str, ...]


def merged(
    base: Sequence[Cells], mine: Mapping[int, Cells], theirs: Sequence[Cells]
) -> Merged:
    """Lay one person's changes over the table as another has saved it since.

    Parameters
    ----------
    base : sequence of mapping of str to str
        The table from which both began.
    mine : mapping of int to mapping of str to str
        My rows by their place in ``base``; further places are new rows, places that
        are missing were removed.
    theirs : sequence of mapping of str to str
        The table as it stands.

    Returns
    -------
    Merged
        Their rows in their order with my changes, my new rows at the end.
    """
    rows: list[Cells] = list(theirs)
    contested = []
    # Rows have no id that holds for every table: a row is known by its old content.
    # One that is no longer there was amended or removed by the other person.
    for place, old in enumerate(base):
        new = _written(mine.get(place), old)
        if new == old:
            continue
        if old not in rows:
            contested.append(next(iter(old.values()), ""))
            continue
        at = rows.index(old)
        rows[at : at + 1] = [] if new is None else [new]
    added = (_written(row, {}) for place, row in mine.items() if place >= len(base))
    rows += [row for row in added if row]
    return Merged(rows=tuple(rows), contested=tuple(contested))


def _written(row: Cells | None, old: Cells) -> Cells | None:
    """Return a row with the columns that it had or that hold something."""
    if row is None or not any(row.values()):
        return None
    return {c: cell for c, cell in row.items() if cell or c in old}
