"""What a person who touches a conductor and the hull would carry: no sign of safety."""

from dataclasses import dataclass
from typing import cast

import numpy as np

from corrosion.foundation import assumptions
from corrosion.foundation.types import Array, IntArray
from corrosion.leakage.conditions import berth_at, earth_tie
from corrosion.leakage.fault_currents import FaultUnknowns
from corrosion.leakage.lamp_load import conductor_volts_with_lamps
from corrosion.leakage.network import metered_volts
from corrosion.leakage.neutral_point import (
    Phasors,
    healthy_admittance,
    median_admittance,
)
from corrosion.records.ship import LampSet, Ship, System

__all__ = ["Standing", "healthy_touch", "standing", "standing_touch", "touch_amps"]


def touch_amps(
    system: System,
    admittance: Phasors,
    *,
    lamps: LampSet | None = None,
    tie: complex = 0.0,
) -> Array:
    """Return the current through a body from one conductor to hull, the largest.

    Parameters
    ----------
    system : System
        The system.
    admittance : ndarray, shape (..., c)
        Everything but lamps between each conductor and the hull. [S]
    lamps : LampSet, optional
        Lamps that are connected.
    tie : complex, optional
        Star point to hull; 0: floating. [S]

    Returns
    -------
    ndarray, shape (...)
        Largest over the conductors, through the basis table's ``body_ohm``. [A]

    Examples
    --------
    1,000 Ω on a floating 440 V, 60 Hz system with 1.4 µF a conductor:

    >>> ship = System(name="service", kind="ac3", volts=440.0, hertz=60.0,
    ...               capacitance=1.4e-6, insulation=400e3)
    >>> round(float(1e3 * healthy_touch(ship)))
    215
    """
    body = assumptions.value("body_ohm")
    y = cast("Phasors", np.asarray(admittance))
    volts = metered_volts(system, y, np.full(y.shape[:-1], body), lamps=lamps, tie=tie)
    return np.asarray(np.abs(volts).max(axis=-1) / body)


def healthy_touch(system: System) -> float:
    """Return the touch current of a healthy system, floating, without lamps.

    Parameters
    ----------
    system : System
        The system; what it does not state is the table's median.

    Returns
    -------
    float
        Largest over the conductors. [A]
    """
    healthy = np.full(len(system.conductors), median_admittance(system))
    return float(touch_amps(system, healthy))


@dataclass(frozen=True, slots=True, kw_only=True)
class Standing:
    """One system at a moment, with the ground faults that stand then.

    Attributes
    ----------
    faults : ndarray of int, shape (standing,)
        Positions in ``ship.faults``.
    admittance : ndarray, shape (samples, c)
        Each conductor to hull, faults included, lamps not. [S]
    tie : float
        Star point to hull, through the shore earth. [S]
    amps : ndarray, shape (samples, standing)
        Through each fault, as far as an earthed supply does not trip. [A]
    """

    faults: IntArray
    admittance: Phasors
    tie: float
    amps: Array


def standing(
    ship: Ship, system: System, unknowns: FaultUnknowns, *, as_of: float
) -> Standing:
    """Return a system as it stands at a moment.

    Parameters
    ----------
    ship : Ship
        As her records stood then.
    system : System
        One of hers.
    unknowns : FaultUnknowns
        Samples of resistance and conductor of every fault.
    as_of : float
        The moment, from 1970-01-01 00:00. [s]

    Returns
    -------
    Standing
        Faults without a clearing, of which none is isolated.
    """
    places = np.array(
        [
            k
            for k, fault in enumerate(ship.faults)
            if fault.source == "ground fault"
            and fault.system == system.name
            and fault.stands
        ],
        dtype=np.int64,
    )
    healthy = healthy_admittance(
        system,
        capacitance=unknowns.capacitance[system.name],
        insulation=unknowns.insulation[system.name],
    )
    count = len(system.conductors)
    admittance = np.repeat(np.reshape(healthy, (-1, 1)), count, axis=1)
    pole = unknowns.pole[:, places]
    conductance = 1.0 / unknowns.resistance[:, places]
    on = pole[:, :, None] == np.arange(count)
    admittance = admittance + (conductance[:, :, None] * on).sum(axis=1)
    tie = earth_tie(system, berth_at(ship, as_of))
    volts, _ = conductor_volts_with_lamps(
        system.star_volts, admittance, system.lamps, tie
    )
    amps = np.abs(np.take_along_axis(volts, pole, axis=1)) * conductance
    if tie > 0.0:
        amps = np.minimum(amps, unknowns.trip[:, places])
    return Standing(faults=places, admittance=admittance, tie=tie, amps=amps)


def standing_touch(system: System, state: Standing) -> Array:
    """Return the touch current as the system stands, shape (samples,). [A].

    With its faults, its lamps lit, and its insulation monitor where that is written.

    Parameters
    ----------
    system : System
        The system.
    state : Standing
        From :func:`standing`.
    """
    monitor = 0.0 if system.monitor is None else 1.0 / system.monitor
    tie = state.tie + monitor
    return touch_amps(system, state.admittance, lamps=system.lamps, tie=tie)
