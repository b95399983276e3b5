"""Detector lamps, at their public import path."""

from corrosion.leakage.filament import filament_current, relative_light
from corrosion.leakage.lamp_pattern import least_visible_fault

__all__ = ["filament_current", "least_visible_fault", "relative_light"]
