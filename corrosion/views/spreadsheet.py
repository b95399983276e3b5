"""Tables for a spreadsheet: CSV whose text no spreadsheet takes for a formula."""

import pandas as pd

from corrosion.report.files import harmless

__all__ = ["csv_bytes"]


def csv_bytes(table: pd.DataFrame) -> bytes:
    """Return a table as CSV that spreadsheets open: UTF-8 with its mark, commas."""
    safe = table.rename(columns=harmless).map(harmless)
    return safe.to_csv(index=False, lineterminator="\r\n").encode("utf-8-sig")
