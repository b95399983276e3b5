"""What is not known for certain about the current paths, a sample a row."""

from dataclasses import dataclass, fields
from typing import Final

import numpy as np

from corrosion.foundation.assumptions import Assumptions, default_assumptions
from corrosion.foundation.sampling import Draws, sample_lognormal
from corrosion.foundation.types import Array, IntArray
from corrosion.foundation.units import MAINS
from corrosion.records.ship import Berth

__all__ = ["SHORE", "PathUnknowns", "draw_paths", "median_paths"]

SHORE: Final = ("shore_earth", "couple", "earth_factor", "couple_factor")
"""What readings on the shore connection teach."""


@dataclass(frozen=True, slots=True, kw_only=True)
class PathUnknowns:
    """Samples of what decides where a current crosses into the water.

    Attributes
    ----------
    interface, interface_mains : ndarray, shape (samples,)
        One square metre of bare steel in seawater, to direct current, and to
        alternating current of ``units.MAINS``. [Ω·m²]
    coating : ndarray, shape (samples,)
        One square metre of sound coating. [Ω·m²]
    structure : ndarray, shape (samples,)
        Conductance of the structure over that of its shell. [-]
    shore_earth : ndarray, shape (samples,)
        Shore earth to remote earth, where none is written. [Ω]
    couple : ndarray, shape (samples,)
        Hull steel against an earthed shore supply's earth, where none is written. [V]
    earth_factor, couple_factor : ndarray, shape (samples,)
        True shore earth and couple over those that are written. [-]
    """

    interface: Array
    interface_mains: Array
    coating: Array
    structure: Array
    shore_earth: Array
    couple: Array
    earth_factor: Array
    couple_factor: Array

    def interface_at(self, hertz: float) -> Array:
        """Return the interface of bare steel at a frequency [Ω·m²].

        To alternating current it is the double layer's capacitance, so that its
        impedance falls as the frequency rises.
        """
        if hertz == 0.0:
            return self.interface
        return self.interface_mains * (MAINS / hertz)

    def shore_earth_at(self, berth: Berth) -> Array:
        """Return the shore earth to remote earth at a berth [Ω]."""
        if berth.shore_earth is None:
            return self.shore_earth
        return berth.shore_earth * self.earth_factor

    def couple_at(self, berth: Berth) -> Array:
        """Return the couple of hull steel against the shore earth at a berth [V]."""
        if berth.earth_couple is not None:
            return berth.earth_couple * self.couple_factor
        if berth.supply == "shore earthed":
            return self.couple
        return np.zeros_like(self.couple)

    def rows(self, rows: slice | IntArray) -> "PathUnknowns":
        """Return some of the samples."""
        cut = {one.name: getattr(self, one.name)[rows] for one in fields(self)}
        return PathUnknowns(**cut)


def draw_paths(draws: Draws, block: str = "paths") -> PathUnknowns:
    """Return samples of what is not known about the current paths."""
    return _paths(draws.block(block, len(_ENTRIES)), draws.assumptions)


def median_paths(assumptions: Assumptions | None = None) -> PathUnknowns:
    """Return one sample of everything at its median; None: of the table as it is."""
    table = default_assumptions() if assumptions is None else assumptions
    return _paths(np.full((1, len(_ENTRIES)), 0.5), table)


_ENTRIES: Final = {
    "interface": "interface_ohm_m2",
    "interface_mains": "interface_ac_ohm_m2",
    "coating": "coating_ohm_m2",
    "structure": "steel_structure_factor",
    "shore_earth": "shore_earth_ohm",
    "couple": "earth_couple_v",
    "earth_factor": "shore_earth_factor",
    "couple_factor": "earth_couple_factor",
}


def _paths(uniform: Array, table: Assumptions) -> PathUnknowns:
    columns = zip(_ENTRIES.items(), uniform.T, strict=True)
    return PathUnknowns(
        **{field: sample_lognormal(table[name], u) for (field, name), u in columns}
    )
