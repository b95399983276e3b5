"""The ungrounded network: faults, a meter and lamps between conductors and hull.

A high-impedance voltmeter on a healthy, ungrounded conductor shows a large part of
the voltage to the star point, although nothing there could drive a current worth the
name: the system's capacitance holds the star point at hull potential. A meter of a
few kilohms lets that *ghost voltage* collapse where the capacitance is small.
"""

from collections.abc import Sequence
from dataclasses import dataclass
from typing import cast

import numpy as np
import numpy.typing as npt

from corrosion.foundation.assumptions import Assumptions
from corrosion.foundation.errors import InputError
from corrosion.foundation.types import Array
from corrosion.leakage.filament import LampLaw
from corrosion.leakage.lamp_load import conductor_volts_with_lamps
from corrosion.leakage.neutral_point import Phasors, conductor_index, median_admittance
from corrosion.records.ship import LampSet, System

_SOLID = 1e-9  # what a solid fault is taken as, far below any contact [Ω]


@dataclass(frozen=True, slots=True, kw_only=True)
class Solution:
    """What one state of the network does; complex phasors, real for direct current.

    The currents are those of the network *without* the meter and sum to zero: the
    faults', what returns, and the lamps'. Each is positive from the circuit into the
    steel.

    Arrays are of shape (..., c) where no other is said.
    """

    # each conductor to hull; where a meter was given, what it reads on each conductor
    # in turn, itself connected to that conductor only [V]
    hull_volts: Phasors
    fault_amps: Phasors  # shape (..., faults): through each fault [A]
    # shape (...): through the healthy capacitance and insulation of all conductors [A]
    return_amps: Phasors
    # through each lamp, on the line side of its transformer; 0 without lamps [A]
    lamp_amps: Phasors
    lamp_volts: Array | None  # magnitude across each lamp; None without lamps [V]


def solve(
    system: System,
    faults: Sequence[tuple[str, npt.ArrayLike]],
    meter: npt.ArrayLike | None = None,
    lamps: bool = False,
    *,
    assumptions: Assumptions | None = None,
) -> Solution:
    r"""Return the volts and currents of a system with faults to the hull.

    Parameters
    ----------
    system : System
        The system; capacitance and insulation that are not known are the medians of
        the basis table.
    faults : sequence of (str, array_like)
        Conductor and resistance of each fault, any number on any conductor; 0 is a
        solid one. The resistances broadcast against each other. [Ω]
    meter : array_like, optional
        Input resistance of a voltmeter, > 0; None: nothing is connected. [Ω]
    lamps : bool, optional
        Whether the system's detector lamps are connected.
    assumptions : Assumptions, optional

    Returns
    -------
    Solution
        Volts and currents.

    Raises
    ------
    InputError
        If a resistance is negative or not a number, or the system has no lamps.
    LookupFailed
        If the system has no such conductor.

    Notes
    -----
    Conductor k has :math:`Y_k = 1/R_0 + j \omega C_0 + \sum 1/R_f` and a
    lamp and a meter where they are connected; see
    :func:`corrosion.leakage.neutral_point.conductor_volts`. For one fault on an
    otherwise balanced system the current is :math:`I = V Y / (1 + Y R)`, with :math:`Y
    = 3 (1/R_0 + j \omega C_0)` and V from conductor to star point.

    Examples
    --------
    A solid fault on 440 V, 60 Hz, with 5 µF a conductor (√3·ω·C·V = 1.4366 A):

    >>> ship = System(name="power", kind="ac3", volts=440.0, hertz=60.0,
    ...               capacitance=5e-6, insulation=1e12)
    >>> round(float(abs(solve(ship, [("a", 0.0)]).fault_amps[0])), 4)
    1.4365
    """
    if lamps and system.lamps is None:
        msg = (
            f"solve: system {system.name!r} has no detector lamps. Give it a LampSet "
            "(volts, watts, ratio), or leave lamps out."
        )
        raise InputError(msg)
    source = system.star_volts
    columns = [conductor_index(system, conductor) for conductor, _ in faults]
    ohms = [_checked("fault", ohms) for _, ohms in faults]
    shape = np.broadcast_shapes((), *(each.shape for each in ohms))
    healthy = median_admittance(system, assumptions=assumptions)
    law = LampLaw.of(assumptions)
    through = np.empty((*shape, len(ohms)))
    admittance = np.full((*shape, len(source)), healthy)
    for index, (column, each) in enumerate(zip(columns, ohms, strict=True)):
        through[..., index] = 1.0 / np.maximum(each, _SOLID)
        admittance[..., column] += through[..., index]
    fitted = system.lamps if lamps else None
    volts, lamp = conductor_volts_with_lamps(source, admittance, fitted, law=law)
    read = volts
    if meter is not None:
        read = metered_volts(system, admittance, meter, lamps=fitted, law=law)
    return Solution(
        hull_volts=read,
        fault_amps=through * volts[..., columns],
        return_amps=np.asarray((healthy * volts).sum(axis=-1)),
        lamp_amps=lamp * volts,
        lamp_volts=np.abs(volts) / fitted.ratio if fitted else None,
    )


def metered_volts(
    system: System,
    admittance: Phasors,
    meter: npt.ArrayLike,
    *,
    law: LampLaw,
    lamps: LampSet | None = None,
    tie: complex = 0.0,
) -> Phasors:
    """Return what a voltmeter reads on each conductor in turn.

    Parameters
    ----------
    system : System
    admittance : ndarray, shape (..., c)
        Everything but lamps and meter between each conductor and the hull. [S]
    meter : array_like, shape (...)
        Its input resistance, >= 0. [Ω]
    law : LampLaw
    lamps : LampSet, optional
        Lamps that are connected.
    tie : complex, optional
        Star point to hull; 0: floating. [S]

    Returns
    -------
    ndarray, shape (..., c)
        Volts of each conductor while the meter is on that conductor only. [V]

    Raises
    ------
    InputError
        If the meter's resistance is negative or not a number.
    """
    load = 1.0 / np.maximum(_checked("meter", meter), _SOLID)
    turns = admittance[..., None, :] + load[..., None, None] * np.eye(
        len(system.conductors)
    )
    volts, _ = conductor_volts_with_lamps(system.star_volts, turns, lamps, tie, law=law)
    return cast("Phasors", np.diagonal(volts, axis1=-2, axis2=-1))


def _checked(what: str, ohms: npt.ArrayLike) -> Array:
    r = np.asarray(ohms, dtype=np.float64)
    bad = ~(r >= 0.0)
    if bad.any():
        at = tuple(int(axis[0]) for axis in np.nonzero(bad)) if r.ndim else ()
        msg = (
            f"solve: {what} resistance must be >= 0 Ω, got {r[at]:g} Ω at index {at} "
            f"({int(bad.sum())} of {r.size}). Use 0 for a solid fault and leave out "
            "one that is not known."
        )
        raise InputError(msg)
    return r
