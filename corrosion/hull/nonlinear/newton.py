"""Currents that balance in a network of nonlinear interfaces: Newton, step by step.

The equations stand at the head of :mod:`corrosion.hull.nonlinear.currents`. What is
left unbalanced is the slope of a strictly convex function of the potentials, so there
is one answer, and Newton's steps, halved where they overshoot, reach it from anywhere.
"""

from dataclasses import dataclass, replace
from typing import Final

import numpy as np

from corrosion.foundation.types import Array, BoolArray
from corrosion.hull.held_electrodes import HeldElectrodes
from corrosion.hull.nonlinear.polarisation import BareSteel

BALANCED: Final = 1e-10
"""Of the largest current: how well each node balances, if nothing else is said. [-]"""

_STEPS: Final = 200
_LEAST_AMPS: Final = 1e-9  # less is lost in rounding, and dissolves nothing
_HALVINGS: Final = 60


@dataclass(frozen=True, slots=True, kw_only=True)
class NonlinearNetwork:
    """Steel, interfaces, water and shore, a case a row.

    The unknowns *z* are a row a case: polarisation of each wetted zone, then the
    hull's reference zone over the shore electrode. [V]

    Arrays are of shape (cases, wetted) where no other is said.
    """

    # shape (cases, wetted, wetted): of the resistances of water, steel
    # and shore electrode [S]
    inverse: Array
    # steel of each zone over the reference zone, were no current to leave it [V]
    source: Array
    # shape (cases,): what is injected and not taken out of the steel again [A]
    total: Array
    steel: BareSteel | HeldElectrodes  # of shape (cases, wetted) [A/m²]
    bare: Array  # bare area [m²]
    paint: Array  # conductance of the coated area [S]
    conductance: Array  # shape (cases,): of the protective conductor; 0: none [S]
    # voltage below which an isolator in it is open; 0: no isolator [V]
    threshold: float
    slope_v: float  # within which it opens and closes [V]
    couple: Array  # shape (cases,): hull steel against the shore earth [V]

    def row(self, which: BoolArray) -> "NonlinearNetwork":
        """Return some of the cases."""
        return replace(
            self,
            inverse=self.inverse[which],
            source=self.source[which],
            total=self.total[which],
            steel=self.steel.row(which),
            bare=self.bare[which],
            paint=self.paint[which],
            conductance=self.conductance[which],
            couple=self.couple[which],
        )

    def leaving(self, z: Array) -> Array:
        """Return what the network takes from each zone: exact in its sum [A]."""
        drive = z[:, -1:] + self.source - z[:, :-1]
        return np.asarray((self.inverse @ drive[:, :, None])[:, :, 0])

    def unbalance(self, z: Array) -> Array:
        """Return what is left over at each zone and at the hull as a whole [A]."""
        leaving, x = self.leaving(z), z[:, :-1]
        zones = self.bare * self.steel.added(x) + self.paint * x - leaving
        volts = z[:, -1] - self.couple
        left, _ = isolator_voltage(volts, self.threshold, self.slope_v)
        whole = self.conductance * left + leaving.sum(axis=1) - self.total
        return np.concatenate([zones, whole[:, None]], axis=1)

    def jacobian(self, z: Array) -> Array:
        """Return the derivative of :meth:`unbalance`: symmetric, positive [S]."""
        x, n = z[:, :-1], z.shape[1] - 1
        # W, bordered by what the hull as a whole takes: -W 1 and 1'W 1. To the diagonal
        # come the slopes of what is not linear, all positive, so that a step always
        # exists.
        full = np.empty((len(z), n + 1, n + 1))
        full[:, :n, :n] = self.inverse
        full[:, :n, n] = full[:, n, :n] = -self.inverse.sum(axis=2)
        diagonal = self.bare * self.steel.slope(x) + self.paint
        full[:, np.arange(n), np.arange(n)] += diagonal
        volts = z[:, -1] - self.couple
        _, slope = isolator_voltage(volts, self.threshold, self.slope_v)
        full[:, n, n] = self.inverse.sum(axis=(1, 2)) + self.conductance * slope
        return full

    def scale(self, z: Array) -> Array:
        """Return the current against which a balance is judged, (cases,) [A]."""
        largest = np.abs(self.leaving(z)).max(axis=1, initial=0.0)
        told = np.maximum(1e-3 * np.abs(self.total), _LEAST_AMPS)
        return np.asarray(np.maximum(largest, told))


def isolator_voltage(
    volts: Array, threshold: float, slope_v: float
) -> tuple[Array, Array]:
    """Return what of a voltage an isolator leaves for the conductor, and the slope.

    Parameters
    ----------
    volts : ndarray
        Across both, any shape. [V]
    threshold : float
        Voltage below which it is open; 0: no isolator, all of it is left. [V]
    slope_v : float
        Within which it opens and closes. [V]

    Returns
    -------
    left, slope : ndarray
        In that shape: over the conductor [V], and its derivative [-].
    """
    if threshold == 0.0:
        return volts, np.ones_like(volts)
    from scipy.special import expit  # noqa: PLC0415 - importing corrosion stays light

    up, down = (volts - threshold) / slope_v, (-volts - threshold) / slope_v
    left = slope_v * (np.logaddexp(0.0, up) - np.logaddexp(0.0, down))
    return left, np.asarray(expit(up) + expit(down))


def iterate(
    system: NonlinearNetwork, start: Array, *, within: float
) -> tuple[Array, BoolArray]:
    """Return the unknowns at which everything balances, and where that was not found.

    Parameters
    ----------
    system : NonlinearNetwork
    start : ndarray, shape (cases, wetted + 1)
        Where to begin. [V]
    within : float
        How well each node must balance, over the largest current of its case. [-]

    Returns
    -------
    z : ndarray, shape (cases, wetted + 1)
        As :class:`NonlinearNetwork` describes them; as far as it came where it did not
        balance. [V]
    off : ndarray of bool, shape (cases,)
        Where it did not.
    """
    z = start.copy()
    with np.errstate(over="ignore", invalid="ignore"):  # steps that overshoot
        for step in range(_STEPS + 1):
            left = system.unbalance(z)
            off = ~(np.abs(left).max(axis=1) <= within * system.scale(z))
            if step == _STEPS or not off.any():
                break
            # Only cases that do not balance yet are stepped: most do after five or six.
            part = system.row(off)
            ahead = newton_step(part, z[off], left[off])
            z[off] += _shortened(part, z[off], ahead, left[off])
    return z, off


def newton_step(system: NonlinearNetwork, z: Array, left: Array) -> Array:
    """Return the step at whose end everything would balance, were all of it linear.

    Parameters
    ----------
    system : NonlinearNetwork
    z, left : ndarray, shape (cases, wetted + 1)
        Where it starts [V]; what is unbalanced there. [A]

    Returns
    -------
    ndarray, shape (cases, wetted + 1)
        The step. [V]
    """
    return np.asarray(-np.linalg.solve(system.jacobian(z), left[:, :, None])[:, :, 0])


def _shortened(system: NonlinearNetwork, z: Array, step: Array, left: Array) -> Array:
    """Return each case's step, halved until it no longer overshoots.

    The unbalance is the slope of a convex function: along a step it rises from its
    negative start, and what is past the bottom by more than half of that is too far.
    """
    share = np.ones((len(z), 1))
    start = np.abs((left * step).sum(axis=1))
    for _ in range(_HALVINGS):
        ahead = (system.unbalance(z + share * step) * step).sum(axis=1)
        over = ~(ahead <= 0.5 * start)  # what overflowed is no number
        if not over.any():
            break
        share[over] *= 0.5
    return share * step
