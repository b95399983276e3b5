"""Steel that stray currents dissolve from a ship's hull, from the crew's records."""

from typing import TYPE_CHECKING, Any

from corrosion.estimate import Estimate, estimate
from corrosion.foundation.errors import RecordError
from corrosion.records.ship import Ship

if TYPE_CHECKING:
    from corrosion.records.folder.read import read_ship

__all__ = ["Estimate", "RecordError", "Ship", "estimate", "read_ship"]
__version__ = "0.1.0"


def __getattr__(name: str) -> Any:
    """Fetch the reader of files, and the library it checks with, on first use."""
    if name != "read_ship":
        msg = f"module 'corrosion' has no attribute {name!r}"
        raise AttributeError(msg)
    from corrosion.records.folder.read import read_ship  # noqa: PLC0415 - pydantic is slow

    return read_ship
