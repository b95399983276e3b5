"""Amperes into the steel, in each stretch of constant state.

Every fault of a system is solved together with those that stand beside it, from the
resistance that its readings leave possible, in the state of each stretch: how she is
fed, where that supply is earthed, who else stands. A direct source behind a fault of an
alternating system drives a current of its own beside the alternating one.
"""

from dataclasses import replace
from typing import get_args

import numpy as np

from corrosion.foundation.types import Array, BoolArray, ComplexArray, IntArray
from corrosion.foundation.units import MAINS
from corrosion.leakage.earthing import earthing_at, is_earthed, supply_at
from corrosion.leakage.fault_unknowns import FaultUnknowns
from corrosion.leakage.fed_system import FedSystem, SystemCurrents, with_log
from corrosion.leakage.time_intervals import ConstantIntervals, Stay
from corrosion.records.ship import Berth, Current, Ship


def returns_ashore(ship: Ship, berth: Berth) -> BoolArray:
    """Return which faults' currents return ashore at a berth, shape (faults,).

    As each fault's record says; where it is blank, ashore on an earthed shore supply
    that feeds the fault's system, else aboard.
    """
    tied = {system.name: is_earthed(system, berth) for system in ship.systems}
    shore = berth.supply == "shore earthed"
    return np.array(
        [
            tied.get(fault.system or "", shore)
            if fault.returns is None
            else fault.returns == "ashore"
            for fault in ship.faults
        ],
        dtype=np.bool_,
    )


def fault_currents(  # noqa: PLR0913 - a step is ship, unknowns, berth and who stands
    ship: Ship,
    unknowns: FaultUnknowns,
    stay: Stay,
    *,
    intervals: ConstantIntervals,
    standing: IntArray,
    rows: slice,
    earth: tuple[Array, Array],
) -> list[SystemCurrents]:
    """Return the currents into the steel in each interval of a step.

    Parameters
    ----------
    ship, unknowns : Ship, FaultUnknowns
    stay : Stay
        How she lies, and from when to when in each of all samples.
    intervals : ConstantIntervals
        The stretches, and which of ``standing`` stand in each.
    standing : ndarray of int, shape (standing,)
        Positions in ``ship.faults``.
    rows : slice
        Which samples of ``unknowns``.
    earth : tuple of ndarray, shape (samples,)
        Shore earth of this berth to remote earth, and the protective conductor from
        the hull to it; 0: none connected. [Ω], [S]

    Returns
    -------
    list of SystemCurrents
        One a system that leaks, another where direct current flows in an alternating
        one, and one for each kind of other current.
    """
    found: list[SystemCurrents] = []
    here = [ship.faults[k] for k in standing]
    berth = stay.berth
    for system in ship.systems:
        mine = [
            i
            for i, fault in enumerate(here)
            if fault.source == "ground fault" and fault.system == system.name
        ]
        if mine:
            tie = earthing_at(system, berth, shore_earth=earth[0], conductor=earth[1])
            fed = FedSystem(supply_at(system, berth), unknowns, rows, tie, stay)
            found += fed.currents(intervals.of(mine), standing[mine])
    for kind in get_args(Current):
        mine = [
            i
            for i, fault in enumerate(here)
            if fault.source != "ground fault" and fault.current == kind
        ]
        if mine:
            which, cut = standing[mine], intervals.of(mine)
            amps: Array | ComplexArray = cut.active * unknowns.amps[rows, None, which]
            amps = with_log(unknowns, amps, cut, which, kind)
            found.append(
                SystemCurrents(
                    current=kind,
                    hertz=0.0 if kind == "dc" else MAINS,
                    faults=which,
                    amps=amps if kind == "dc" else amps.astype(np.complex128),
                    lamps=None,
                    system=None,
                )
            )
    present = np.array([fault.present for fault in ship.faults])
    return [_in_part(each, present) for each in found]


def _in_part(each: SystemCurrents, present: Array) -> SystemCurrents:
    """Return currents as they are in the mean, of faults that come and go."""
    share = present[each.faults]
    if (share == 1.0).all():
        return each
    return replace(each, amps=each.amps * share)
