"""Where the star point of an ungrounded system floats, and each conductor with it.

The core of the room: one closed form over arrays of any shape, conductors on the last
axis. Direct current is the same formula in real numbers.
"""

from typing import TypeAlias, cast

import numpy as np

from corrosion.foundation.assumptions import Assumptions, default_assumptions
from corrosion.foundation.errors import LookupFailed
from corrosion.foundation.types import Array, ComplexArray
from corrosion.foundation.units import MICROFARAD
from corrosion.records.ship import System

Phasors: TypeAlias = Array | ComplexArray
"""Complex rms phasors of alternating current; real for direct current."""


def conductor_volts(
    source: Phasors, admittance: Phasors, tie: Phasors | complex = 0.0
) -> Phasors:
    r"""Return the voltage of each conductor to the hull.

    Parameters
    ----------
    source : ndarray, shape (c,)
        Voltage of each conductor about the star point. [V]
    admittance : ndarray, shape (..., c)
        Everything between each conductor and the hull. [S]
    tie : ndarray, shape (...), or complex, optional
        Star point to hull, as through an earthed shore supply; 0: floating. [S]

    Returns
    -------
    ndarray, shape (..., c)
        Volts to hull: complex rms phasors, or real where everything given is real.
        A network without any path to the hull keeps its star point at hull
        potential. [V]

    Notes
    -----
    Millman's theorem puts the star point at :math:`V_N = -\sum Y_j E_j / (\sum Y_j +
    Y_t)` and conductor k at :math:`U_k = E_k + V_N`. It is written here as

    .. math:: U_k = \frac{\sum_j Y_j (E_k - E_j) + Y_t E_k}{\sum_j Y_j + Y_t} \quad (1)

    which is the same but cancels nothing, so that the few microvolts of a conductor
    lying solidly on the hull keep all their digits, and charge is conserved.

    Examples
    --------
    A lost conductor of a two-wire system, the other one on 1 kΩ:

    >>> conductor_volts(np.array([110.0, -110.0]), np.array([0.0, 1e-3]))
    array([220.,   0.])
    """
    e = np.asarray(source)
    y = np.asarray(admittance)
    t = np.asarray(tie)
    rows = [y[..., k] for k in range(e.size)]  # few conductors, many states
    total = sum(rows[1:], rows[0]) + t
    adrift = total == 0.0
    over = np.where(adrift, 1.0, total)
    volts = np.empty((*total.shape, e.size), np.result_type(e, y, t))
    for k, own in enumerate(e):
        lifted = t * own
        for j, row in enumerate(rows):
            if j != k:
                lifted = lifted + row * (own - e[j])
        volts[..., k] = np.where(adrift, own, lifted / over)
    return cast("Phasors", volts)


def healthy_admittance(
    system: System, *, capacitance: Array | float, insulation: Array | float
) -> Phasors:
    r"""Return what the healthy system puts between each conductor and the hull.

    Parameters
    ----------
    system : System
        Gives the frequency and the kind of current.
    capacitance, insulation : array_like
        Each conductor to hull [F]; each conductor to hull, > 0. [Ω]

    Returns
    -------
    ndarray
        Admittance of every one of the conductors alike, :math:`1/R_0 + j \omega C_0`;
        real for direct current; broadcast shape, no axis of conductors. [S]

    Examples
    --------
    >>> dc = System(name="legacy", kind="dc2", volts=220.0)
    >>> float(healthy_admittance(dc, capacitance=1e-6, insulation=500e3))
    2e-06
    """
    leak = 1.0 / np.asarray(insulation, dtype=np.float64)
    c = np.asarray(capacitance, dtype=np.float64)
    if system.kind == "dc2":
        return np.asarray(leak + 0.0 * c)
    return np.asarray(leak + 1j * system.omega * c)


def median_admittance(
    system: System, *, assumptions: Assumptions | None = None
) -> complex:
    """Return the healthy admittance of each conductor as far as it is known.

    Parameters
    ----------
    system : System
        Capacitance and insulation that it does not state are the medians of the
        assumptions.
    assumptions : Assumptions, optional

    Returns
    -------
    complex
        Of every one of the conductors alike; a float for direct current. [S]

    Examples
    --------
    >>> median_admittance(System(name="legacy", kind="dc2", volts=220.0))
    2e-06
    """
    table = assumptions or default_assumptions()
    c, r = system.capacitance, system.insulation
    if c is None:
        c = table.value("hull_capacitance_uf") * MICROFARAD
    if r is None:
        r = table.value("insulation_ohm")
    return cast(
        "complex", healthy_admittance(system, capacitance=c, insulation=r).item()
    )


def conductor_index(system: System, conductor: str) -> int:
    """Return the position of a conductor on every conductor axis.

    Raises LookupFailed if the system has no such conductor.

    Examples
    --------
    >>> conductor_index(System(name="power", kind="ac3", volts=440.0), "c")
    2
    """
    if conductor not in system.conductors:
        what = f"conductor of {system.name} ({system.kind})"
        raise LookupFailed.among(what, conductor, system.conductors)
    return system.conductors.index(conductor)
