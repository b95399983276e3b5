"""What is not known for certain about the current paths, a sample a row."""

from dataclasses import dataclass

from corrosion.sampling import Draws, lognormal
from corrosion.types import Array
from corrosion.units import MAINS

__all__ = ["PathUnknowns", "draw_paths"]


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
    """

    interface: Array
    interface_mains: Array
    coating: Array
    structure: Array
    shore_earth: Array
    couple: Array

    def interface_at(self, hertz: float) -> Array:
        """Return the interface of bare steel at a frequency. [Ω·m²]

        To alternating current it is the double layer's capacitance, so that its
        impedance falls as the frequency rises.
        """
        if hertz == 0.0:
            return self.interface
        return self.interface_mains * (MAINS / hertz)

    def rows(self, rows: slice) -> "PathUnknowns":
        """Return some of the samples."""
        return PathUnknowns(
            interface=self.interface[rows],
            interface_mains=self.interface_mains[rows],
            coating=self.coating[rows],
            structure=self.structure[rows],
            shore_earth=self.shore_earth[rows],
            couple=self.couple[rows],
        )


def draw_paths(draws: Draws) -> PathUnknowns:
    """Return samples of what is not known about the current paths."""
    u = draws.block("paths", 6)
    return PathUnknowns(
        interface=lognormal("interface_ohm_m2", u[:, 0]),
        interface_mains=lognormal("interface_ac_ohm_m2", u[:, 1]),
        coating=lognormal("coating_ohm_m2", u[:, 2]),
        structure=lognormal("steel_structure_factor", u[:, 3]),
        shore_earth=lognormal("shore_earth_ohm", u[:, 4]),
        couple=lognormal("earth_couple_v", u[:, 5]),
    )
