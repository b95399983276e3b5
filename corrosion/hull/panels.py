"""Boundary elements, at their public import path."""

from corrosion.hull.water.boundary_elements import (
    resistance_matrix,
    resistance_to_remote,
)

__all__ = ["resistance_matrix", "resistance_to_remote"]
