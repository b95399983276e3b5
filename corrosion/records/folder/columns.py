"""The tables of a ship folder, and the names that their columns know."""

# ruff: noqa: F401 - other modules fetch these names from here

from collections.abc import Mapping
from types import MappingProxyType
from typing import Final

from corrosion.records.folder.columns_electric import (
    BerthRow,
    CircuitRow,
    FaultRow,
    HuntRow,
    LogRow,
    ReadingRow,
)
from corrosion.records.folder.columns_hull import (
    AnodeRow,
    GaugingRow,
    PotentialRow,
    WorkRow,
    ZoneRow,
)
from corrosion.records.folder.row import Row

METAL_NAMES: Final = (
    "steel",
    "cast iron",
    "stainless 304",
    "stainless 316",
    "aluminium 5083",
    "aluminium 6061",
    "copper",
    "brass",
    "nickel-aluminium bronze",
    "copper-nickel 90/10",
    "copper-nickel 70/30",
    "zinc",
    "lead",
)
"""Names that the metal column knows."""

TABLES: Final[Mapping[str, type[Row]]] = MappingProxyType(
    {
        model.table: model
        for model in (
            *(ZoneRow, FaultRow, BerthRow, GaugingRow, CircuitRow, ReadingRow),
            *(WorkRow, AnodeRow, PotentialRow),
        )
    }
)
"""The csv tables of a ship folder, in the order in which they are read."""
