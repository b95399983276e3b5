"""The one place where a table's columns and rows become what figures need."""

from collections.abc import Iterable
from typing import Any

import numpy as np
import pandas as pd

from corrosion.foundation.types import Array

__all__ = ["column", "places", "rows_of"]


def column(table: pd.DataFrame, name: str) -> Array:
    """Return a column as numbers in its own unit; not known is NaN."""
    return table[name].to_numpy(dtype=np.float64, na_value=np.nan)


def places(words: Iterable[str]) -> Any:
    """Return words as places on an axis; Plotly's stubs know places as numbers only."""
    return list(words)


def rows_of(table: pd.DataFrame) -> list[dict[str, Any]]:
    """Return the rows, each with its columns by name."""
    return [
        {str(name): cell for name, cell in row.items()}
        for row in table.to_dict("records")
    ]
