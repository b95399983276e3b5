"""Where injected current leaves the hull, at its public import path."""

from corrosion.hull.water_currents import water_currents

__all__ = ["water_currents"]
