"""From tables and arrays to JSON: numbers, text and None, a row an object."""

import math
from collections.abc import Iterable, Mapping
from typing import TYPE_CHECKING, Any

import numpy as np
import numpy.typing as npt

from corrosion.foundation.statistics import summarise

if TYPE_CHECKING:
    import pandas as pd

STATISTICS = ("mean", "p10", "p50", "p90")
"""Suffixes of a summed-up quantity's columns, in order."""


def json_value(value: Any) -> Any:
    """Return a value that JSON can carry; not known is None."""
    if isinstance(value, np.generic | np.ndarray):  # an array of one number
        value = value.item()
    if isinstance(value, float) and not math.isfinite(value):
        return None
    return value


def summary(samples: npt.ArrayLike) -> dict[str, Any]:
    """Return mean and quantiles of one quantity's samples.

    Parameters
    ----------
    samples : array_like, shape (samples,)
        Samples, in any unit.

    Returns
    -------
    dict of str to float
        By :data:`STATISTICS`, in the unit of ``samples``; not known is None.
    """
    return {name: json_value(value) for name, value in summarise(samples).items()}


def rows_of(table: "pd.DataFrame") -> list[dict[str, Any]]:
    """Return a table's rows, each by its column names."""
    return [dict(zip(table.columns, row, strict=True)) for row in table.values.tolist()]


def row_to_json(row: Mapping[str, Any], names: Iterable[str]) -> dict[str, Any]:
    """Return a table's row as an object; what is no column is a summed-up quantity."""
    return {
        name: json_value(row[name])
        if name in row
        else {key: json_value(row[f"{name}_{key}"]) for key in STATISTICS}
        for name in names
    }
