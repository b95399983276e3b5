"""Resistivity of seawater, at its public import path."""

from corrosion.hull.water.seawater import resistivity

__all__ = ["resistivity"]
