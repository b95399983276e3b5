"""From forms to the cells of a table, as the crew would write them; and back."""

from collections.abc import Iterable, Mapping
from typing import Any, Final

VOLT_COLUMNS: Final[Mapping[str, str]] = {
    "a": "hull_v_a",
    "b": "hull_v_b",
    "c": "hull_v_c",
    "+": "hull_v_pos",
    "-": "hull_v_neg",
}
"""Column of faults.csv for the volts to hull of each conductor."""


def cells_of(entries: Mapping[str, Any]) -> dict[str, str]:
    """Return form entries as cells; what was left empty is left out.

    Examples
    --------
    >>> cells_of({"amps": 0.25, "zone": None, "remark": " wet ", "meter_ohm": 1e7})
    {'amps': '0.25', 'remark': 'wet', 'meter_ohm': '10000000'}
    """
    written = {column: _cell(entry) for column, entry in entries.items()}
    return {column: cell for column, cell in written.items() if cell}


def _cell(entry: Any) -> str:
    if entry is None:
        return ""
    if isinstance(entry, float):
        return str(int(entry)) if entry.is_integer() else repr(entry)
    return str(entry).strip()


def next_id(known: Iterable[str]) -> str:
    """Return the id after the last one, in its manner.

    Examples
    --------
    >>> next_id(["GP-001", "GP-087"]), next_id([]), next_id(["galley"])
    ('GP-088', 'F1', 'galley-2')
    """
    names = list(known)
    if not names:
        return "F1"
    last = names[-1]
    stem = last.rstrip("0123456789")
    digits = last[len(stem) :]
    if not digits:
        return _free(f"{last}-", 2, 0, names)
    return _free(stem, int(digits) + 1, len(digits), names)


def _free(stem: str, number: int, width: int, taken: list[str]) -> str:
    while (name := f"{stem}{number:0{width}d}") in taken:
        number += 1
    return name
