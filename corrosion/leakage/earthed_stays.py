"""What it says of a fault that it stood while an earthed supply fed its system.

More than a branch carries opens it. A fault that stood through such a stay passed less,
so that it was no dead short then; and one of which nobody wrote how it ended may have
ended as she came there.
"""

from collections.abc import Sequence
from dataclasses import dataclass, fields
from typing import Self

import numpy as np

from corrosion.foundation.types import Array, BoolArray, IntArray
from corrosion.foundation.units import DAY, MINUTE
from corrosion.leakage.earthing import is_earthed, median_earthing, supply_at
from corrosion.leakage.neutral_point import conductor_index
from corrosion.leakage.wander import Wander
from corrosion.records.ship import Berth, Fault, Ship, System


@dataclass(frozen=True, slots=True)
class DrawnFaults:
    """Samples of some faults, each of shape (samples, faults)."""

    # ohms, pole: resistance when first read, and conductor [Ω]
    ohms: Array
    pole: IntArray
    score: Array  # by how many standard deviations it has wandered at another time [-]
    most: Array  # the most that stands without opening a branch [A]
    direct: Array  # direct voltage behind each [V]

    def of(self, faults: Sequence[int]) -> Self:
        """Return some of the faults.

        Parameters
        ----------
        faults : sequence of int
            Columns.
        """
        return type(self)(*(getattr(self, f.name)[:, faults] for f in fields(self)))


def amps_ashore(
    ship: Ship, system: System, berth: Berth, *, ohms: Array, pole: IntArray
) -> Array:
    """Return the current of a fault at an earthed berth, the way back at its median.

    Parameters
    ----------
    ship, system, berth : Ship, System, Berth
    ohms, pole : ndarray, shape (samples,)
        Resistance of the fault and its conductor. [Ω]

    Returns
    -------
    ndarray, shape (samples,)
        [A]
    """
    tie = median_earthing(system, berth, ship.assumptions)
    volts = supply_at(system, berth).star_volts
    if tie.at in system.conductors:
        volts = volts - volts[conductor_index(system, str(tie.at))]
    return np.asarray(np.abs(volts)[pole] / (ohms + 1.0 / tie.conductance))


def stood_earthed(
    ship: Ship, wander: Wander, drawn: DrawnFaults, as_of: float
) -> tuple[BoolArray, Array]:
    """Return whether faults can have stood through earthed stays, and when they ended.

    Parameters
    ----------
    ship, wander, drawn : Ship, Wander, DrawnFaults
    as_of : float
        Date of the estimate. [s]

    Returns
    -------
    possible : ndarray of bool, shape (samples, faults)
        Whether each passed less than opens a branch in every earthed stay through which
        it is written to have stood.
    opened : ndarray, shape (samples, faults)
        When each was opened as she came to such a berth, of those of which nobody wrote
        how they ended; infinite: never. [s]
    """
    possible = np.ones(drawn.ohms.shape, dtype=np.bool_)
    opened = np.full(drawn.ohms.shape, np.inf)
    for k, fault in enumerate(ship.faults):
        if fault.source != "ground fault":
            continue
        system = ship.system(fault.system or "")
        until = stood_until(fault, as_of)
        for berth in ship.berths:
            if not is_earthed(system, berth):
                continue
            came = -np.inf if berth.start is None else berth.start.middle
            left = as_of if berth.end is None else min(berth.end.middle, as_of)
            low, high = max(came, fault.found.latest), min(left, until or as_of)
            if high - low < DAY:
                continue
            away = np.array(abs(0.5 * (low + high) - fault.found.middle))
            shift, sd = wander.over(away, np.array(high - low))
            then = drawn.ohms[:, k] * np.exp(shift + sd * drawn.score[:, k])
            amps = amps_ashore(ship, system, berth, ohms=then, pole=drawn.pole[:, k])
            trips = amps > drawn.most[:, k]
            if until is not None:
                possible[:, k] &= ~trips
            elif came > fault.found.latest:
                end = np.where(trips, came + MINUTE, np.inf)
                opened[:, k] = np.minimum(opened[:, k], end)
    return possible, opened


def stood_until(fault: Fault, as_of: float) -> float | None:
    """Return until when a fault stood for certain; None: nobody wrote it [s].

    Parameters
    ----------
    fault : Fault
    as_of : float
        Date of the estimate. [s]

    Returns
    -------
    float or None
        [s]
    """
    if fault.ended is not None:
        return fault.ended.earliest
    return as_of if fault.standing is True else None
