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
    earth_conductance : ndarray, shape (samples,)
        Protective conductor of a shore supply of which nothing is written; 0: it is
        not connected. [S]
    """

    interface: Array
    interface_mains: Array
    coating: Array
    structure: Array
    shore_earth: Array
    couple: Array
    earth_factor: Array
    couple_factor: Array
    earth_conductance: Array

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

    def earth_conductance_at(self, berth: Berth) -> Array:
        """Return the protective conductor from the hull to the shore earth [S].

        0 where none is connected; where nobody wrote it, connected in some samples.
        """
        if berth.earth_cable is not None:
            return np.full(len(self.interface), 1.0 / max(berth.earth_cable, 1e-6))
        if berth.earth_connected is not None:
            return np.zeros(len(self.interface))
        return self.earth_conductance

    def earth_at(self, berth: Berth) -> tuple[Array, Array]:
        """Return the shore earth [Ω] and the conductor to it [S] at a berth."""
        return self.shore_earth_at(berth), self.earth_conductance_at(berth)

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
    u = draws.block("earth conductor", 2)
    connected = u[:, 0] < draws.value("earth_cable_chance")
    earth = connected / draws.lognormal("earth_cable_ohm", u[:, 1])
    return _paths(draws.block(block, len(_ENTRIES)), draws.assumptions, earth)


def median_paths(assumptions: Assumptions | None = None) -> PathUnknowns:
    """Return one sample of everything at its median; None: of the table as it is."""
    table = default_assumptions() if assumptions is None else assumptions
    earth = np.array([1.0 / table.value("earth_cable_ohm")])
    return _paths(np.full((1, len(_ENTRIES)), 0.5), table, earth)


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


def _paths(uniform: Array, table: Assumptions, earth: Array) -> PathUnknowns:
    columns = zip(_ENTRIES.items(), uniform.T, strict=True)
    return PathUnknowns(
        **{field: sample_lognormal(table[name], u) for (field, name), u in columns},
        earth_conductance=earth,
    )
