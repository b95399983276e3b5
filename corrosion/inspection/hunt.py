"""In which order to open circuits, at its public import path."""

from corrosion.inspection.fault_finding.search import best_order

__all__ = ["best_order"]
