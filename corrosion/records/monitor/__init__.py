"""Hull-current logs of any length; ``charge`` at its public import path."""

from corrosion.records.monitor.charge import charge

__all__ = ["charge"]
