"""What a person who touches a conductor and the hull would carry: no sign of safety."""

from dataclasses import dataclass
from typing import cast

import numpy as np

from corrosion.foundation.assumptions import Assumptions, default_assumptions
from corrosion.foundation.types import Array, IntArray
from corrosion.leakage.dated_states import berth_at
from corrosion.leakage.earthing import median_earthing, supply_at
from corrosion.leakage.fault_unknowns import FaultUnknowns
from corrosion.leakage.filament import LampLaw
from corrosion.leakage.lamp_load import conductor_volts_with_lamps
from corrosion.leakage.network import metered_volts
from corrosion.leakage.neutral_point import (
    Phasors,
    healthy_admittance,
    median_admittance,
)
from corrosion.records.ship import LampSet, Ship, System


def touch_amps(
    system: System,
    admittance: Phasors,
    *,
    lamps: LampSet | None = None,
    tie: complex = 0.0,
    assumptions: Assumptions | None = None,
) -> Array:
    """Return the current through a body from one conductor to hull, the largest.

    Parameters
    ----------
    system : System
    admittance : ndarray, shape (..., c)
        Everything but lamps between each conductor and the hull. [S]
    lamps : LampSet, optional
        Lamps that are connected.
    tie : complex, optional
        Star point to hull; 0: floating. [S]
    assumptions : Assumptions, optional

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
    214
    """
    body = (assumptions or default_assumptions()).value("body_ohm")
    law = LampLaw.of(assumptions)
    y = cast("Phasors", np.asarray(admittance))
    ohms = np.full(y.shape[:-1], body)
    volts = metered_volts(system, y, ohms, lamps=lamps, tie=tie, law=law)
    return np.asarray(np.abs(volts).max(axis=-1) / body)


def healthy_touch(system: System, *, assumptions: Assumptions | None = None) -> float:
    """Return the touch current of a healthy system, floating, without lamps.

    Parameters
    ----------
    system : System
        The system; what it does not state is the table's median.
    assumptions : Assumptions, optional

    Returns
    -------
    float
        Largest over the conductors. [A]
    """
    each = median_admittance(system, assumptions=assumptions)
    healthy = np.full(len(system.conductors), each)
    return float(touch_amps(system, healthy, assumptions=assumptions))


@dataclass(frozen=True, slots=True, kw_only=True)
class Standing:
    """One system at a moment, with the ground faults that stand then."""

    faults: IntArray  # shape (standing,): positions in `ship.faults`
    # shape (samples, c): each conductor to hull, faults included, lamps not [S]
    admittance: Phasors
    tie: float  # neutral point to hull, as through the shore earth [S]
    earthed: float  # whatever ties her to earth, neutral point or conductor [S]
    fed: System  # the system as it is fed
    # shape (samples, standing): through each fault, as far as its branch
    # is not opened [A]
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
    unknowns : FaultUnknowns
        Samples of resistance and conductor of every fault.
    as_of : float
        The moment, from 1970-01-01 00:00. [s]

    Returns
    -------
    Standing
        Faults of which nobody wrote that they were cleared or isolated: where a life
        hangs on it, one found long ago counts as standing too.
    """
    mine = ship.ground_faults(system.name)
    places = np.array([k for k in mine if ship.faults[k].stands], dtype=np.int64)
    healthy = healthy_admittance(
        system,
        capacitance=unknowns.capacitance[system.name],
        insulation=unknowns.insulation[system.name],
    )
    count = len(system.conductors)
    admittance = np.repeat(np.reshape(healthy, (-1, 1)), count, axis=1)
    pole = unknowns.pole[:, places]
    now = np.full(len(pole), as_of)
    conductance = 1.0 / unknowns.path.within(slice(None), places, now, now)
    on = pole[:, :, None] == np.arange(count)
    admittance = admittance + (conductance[:, :, None] * on).sum(axis=1)
    berth = berth_at(ship, as_of)
    earthing = median_earthing(system, berth, ship.assumptions)
    fed = supply_at(system, berth)
    tie, tied = earthing.parts(system)
    admittance = admittance + tied
    volts, _ = conductor_volts_with_lamps(
        fed.star_volts, admittance, system.lamps, tie, law=unknowns.law
    )
    amps = np.abs(np.take_along_axis(volts, pole, axis=1)) * conductance
    amps = np.minimum(amps, unknowns.trip[:, places])
    return Standing(
        faults=places,
        admittance=admittance,
        tie=tie,
        earthed=earthing.conductance,
        fed=fed,
        amps=amps,
    )


def standing_touch(
    system: System, state: Standing, *, assumptions: Assumptions | None = None
) -> Array:
    """Return the touch current as the system stands, shape (samples,). [A].

    With its faults, its lamps lit, and its insulation monitor where that is written.

    Parameters
    ----------
    system : System
    state : Standing
        From :func:`standing`.
    assumptions : Assumptions, optional
    """
    monitor = 0.0 if system.monitor is None else 1.0 / system.monitor
    tie = state.tie + monitor
    return touch_amps(
        state.fed,
        state.admittance,
        lamps=system.lamps,
        tie=tie,
        assumptions=assumptions,
    )
