r"""Metals, anodes, shore earth, neighbours and faults as one network of electrodes.

Unknown in each sample are the potential *E* of every electrode over the water at its
surface and the potential φ of every *island*, a piece of joined metal: the ship's own,
the shore earth, a neighbour. With *B* the resistances of water, joints and plating
about each island's reference, *s* what injected currents do to the steel and the water,
*A* bare area, *g* the coated area's conductance and *c* a tie between islands,

.. math::
   I &= B^{-1} (\varphi_{island} + s - E) \\
   0 &= A j(E) + g (E - r) - I \\
   0 &= \textstyle\sum_{island} I + \sum_{ties} c (\varphi - \varphi') - \sum J + i

*J* enters the steel, *i* is an impressed current taken from it into the water. What is
left unbalanced is the slope of a strictly convex function of all potentials, so there
is one answer, and Newton's steps, halved where they pass the bottom, reach it.
"""

from dataclasses import dataclass, replace
from typing import Final, NamedTuple, Self

import numpy as np

from corrosion.foundation.errors import InputError
from corrosion.foundation.types import Array, BoolArray, IntArray
from corrosion.hull.electrodes import Electrodes
from corrosion.hull.nonlinear.newton import isolator_voltage

_BALANCED: Final = 1e-10  # of the largest current
_FLOOR: Final = 0.1  # where all rest alike, nothing flows to balance against [A]
_ROUNDS: Final = 100
_HALVINGS: Final = 40
_ISLAND: Final = -0.65  # where islands begin [V]


@dataclass(frozen=True, slots=True, kw_only=True)
class Tie:
    """A conductor between two islands."""

    # one, other: islands that it joins
    one: int
    other: int
    conductance: Array  # shape (samples,): its own [S]
    # threshold, slope_v: of a galvanic isolator in it, as `isolator_voltage` takes
    # them; threshold 0: none [V]
    threshold: float = 0.0
    slope_v: float = 0.052

    def current(self, phi: Array) -> tuple[Array, Array]:
        """Return what flows from ``one`` to ``other`` [A], and its slope [S]."""
        volts = phi[:, self.one] - phi[:, self.other]
        left, slope = isolator_voltage(volts, self.threshold, self.slope_v)
        return self.conductance * left, self.conductance * slope


class Balance(NamedTuple):
    """What Newton's method asks of a network at some potentials, a sample a row."""

    left: Array  # at each electrode and island [A]
    largest: Array  # current that this is held against [A]
    slope: Array  # of each electrode's own law [S]


@dataclass(frozen=True, slots=True, kw_only=True)
class GalvanicNetwork:
    """A network of electrodes, a sample a row.

    Arrays are of shape (samples, electrodes) where no other is said.
    """

    inverse: Array  # shape (samples, electrodes, electrodes): of *B*, symmetric [S]
    # shape (electrodes,): to which piece of joined metal each electrode belongs
    island: IntArray
    laws: Electrodes  # of shape (samples, electrodes)
    bare: Array  # bare area [m²]
    paint: Array  # conductance of the coated area [S]
    # *s*: metal over its island's reference less water, by injected currents [V]
    lifted: Array
    # shape (samples, islands): what is injected into each island less what is taken
    # out of it [A]
    total: Array
    ties: tuple[Tie, ...] = ()  # conductors between islands

    @property
    def member(self) -> Array:
        """Which electrode belongs to which island, (electrodes, islands): 1 or 0."""
        return np.eye(self.total.shape[1])[self.island]

    @property
    def electrodes(self) -> int:
        """Number of electrodes."""
        return len(self.island)

    def flow(self, z: Array) -> Array:
        """Return the current that leaves each electrode, (samples, electrodes) [A]."""
        n = self.electrodes
        drive = z[:, n:][:, self.island] + self.lifted - z[:, :n]
        return np.asarray((self.inverse @ drive[:, :, None])[:, :, 0])

    def dissolution(self, z: Array) -> Array:
        """Return the metal that dissolves at each electrode, as current [A]."""
        return self.bare * self.laws.at(z[:, : self.electrodes]).dissolution

    def balance(self, z: Array) -> "Balance":
        """Return what is left over, and what else the same laws say there."""
        n, leaving = self.electrodes, self.flow(z)
        partial = self.laws.at(z[:, :n])
        faces = self.bare * partial.net
        faces += self.paint * (z[:, :n] - self.laws.rest)
        islands = leaving @ self.member - self.total
        for tie in self.ties:
            amps, _ = tie.current(z[:, n:])
            islands[:, tie.one] += amps
            islands[:, tie.other] -= amps
        return Balance(
            left=np.concatenate([faces - leaving, islands], axis=1),
            largest=np.abs(leaving).max(axis=1) + _FLOOR,
            slope=self.bare * partial.slope + self.paint,
        )

    def jacobian(self, z: Array, slope: Array | None = None) -> Array:
        """Return the derivative of :meth:`balance`: symmetric, positive [S]."""
        n = self.electrodes
        lifts = self.inverse @ self.member
        full = np.empty((len(z), z.shape[1], z.shape[1]))
        full[:, :n, :n] = self.inverse
        full[:, :n, n:] = -lifts
        full[:, n:, :n] = -lifts.swapaxes(1, 2)
        full[:, n:, n:] = self.member.T @ lifts
        diagonal = np.einsum("sii->si", full)  # a view
        diagonal[:, :n] += self.balance(z).slope if slope is None else slope
        for tie in self.ties:
            _, slope = tie.current(z[:, n:])
            one, other = n + tie.one, n + tie.other
            full[:, one, one] += slope
            full[:, other, other] += slope
            full[:, one, other] -= slope
            full[:, other, one] -= slope
        return full

    def row(self, which: BoolArray) -> Self:
        """Return some of the samples."""
        if which.all():
            return self
        return replace(
            self,
            inverse=self.inverse[which],
            laws=self.laws.row(which),
            bare=self.bare[which],
            paint=self.paint[which],
            lifted=self.lifted[which],
            total=self.total[which],
            ties=tuple(
                replace(tie, conductance=tie.conductance[which]) for tie in self.ties
            ),
        )

    def alternating(self, hertz: float, farad_per_m2: float) -> Array:
        """Return the rms current that leaves each electrode, of what is injected [A].

        Bare metal is its double layer's capacitance [F/m²], plating and ties as for
        direct current.
        """
        y = 2j * np.pi * hertz * farad_per_m2 * self.bare + self.paint
        each = np.arange(self.electrodes)
        ohms = np.linalg.inv(self.inverse).astype(np.complex128)
        ohms[:, each, each] += 1.0 / y
        admittance = np.linalg.inv(ohms)
        nodes = self.member.T @ admittance @ self.member
        for tie in self.ties:
            for a, b, sign in (
                (tie.one, tie.one, 1.0),
                (tie.other, tie.other, 1.0),
                (tie.one, tie.other, -1.0),
                (tie.other, tie.one, -1.0),
            ):
                nodes[:, a, b] += sign * tie.conductance
        driven = (admittance @ self.lifted[:, :, None])[:, :, 0]
        phi = np.linalg.solve(nodes, (self.total - driven @ self.member)[:, :, None])
        through = admittance @ phi[:, self.island]
        return np.asarray(np.abs(through[:, :, 0] + driven))


