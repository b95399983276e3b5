"""The current that leaves each zone into the water, for currents into the steel.

The door to the solution of the current paths for those who want one answer: a hull
(:mod:`~corrosion.hull.model`), a berth (:mod:`~corrosion.hull.shore_connection`) and
the network that joins them (:mod:`~corrosion.hull.network`, which gives the equations).
"""

import numpy as np
import numpy.typing as npt

from corrosion.foundation.errors import InputError
from corrosion.foundation.types import Array
from corrosion.hull.model import Hull
from corrosion.hull.network import painted_network, transfer
from corrosion.hull.shore_connection import shore_connection
from corrosion.hull.uncertain import median_paths
from corrosion.records.ship import Berth


def water_currents(hull: Hull, injected_a: npt.ArrayLike, berth: Berth) -> Array:
    """Return the current that leaves each zone into the water.

    Parameters
    ----------
    hull : Hull
        The hull, its coating as last seen, its unknowns at their medians.
    injected_a : array_like, shape (zones,)
        Direct current into the steel of each zone; negative where it is taken out.
        What does not sum to zero returns ashore. [A]
    berth : Berth
        How she lies: protective conductor, shore earth, couple.

    Returns
    -------
    ndarray, shape (zones,)
        Current leaving each zone, positive out of the steel into the water, the
        couple's included; zero for zones that do not conduct into the sea. [A]

    Raises
    ------
    InputError
        If there is not one current a zone.

    References
    ----------
    .. [1] J. Newman, "Resistance for flow of current to a disk", J. Electrochem.
       Soc. 113, 1966, 501 (the electrode resistances that the matrix must meet).
    """
    amps = np.asarray(injected_a, dtype=np.float64)
    count = len(hull.bare)
    if amps.shape != (count,):
        msg = (
            f"water_currents: injected_a must have one current a zone, shape "
            f"({count},), got {amps.shape}."
        )
        raise InputError(msg)
    wet = hull.body.zones
    unknowns = median_paths(hull.assumptions)
    tied = painted_network(hull, hull.bare[None, wet], unknowns)
    loop = shore_connection(hull, berth, unknowns, hertz=0.0, hull_ohms=tied.hull_ohms)
    solved = transfer(tied, loop)
    leaving = np.zeros(count)
    leaving[wet] = (
        solved.per_ampere_over(amps)[0]
        + amps.sum() * solved.ashore[0]
        + solved.couple[0]
    )
    return leaving
