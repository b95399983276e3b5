"""The one place where a table's columns and rows become what figures need."""

import re
from collections.abc import Iterable
from typing import Any, Final

import numpy as np
import pandas as pd

from corrosion.foundation.types import Array
from corrosion.presentation.units import UnitSystem


def column(table: pd.DataFrame, name: str) -> Array:
    """Return a column as numbers in its own unit; not known is NaN."""
    return table[name].to_numpy(dtype=np.float64, na_value=np.nan)


def quantile_columns(table: pd.DataFrame, stem: str) -> tuple[Array, Array, Array]:
    """Return p10, p50 and p90 of a quantity, as :func:`column` returns each."""
    low, middle, high = (column(table, f"{stem}_{p}") for p in ("p10", "p50", "p90"))
    return low, middle, high


_MEASURED: Final = re.compile(r"_(mm|kg)(_mean|_p10|_p50|_p90)?$")


def in_units(table: pd.DataFrame, units: UnitSystem) -> pd.DataFrame:
    """Return a table with its lengths and masses as people read them.

    Columns that end in ``_mm`` or ``_kg``, with or without a statistic behind, are
    converted; their names stay.
    """
    factors = {
        name: units.of(found[1])[0]
        for name in table.columns
        if (found := _MEASURED.search(str(name)))
    }
    changed = {name: table[name] * by for name, by in factors.items() if by != 1.0}
    return table.assign(**changed) if changed else table


def places(words: Iterable[str]) -> Any:
    """Return words as places on an axis; Plotly's stubs know places as numbers only."""
    return list(words)
