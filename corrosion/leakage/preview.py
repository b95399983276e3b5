"""The fault that readings point to, inferred as it will be once it is in the log."""

from dataclasses import dataclass, replace

import numpy as np

from corrosion.foundation.sampling import Draws
from corrosion.foundation.types import Array, IntArray
from corrosion.leakage.dated_states import berth_at
from corrosion.leakage.fault_currents import fault_currents
from corrosion.leakage.fault_unknowns import sample_faults
from corrosion.leakage.time_intervals import ConstantIntervals, Stay
from corrosion.records.ship import Berth, Fault, Ship


@dataclass(frozen=True, slots=True, kw_only=True)
class Preview:
    """One fault in the state in which it was found, a sample a row.

    Arrays are of shape (samples,) where no other is said.
    """

    resistance: Array  # of the fault [Ω]
    pole: IntArray  # position of the conductor at fault
    # amps_ac, amps_dc: alternating current (rms) and direct current (positive
    # into the steel) [A]
    amps_ac: Array
    amps_dc: Array
    berth: Berth  # how she lay


def preview(
    ship: Ship, fault: Fault, draws: Draws, *, as_of: float, earth: tuple[Array, Array]
) -> Preview:
    """Infer a fault as it will be inferred once it is in the log.

    Parameters
    ----------
    ship : Ship
    fault : Fault
        A ground fault that is not in the log, or one that shall replace the row of its
        name.
    draws : Draws
    as_of : float
        Date of the estimate. [s]
    earth : tuple of ndarray, shape (samples,)
        Shore earth, and the conductor to it, of the berth at that time. [Ω], [S]

    Returns
    -------
    Preview
        Resistance, conductor, currents beside the faults of the system that stood.
    """
    others = tuple(other for other in ship.faults if other.fault != fault.fault)
    saved = replace(ship, faults=(*others, fault))
    unknowns = sample_faults(saved, draws, as_of=as_of)
    k = len(others)
    found = unknowns.spans.found[:, k]
    stood = (unknowns.spans.began <= found[:, None]) & (
        found[:, None] <= unknowns.spans.ended
    )
    ground = np.array([each.source == "ground fault" for each in saved.faults])
    berth = berth_at(ship, fault.found.middle)
    currents = fault_currents(
        saved,
        unknowns,
        Stay(berth=berth, start=found, end=found),
        intervals=ConstantIntervals(
            np.zeros((draws.samples, 1)), found[:, None], (stood & ground)[:, None]
        ),
        standing=np.arange(len(saved.faults)),
        rows=slice(None),
        earth=earth,
    )
    amps = {"ac": np.zeros(draws.samples), "dc": np.zeros(draws.samples)}
    for each in currents:
        at = np.flatnonzero(each.faults == k)
        if at.size and each.system is not None:
            own = each.amps[:, 0, int(at[0])]
            amps[each.current] = np.abs(own) if each.current == "ac" else own.real
    return Preview(
        resistance=unknowns.resistance[:, k],
        pole=unknowns.pole[:, k],
        amps_ac=amps["ac"],
        amps_dc=amps["dc"],
        berth=berth,
    )
