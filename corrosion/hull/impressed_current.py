"""Impressed current: as much as is written, or as holds a hull at a set point."""

from collections.abc import Sequence
from dataclasses import dataclass, replace
from typing import Final, Self

import numpy as np

from corrosion.foundation.types import Array, BoolArray, IntArray
from corrosion.hull.anode_groups import AnodeGroup
from corrosion.hull.model import Hull
from corrosion.hull.nonlinear.galvanic import GalvanicNetwork, solve_galvanic
from corrosion.hull.potential_evidence import against_silver

_ROUNDS: Final = 60  # of the search for a set point
_NEAR: Final = 1e-5  # of it [V]
_BALANCED: Final = 1e-7  # of the largest current
_MOST: Final = 1000.0  # where no rating is written [A]


@dataclass(frozen=True, slots=True, kw_only=True)
class HeldNetwork:
    """A network with its impressed currents, and its balance."""

    # with the currents that are taken from its first island into the water
    network: GalvanicNetwork
    potential: Array  # shape (samples, electrodes + islands): at which all balances [V]
    amps: Array  # shape (samples, impressed): the currents [A]


@dataclass(frozen=True, slots=True, kw_only=True)
class ImpressedSupply:
    """The impressed currents of a hull.

    Arrays are of shape (impressed,) where no other is said.
    """

    # shape (electrodes, impressed): potential at each electrode per ampere into the
    # water at each anode [Ω]
    water: Array
    # to what the controller of each holds the hull; NaN: it holds its amperes [V]
    asked: Array
    most: Array  # its amperes, or the most that its controller gives [A]
    steel: IntArray  # wetted zones of steel: their mean is what a controller holds

    @classmethod
    def of(cls, impressed: Sequence[AnodeGroup], hull: Hull, steel: BoolArray) -> Self:
        """Return the supply of a hull; ``steel``: which wetted zones are of steel.

        The body of ``hull`` has a row for every electrode.
        """
        asked, most = [], []
        for one in (group.anode for group in impressed):
            set_v, most_amps = np.nan, 0.0
            if one.set_potential is not None:
                set_v = against_silver(
                    one.set_potential, one.electrode, hull.assumptions
                )
                most_amps = _MOST
            asked.append(set_v)
            most.append(most_amps if one.amps is None else one.amps)
        return cls(
            water=hull.body.matrix[:, [one.host for one in impressed]],
            asked=np.array(asked),
            most=np.array(most),
            steel=np.flatnonzero(steel),
        )

    def held(
        self,
        network: GalvanicNetwork,
        start: Array | None = None,
        on: BoolArray | None = None,
    ) -> HeldNetwork:
        """Return the balance of a network with these currents.

        Parameters
        ----------
        network : GalvanicNetwork
            Without them.
        start : ndarray, optional
            Where the search for its balance begins; None: at each electrode's rest. [V]
        on : ndarray of bool, shape (impressed,), optional
            Which are on; None: all.

        Returns
        -------
        HeldNetwork
            Controllers share what they give by what each gives at most, and hold the
            mean of their set points; beyond their most the hull stays above it.
        """
        most = np.where(True if on is None else on, self.most, 0.0)
        holds = np.isfinite(self.asked) & (most > 0.0)
        samples = len(network.total)
        share = np.tile(np.where(holds, 0.0, 1.0), (samples, 1))
        driven, z = self._solved(network, share * most, start)
        if holds.any():
            target = float(self.asked[holds].mean())
            low, high = np.zeros(samples), np.ones(samples)
            below = z[:, self.steel].mean(axis=1) <= target  # nothing is asked of them
            high[below] = 0.0
            part = high.copy()
            for _ in range(_ROUNDS):
                share[:, holds] = part[:, None]
                driven, z = self._solved(network, share * most, z)
                over = z[:, self.steel].mean(axis=1) - target
                low = np.where(over > 0.0, part, low)
                high = np.where(over > 0.0, high, part)
                if (np.abs(over) < _NEAR)[high > low].all():
                    break
                part = 0.5 * (low + high)
        return HeldNetwork(network=driven, potential=z, amps=share * most)

    def _solved(
        self, network: GalvanicNetwork, amps: Array, start: Array | None
    ) -> tuple[GalvanicNetwork, Array]:
        total = network.total.copy()
        total[:, 0] -= amps.sum(axis=1)
        driven = replace(
            network, total=total, lifted=network.lifted - amps @ self.water.T
        )
        return driven, solve_galvanic(driven, start, balanced=_BALANCED).potential
