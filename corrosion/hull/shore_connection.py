"""The way back ashore at a berth: protective conductor, shore earth, couple."""

from dataclasses import dataclass

import numpy as np

from corrosion.foundation.types import Array
from corrosion.hull.model import Hull
from corrosion.hull.uncertain import PathUnknowns
from corrosion.records.ship import Berth

__all__ = ["ShoreConnection", "shore_connection"]


@dataclass(frozen=True, slots=True, kw_only=True)
class ShoreConnection:
    """The way back ashore.

    Attributes
    ----------
    conductance : float or ndarray, shape (samples,)
        Of the protective conductor; 0: none connected, or blocked. [S]
    electrode : ndarray, shape (samples,) or ()
        Shore earth to remote earth. [Ω]
    mutual : ndarray, shape (wetted,)
        Potential at each wetted zone per ampere from the shore electrode. [Ω]
    couple : ndarray, shape (samples,) or ()
        Couple of hull steel against the shore earth; positive drives current out
        of the hull into the water. [V]
    afloat : bool
        False: she lies in dry dock, and nothing crosses any water.
    """

    conductance: float | Array
    electrode: Array
    mutual: Array
    couple: Array
    afloat: bool = True


def shore_connection(
    hull: Hull, berth: Berth, unknowns: PathUnknowns, *, hertz: float
) -> ShoreConnection:
    """Return the way back ashore at a berth.

    Parameters
    ----------
    hull : Hull
        The hull.
    berth : Berth
        How she lies.
    unknowns : PathUnknowns
        Shore earth and couple, where the berth leaves them blank and as far as what
        it says is true.
    hertz : float
        Frequency; 0 for direct current, which a galvanic isolator blocks. [Hz]

    Returns
    -------
    ShoreConnection
        With no conductance where no protective conductor is connected, or where a
        galvanic isolator blocks it.
    """
    direct = hertz == 0.0
    open_circuit = berth.earth_cable is None or (direct and berth.galvanic_isolator)
    couple = unknowns.couple_at(berth)
    return ShoreConnection(
        conductance=0.0 if open_circuit else 1.0 / (berth.earth_cable or np.inf),
        electrode=unknowns.shore_earth_at(berth),
        mutual=_mutual(hull, berth),
        couple=couple if direct else np.zeros_like(couple),
        afloat=berth.afloat,
    )


def _mutual(hull: Hull, berth: Berth) -> Array:
    """Potential at each wetted zone per ampere from the shore electrode [Ω].

    The electrode lies at the surface abreast of midships; where no distance is
    written it is remote.
    """
    centre = hull.body.centre[hull.body.zones]
    if berth.supply == "own" or berth.shore_distance is None:
        return np.zeros(len(centre))
    side = -1.0 if berth.shore_side == "port" else 1.0
    place = np.array(
        [0.5 * hull.length, side * (0.5 * hull.beam + berth.shore_distance), 0.0]
    )
    apart = np.linalg.norm(centre - place, axis=1)
    return np.asarray(hull.body.resistivity / (2.0 * np.pi * apart))
