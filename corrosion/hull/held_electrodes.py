"""Electrodes held at potentials by anodes: what a little current more does to them."""

from dataclasses import dataclass, replace
from typing import Self

import numpy as np

from corrosion.foundation.types import Array, BoolArray, IntArray
from corrosion.hull.electrodes import Electrodes

_ROUNDS = 60  # of Newton's steps, or halvings where a step leaves the bracket
_SETTLED = 1e-8  # a step that moves nothing any more [V]
_LEAST = 1e-2  # of the natural density: what a start need not tell apart
_SPENT = 0.99  # of the oxygen that can arrive: beyond it hydrogen takes over
_LOWEST, _HIGHEST = -1.5, 1.0  # of steel over its rest [V]


@dataclass(frozen=True, slots=True, kw_only=True)
class HeldElectrodes:
    """Electrodes about the potentials that anodes and own metals hold them at.

    What :class:`~corrosion.hull.nonlinear.polarisation.BareSteel` is to steel about a
    rest, by the laws of :mod:`corrosion.hull.electrodes`.
    """

    laws: Electrodes  # of shape (cases, electrodes)
    volts: Array  # shape (cases, electrodes): at which each is held [V]

    @property
    def anodic(self) -> Array:
        """Dissolution at the held potential [A/m²]."""
        return self.laws.at(self.volts).dissolution

    @property
    def anodic_rate(self) -> Array:
        """Natural logarithms a volt [1/V]."""
        return np.asarray(np.log(10.0) / self.laws.anodic)

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

    Arrays are of shape (cases, wetted) where no other is said.
    """

    laws: Electrodes  # of shape (cases, wetted)
    volts: Array  # where the search begins: as anodes and own metals hold them [V]
    # net density that leaves them where anodes act, and no other current [A/m²]
    protected: Array
    base: Array  # what dissolves of them there [A/m²]
    steel: BoolArray  # shape (wetted,): which are of steel

    def row(self, which: IntArray) -> Self:
        """Return some of the cases."""
        return replace(
            self,
            laws=self.laws.row(which),
            volts=self.volts[which],
            protected=self.protected[which],
            base=self.base[which],
        )

    def driven(self, added: Array) -> Array:
        """Return what currents drive out of bare metal.

        Parameters
        ----------
        added : ndarray, shape (cases, states, wetted)
            Net density that they add to what protects. [A/m²]

        Returns
        -------
        ndarray
            Of steel its dissolution, of other metals what leaves them, in that shape.
            [A/m²]
        """
        net = self.protected[:, None] + added
        if not added.any():  # as the network left it
            return np.where(self.steel, self.base[:, None], net)
        return np.where(self.steel, self._dissolved(net), net)

    def lost(self, driven: Array, natural: Array) -> Array:
        """Return what is lost at bare metal [A/m²].

        For ``driven`` of :meth:`driven` and natural losses, (cases, wetted).
        """
        alone, at_rest = natural[:, None], self.laws.natural[:, None]
        of_steel = driven + (alone - at_rest) * np.minimum(driven / at_rest, 1.0)
        return np.where(self.steel, of_steel, np.maximum(alone + driven, 0.0))

    def _dissolved(self, net: Array) -> Array:
        """Return the dissolution of steel where a net density leaves it [A/m²]."""
        laws = self.laws.row((slice(None), None))
        x = self._start(laws, net)
        low, high = laws.rest + _LOWEST, laws.rest + _HIGHEST
        low, high = (np.broadcast_to(end, net.shape).copy() for end in (low, high))
        for _ in range(_ROUNDS):
            law = laws.at(x)
            over = law.net - net
            low, high = np.where(over < 0.0, x, low), np.where(over < 0.0, high, x)
            ahead = x - over / law.slope
            inside = (low <= ahead) & (ahead <= high)
            ahead = np.where(inside, ahead, 0.5 * (low + high))
            moved, x = np.abs(ahead - x)[..., self.steel].max(initial=0.0), ahead
            if moved < _SETTLED:
                break
        return laws.at(x).dissolution

    def _start(self, laws: Electrodes, net: Array) -> Array:
        """Return where Newton begins: where it is held if near, else on one branch [V].

        Above, where dissolution alone carries the net density and all the oxygen that
        can arrive; below, where hydrogen carries what oxygen does not.
        """
        share = net / laws.natural
        small = np.exp(-np.log(10.0) * laws.onset / laws.hydrogen)
        up = laws.anodic * np.log10(np.maximum(share + laws.oxygen, _LEAST))
        down = np.log10(np.maximum(-share - laws.oxygen, small) / small)
        x = np.where(share > -_SPENT * laws.oxygen, up, -laws.hydrogen * down)
        held = self.volts[:, None]
        near = np.abs(laws.at(held).net - net) < _LEAST * laws.natural
        return np.where(near, held, laws.rest + x)
