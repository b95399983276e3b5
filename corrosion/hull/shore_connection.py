"""The way back ashore at a berth: protective conductor, shore earth, couple."""

from dataclasses import dataclass, replace

import numpy as np

from corrosion.foundation.types import Array, IntArray
from corrosion.hull.electrodes import Electrodes
from corrosion.hull.model import Hull
from corrosion.hull.uncertain import PathUnknowns
from corrosion.records.ship import Berth

_FAR = 2.0  # no couple polarises an earth by more [V]
_ROUNDS = 60  # of Newton's steps, or halvings where a step leaves the bracket
_SETTLED = 1e-10  # a step so small was the last: it leaves less than rounding does [V]
_OPEN = 1e12  # what a couple meets where nothing is connected [Ω]
_SMALL = 1e-6  # a current that polarises nothing [A]


@dataclass(frozen=True, slots=True, kw_only=True)
class ShoreConnection:
    """The way back ashore.

    Arrays are of shape (samples,) or () where no other is said.
    """

    # shape (samples,): of the protective conductor; 0: none connected, or blocked [S]
    conductance: Array
    electrode: Array  # shore earth to remote earth [Ω]
    # shape (wetted,): potential at each wetted zone per ampere from
    # the shore electrode [Ω]
    mutual: Array
    # couple of hull steel against the shore earth; positive drives current out of the
    # hull into the water [V]
    couple: Array
    afloat: bool = True  # false: she lies in dry dock, and nothing crosses any water

    def rows(self, sample: IntArray) -> "ShoreConnection":
        """Return that of some samples, one of them as often as it is asked for."""
        samples = self.conductance.shape
        return replace(
            self,
            conductance=self.conductance[sample],
            electrode=np.broadcast_to(self.electrode, samples)[sample],
            couple=np.broadcast_to(self.couple, samples)[sample],
        )


def shore_connection(
    hull: Hull,
    berth: Berth,
    unknowns: PathUnknowns,
    *,
    hertz: float,
    hull_ohms: Array | None = None,
) -> ShoreConnection:
    """Return the way back ashore at a berth.

    Parameters
    ----------
    hull, berth : Hull, Berth
    unknowns : PathUnknowns
        Shore earth and couple, where the berth leaves them blank and as far as what
        it says is true.
    hertz : float
        Frequency; 0 for direct current, which a galvanic isolator blocks. [Hz]
    hull_ohms : ndarray, shape (samples,), optional
        What the couple's current meets in hull and water: given, the shore earth
        polarises by that current (:func:`polarised_ohms`). [Ω]

    Returns
    -------
    ShoreConnection
        With no conductance where no protective conductor is connected, or where a
        galvanic isolator blocks it.
    """
    direct = hertz == 0.0
    conductor = unknowns.earth_conductance_at(berth)
    couple = unknowns.couple_at(berth)
    electrode = unknowns.shore_earth_at(berth)
    # behind an isolator too: what makes it conduct meets the same earth
    if direct and conductor.any() and hull_ohms is not None:
        ohms = hull_ohms + electrode + open_ohms(conductor)
        electrode = electrode + polarised_ohms(berth, unknowns, ohms)
    return ShoreConnection(
        conductance=conductor * float(not (direct and berth.galvanic_isolator)),
        electrode=electrode,
        mutual=_mutual(hull, berth),
        couple=couple if direct else np.zeros_like(couple),
        afloat=berth.afloat,
    )


def open_ohms(conductance: Array) -> Array:
    """Return the resistance of conductors, without end where none is connected [Ω]."""
    return 1.0 / np.maximum(conductance, 1.0 / _OPEN)


def polarised_ohms(berth: Berth, unknowns: PathUnknowns, ohms: Array) -> Array:
    """Return what a shore earth resists beside its ohms, where the couple polarises it.

    Parameters
    ----------
    berth : Berth
    unknowns : PathUnknowns
        Couple, kind and limit of the earth, a sample a row.
    ohms : ndarray, shape (samples,)
        All that the couple's current meets beside. [Ω]

    Returns
    -------
    ndarray, shape (samples,)
        The volts by which the earth is polarised over the couple's current: a pure
        resistance would let 1.1 to 3.5 times as much flow. Faults that return ashore
        meet the same. [Ω]

    Notes
    -----
    The earth's law (:mod:`~corrosion.hull.electrodes`) times the area that takes up
    its limit of oxygen; its polarisation *x* by Newton's steps between bounds, as the
    couple's volts less what all resistances take rise with it.
    """
    couple = unknowns.couple_at(berth)
    laws = Electrodes.of_rows(unknowns.earth_law_at(berth))
    area = unknowns.earth_limit / (laws.natural * laws.oxygen)[:, 0]

    low, high = np.full_like(ohms, -_FAR), np.full_like(ohms, _FAR)
    x = np.zeros_like(ohms)
    for _ in range(_ROUNDS):
        law = laws.at(laws.rest + x[:, None])
        over = couple + x + area * law.net[:, 0] * ohms
        low, high = np.where(over < 0.0, x, low), np.where(over < 0.0, high, x)
        ahead = x - over / (1.0 + area * law.slope[:, 0] * ohms)
        inside = (low <= ahead) & (ahead <= high)  # at the end it is one of them
        ahead = np.where(inside, ahead, 0.5 * (low + high))
        moved, x = np.abs(ahead - x).max(initial=0.0), ahead
        if moved < _SETTLED:
            break
    amps = -area * laws.at(laws.rest + x[:, None]).net[:, 0]
    at_rest = 1.0 / (area * laws.at(laws.rest).slope[:, 0])
    small = np.abs(amps) < _SMALL
    return np.where(small, at_rest, -x / np.where(small, 1.0, amps))


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
