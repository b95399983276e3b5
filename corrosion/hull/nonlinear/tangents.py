"""Linear networks that answer as a nonlinear one does to a little more of each cause.

All that drives currents, injected amperes and couple, is switched on together, little
by little. At nodes of that path each zone's bare steel is the resistance that one more
ampere would meet there, the *tangent*; what each cause adds along the path, summed over
the nodes, is what it is charged (Aumann and Shapley). The secant of the whole, which
shares out currents by superposition, is right where nothing protects and up to a
seventh wrong where protection holds the steel: there the law bends most.
"""

from collections.abc import Iterator
from dataclasses import dataclass, replace
from typing import Final

import numpy as np

from corrosion.foundation.types import Array
from corrosion.hull.nonlinear.newton import NonlinearNetwork, isolator_voltage, iterate

_AT, _WEIGHT = np.polynomial.legendre.leggauss(4)

NODE_WIDTHS: Final[Array] = 0.5 * _WEIGHT
"""Shares of the path for which the nodes stand, in their order. [-]"""

_WITHIN = 1e-3  # of the largest current: shares need no more


@dataclass(frozen=True, slots=True, kw_only=True)
class Tangent:
    """The linear network at one node of the path."""

    # shape (cases, wetted): resistance of one square metre of bare steel to a
    # little more current [Ω·m²]
    interface: Array
    # shape (cases,): of protective conductor and isolator together, to a
    # little more voltage [S]
    conductance: Array


def tangents(system: NonlinearNetwork) -> Iterator[Tangent]:
    """Yield the tangents at the nodes of the path on which all is switched on.

    One a node, from nothing to all; where no balance is found, of as far as Newton
    came.

    ``system``: with all that drives currents wholly on.
    """
    z = np.zeros((len(system.total), system.bare.shape[1] + 1))
    for share in 0.5 + 0.5 * _AT:
        part = replace(
            system,
            source=share * system.source,
            total=share * system.total,
            couple=share * system.couple,
        )
        z, _ = iterate(part, z, within=_WITHIN)
        volts = z[:, -1] - part.couple
        _, slope = isolator_voltage(volts, system.threshold, system.slope_v)
        yield Tangent(
            interface=1.0 / system.steel.slope(z[:, :-1]),
            conductance=system.conductance * slope,
        )
