"""Steel that stray currents dissolve from a ship's hull, from the crew's records."""

from typing import TYPE_CHECKING, Any

from corrosion.errors import RecordError

if TYPE_CHECKING:
    from corrosion.estimate import Estimate, estimate
    from corrosion.records.folder import read_ship
    from corrosion.records.ship import Ship

__all__ = ["Estimate", "RecordError", "Ship", "estimate", "read_ship"]
__version__ = "0.1.0"

_HOMES = {
    "Estimate": "corrosion.estimate",
    "estimate": "corrosion.estimate",
    "read_ship": "corrosion.records.folder",
    "Ship": "corrosion.records.ship",
}


def __getattr__(name: str) -> Any:
    """Fetch a public name when it is first used, so that importing stays light."""
    if name not in _HOMES:
        msg = f"module 'corrosion' has no attribute {name!r}"
        raise AttributeError(msg)
    from importlib import import_module  # noqa: PLC0415 - only on first use

    found = getattr(import_module(_HOMES[name]), name)
    globals()[name] = found
    return found
