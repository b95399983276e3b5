"""Zinc anodes of a protected ship, as electrodes: so many a plate, renewed in dock.

An anode drives (E - E_zinc) / R into the water before its plate, E being what the plate
stands at there, so that it gives little where the paint is whole, relieves a plate of
stray current, and is eaten by what it gives.
"""

from collections.abc import Callable
from typing import Final

import numpy as np

from corrosion.foundation.types import Array, IntArray
from corrosion.validation.nature import NOW, YEAR
from corrosion.validation.vessels import Plate
from corrosion.validation.voyages import Voyages

NET_KG: Final = 12.0
ZINC_V: Final = -1.03  # against Ag/AgCl (published galvanic series, secondary)
_AREA: Final = 15.0  # of plate for each anode [m²], common practice, no source
_HALF_GIRTH: Final = 0.25  # mean of length and breadth of a flush anode [m]
_AH: Final = (
    780.0 * NET_KG * 0.85
)  # zinc, utilised to 85 % (design guides, from memory)


def fitted(plates: list[Plate], bronze: Array) -> IntArray:
    """Return how many anodes each electrode bears; bronze bears none."""
    area = np.array([plate.area for plate in plates])
    return np.asarray(np.ceil(area / _AREA) * (bronze < 0.5), np.int64)


def conductance(count: IntArray, resistivity: Array) -> Array:
    """Return the conductance of all anodes of each electrode [S].

    Flush anodes by 2 S / rho (Lloyd's formula, from memory), S the mean of length and
    breadth; shape (states, electrodes) of ``resistivity`` of shape (states,).
    """
    return np.asarray(count * 2.0 * _HALF_GIRTH / resistivity[:, None])


def wear(
    amps_of: Callable[[Array], Array], count: IntArray, voyages: Voyages, yearly: Array
) -> tuple[Array, Array]:
    """Return the share of each anode that is there each year, and that left now.

    Parameters
    ----------
    amps_of : callable
        From shares, (years, electrodes), to the anodes' current in them. [A]
    count : ndarray of int, shape (electrodes,)
        Of :func:`fitted`.
    voyages : Voyages
        When she was docked.
    yearly : ndarray, shape (years,)
        When each year begins. [s]

    Returns
    -------
    tuple of ndarray, shapes (years, electrodes) and (electrodes,)
        1 while there is zinc left, else 0; and what is left of the zinc now.
    """
    whole = np.ones((len(yearly), len(count)))
    eaten = np.maximum(amps_of(whole), 0.0) * YEAR / 3600.0
    since = np.searchsorted(voyages.dockings, yearly, side="right")
    used = np.zeros_like(eaten)
    for y in range(1, len(yearly)):
        used[y] = np.where(since[y] == since[y - 1], used[y - 1] + eaten[y - 1], 0.0)
    part = 1.0 - used / np.maximum(count * _AH, 1.0)
    now = int(np.searchsorted(yearly, NOW, side="right")) - 1
    gone = eaten[now] * (NOW - yearly[now]) / YEAR / np.maximum(count * _AH, 1.0)
    return (part > 0.0).astype(float), np.clip(part[now] - gone, 0.0, 1.0)
