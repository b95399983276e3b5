"""Steel that stray currents dissolve from a ship's hull, from the crew's records.

Examples
--------
>>> import corrosion
>>> ship = corrosion.read_ship("data/saltmarsh")
>>> result = corrosion.estimate(ship, samples=16, as_of="2026-06")
>>> result.zones["zone"].iloc[0] == result.zone(result.zones["zone"].iloc[0])["zone"]
True
"""

import sys
from importlib import import_module
from types import ModuleType
from typing import TYPE_CHECKING, Any

if TYPE_CHECKING:
    from corrosion.estimate import estimate
    from corrosion.foundation.errors import RecordError
    from corrosion.records.folder.read import read_ship
    from corrosion.records.ship import Ship
    from corrosion.results import Estimate

__all__ = ["Estimate", "RecordError", "Ship", "estimate", "read_ship"]
__version__ = "0.1.0"

_PLACES = {
    "Estimate": "corrosion.results",
    "RecordError": "corrosion.foundation.errors",
    "Ship": "corrosion.records.ship",
    "read_ship": "corrosion.records.folder.read",
}


def __getattr__(name: str) -> Any:
    """Fetch what is asked for on first use: importing corrosion stays light."""
    if name not in _PLACES:
        msg = f"module 'corrosion' has no attribute {name!r}"
        raise AttributeError(msg)
    return getattr(import_module(_PLACES[name]), name)


class _Package(ModuleType):
    """The package, whose ``estimate`` is the function and not the module of that name.

    An import of the module would set it as the package's attribute, in the place of
    the function; a property is not replaced.
    """

    def _estimate(self) -> Any:
        return import_module("corrosion.estimate").estimate

    def _keep(self, _: object) -> None:
        """Leave the function where it is."""

    if not TYPE_CHECKING:
        estimate = property(_estimate, _keep)


sys.modules[__name__].__class__ = _Package