@dataclass(frozen=True, slots=True, kw_only=True)
class Solution:
    """Balanced potentials, and how many rounds of Newton's steps they took."""

    potential: Array  # of every electrode, then of every island, (samples, both) [V]
    rounds: int


def solve_galvanic(
    network: GalvanicNetwork, start: Array | None = None, *, balanced: float = _BALANCED
) -> Solution:
    """Return the potentials at which every electrode and island balances.

    Parameters
    ----------
    network : GalvanicNetwork
    start : ndarray, shape (samples, electrodes + islands), optional
        Where to begin, such as an earlier state's answer; None: every electrode at its
        own rest. [V]
    balanced : float, optional
        What counts as balanced, of the largest current of a sample. [-]

    Returns
    -------
    Solution
        Balanced within that.

    Raises
    ------
    InputError
        If no balance is found: areas, resistances or currents are none of a ship's.

    References
    ----------
    .. [1] S. Boyd and L. Vandenberghe, "Convex Optimization", ch. 9 (Newton's method
       with a line search; from memory).
    """
    if start is None:
        islands = np.full(network.total.shape, _ISLAND)
        start = np.concatenate([network.laws.rest, islands], axis=1)
    z = start.copy()
    with np.errstate(over="ignore", invalid="ignore"):  # steps that overshoot
        now = network.balance(z)
        for rounds in range(_ROUNDS):
            off = ~(np.abs(now.left).max(axis=1) <= balanced * now.largest)
            if not off.any():
                return Solution(potential=z, rounds=rounds)
            part = network.row(off)
            step, ahead = _step(part, z[off], now.left[off], now.slope[off])
            z[off] += step
            for one, fresh in zip(now, ahead, strict=True):
                one[off] = fresh
    msg = (
        f"solve_galvanic: {off.sum()} of {len(z)} samples did not balance within "
        f"{balanced:g} in {_ROUNDS} rounds. Check areas, resistances and currents."
    )
    raise InputError(msg)


def _step(
    network: GalvanicNetwork, z: Array, left: Array, slope: Array
) -> tuple[Array, Balance]:
    """Return Newton's step, and the balance after it.

    It is halved where it passes the bottom by more than half: along a step the
    unbalance, a slope, rises from its negative start.
    """
    solved = np.linalg.solve(network.jacobian(z, slope), left[:, :, None])
    step = np.asarray(-solved[:, :, 0], dtype=np.float64)
    start = np.abs((left * step).sum(axis=1))
    ahead = network.balance(z + step)
    far = ~((ahead.left * step).sum(axis=1) <= 0.5 * start)
    for _ in range(_HALVINGS):
        if not far.any():
            break
        step[far] *= 0.5
        part = network.row(far)
        beyond = part.balance(z[far] + step[far])
        for one, fresh in zip(ahead, beyond, strict=True):
            one[far] = fresh
        start[far] *= 0.5
        far[far] = ~((beyond.left * step[far]).sum(axis=1) <= 0.5 * start[far])
    return step, ahead
