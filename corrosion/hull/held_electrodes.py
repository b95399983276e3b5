"""Electrodes held at potentials by anodes: what a little current more does to them."""

from dataclasses import dataclass, replace
from typing import Self

import numpy as np

from corrosion.foundation.types import Array, BoolArray, IntArray
from corrosion.hull.electrodes import Electrodes

__all__ = ["HeldElectrodes", "HeldSteel"]

_ROUNDS = 60  # of Newton's steps, or halvings where a step leaves the bracket
_SETTLED = 1e-9  # a step that moves nothing any more [V]
_LOWEST, _HIGHEST = -1.5, 1.0  # of steel over its rest [V]


@dataclass(frozen=True, slots=True, kw_only=True)
class HeldElectrodes:
    """Electrodes about the potentials that anodes and own metals hold them at.

    What :class:`~corrosion.hull.nonlinear.polarisation.BareSteel` is to steel about a
    rest, by the laws of :mod:`corrosion.hull.electrodes`.

    Attributes
    ----------
    laws : Electrodes
        Of shape (cases, electrodes).
    volts : ndarray, shape (cases, electrodes)
        At which each is held. [V]
    """

    laws: Electrodes
    volts: Array

    @property
    def anodic(self) -> Array:
        """Dissolution at the held potential [A/m²]."""
        return self.laws.at(self.volts).dissolution

    @property
    def anodic_rate(self) -> Array:
        """Natural logarithms a volt [1/V]."""
        return np.log(10.0) / self.laws.anodic

    def row(self, which: BoolArray | IntArray) -> Self:
        """Return some of the rows."""
        return replace(self, laws=self.laws.row(which), volts=self.volts[which])

    def added(self, volts: Array) -> Array:
        """Return the net density that polarising from there adds [A/m²]."""
        ahead, here = self.laws.at(self.volts + volts), self.laws.at(self.volts)
        return np.asarray(ahead.net - here.net)

    def slope(self, volts: Array) -> Array:
        """Return the derivative of :meth:`added`, always positive [S/m²]."""
        return self.laws.at(self.volts + volts).slope


@dataclass(frozen=True, slots=True, kw_only=True)
class HeldSteel:
    r"""What bare metal loses when currents are added to those that protect it.

    Steel loses what its law dissolves at the net density that leaves it: with *a* that
    dissolution, :math:`i_n` that of the law at rest and *n* the natural loss of its
    age, water and berth,

    .. math:: D = a + (n - i_n) \min(a / i_n, 1)

    which is *n* where nothing acts and falls with *a* where it is protected. Other
    metals lose *n* and what leaves them, never less than nothing.

    Attributes
    ----------
    laws : Electrodes
        Of shape (cases, wetted).
    volts : ndarray, shape (cases, wetted)
        Where the search begins: as anodes and own metals hold them. [V]
    protected : ndarray, shape (cases, wetted)
        Net density that leaves them where anodes act, and no other current. [A/m²]
    steel : ndarray of bool, shape (wetted,)
        Which are of steel.
    """

    laws: Electrodes
    volts: Array
    protected: Array
    steel: BoolArray

    def row(self, which: IntArray) -> Self:
        """Return some of the cases."""
        return replace(
            self,
            laws=self.laws.row(which),
            volts=self.volts[which],
            protected=self.protected[which],
        )

    def lost(self, added: Array, natural: Array) -> Array:
        """Return what is lost at bare metal.

        Parameters
        ----------
        added : ndarray, shape (cases, ..., wetted)
            Net density that currents add to what protects. [A/m²]
        natural : ndarray, shape (cases, wetted)
            Natural loss. [A/m²]

        Returns
        -------
        ndarray
            In the shape of ``added``. [A/m²]
        """
        between = (slice(None), *(None,) * (added.ndim - 2))
        alone, net = natural[between], self.protected[between] + added
        if not self.steel.any():
            return np.maximum(alone + net, 0.0)
        dissolved, at_rest = self._dissolved(net, between)
        part = np.minimum(dissolved / at_rest, 1.0)
        of_steel = dissolved + (alone - at_rest) * part
        return np.where(self.steel, of_steel, np.maximum(alone + net, 0.0))

    def _dissolved(
        self, net: Array, between: tuple[slice | None, ...]
    ) -> tuple[Array, Array]:
        """Return dissolution where a net density leaves, and at rest [A/m²]."""
        laws = self.laws.row(between)
        x = np.broadcast_to(self.volts[between], net.shape).copy()
        low, high = laws.rest + _LOWEST, laws.rest + _HIGHEST
        low, high = (np.broadcast_to(end, net.shape).copy() for end in (low, high))
        for _ in range(_ROUNDS):
            law = laws.at(x)
            over = law.net - net
            low, high = np.where(over < 0.0, x, low), np.where(over < 0.0, high, x)
            ahead = x - over / law.slope
            inside = (low < ahead) & (ahead < high)
            ahead = np.where(inside, ahead, 0.5 * (low + high))
            moved, x = np.abs(ahead - x)[..., self.steel].max(initial=0.0), ahead
            if moved < _SETTLED:
                break
        return laws.at(x).dissolution, laws.natural
