"""Tables for a spreadsheet: CSV whose text no spreadsheet takes for a formula."""

from typing import TYPE_CHECKING, Any, Final

if TYPE_CHECKING:
    import pandas as pd

_FORMULA: Final = ("=", "+", "-", "@", "＝", "＋", "－", "＠", "\t", "\r", "\n")


def escape_formula(cell: Any) -> Any:
    """Return text that would start a formula behind an apostrophe; numbers as they are.

    Examples
    --------
    >>> [escape_formula(cell) for cell in ("=1+1", " @now", -5.0, "paint")]
    ["'=1+1", "' @now", -5.0, 'paint']
    """
    if isinstance(cell, str) and cell.lstrip(" \u00a0").startswith(_FORMULA):
        return f"'{cell}"
    return cell


def csv_bytes(table: "pd.DataFrame") -> bytes:
    """Return a table as CSV that spreadsheets open.

    Parameters
    ----------
    table : DataFrame
        Any table; its index is left out.

    Returns
    -------
    bytes
        UTF-8 with its mark, commas, one line of heads; no cell of text starts a
        formula.
    """
    safe = table.rename(columns=escape_formula).map(escape_formula)
    return safe.to_csv(index=False, lineterminator="\r\n").encode("utf-8-sig")
