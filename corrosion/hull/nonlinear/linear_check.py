"""How far the linear network of a berth can be trusted where the interface is not."""

import numpy as np

from corrosion.foundation.assumptions import Assumptions
from corrosion.foundation.types import Array, BoolArray, IntArray
from corrosion.hull.network import Network
from corrosion.hull.nonlinear.newton import isolator_voltage
from corrosion.hull.nonlinear.polarisation import BareSteel
from corrosion.hull.nonlinear.secant import NOTHING
from corrosion.hull.shore_connection import ShoreConnection
from corrosion.records.ship import Berth


class LinearCheck:
    """The linear network of every sample at a berth, and how far it can be trusted.

    ``contact``, shape (samples, wetted): of each wetted zone to its water [Ω].
    ``steel``: of shape (samples, wetted). ``interface``, shape (samples,): resistance
    of one square metre of bare steel [Ω·m²]. ``behind``, shape (samples,): conductance
    of the protective conductor, behind an isolator or not [S].
    """

    def __init__(  # noqa: PLR0913 - all that the linear network is made of
        self,
        tied: Network,
        berth: Berth,
        loop: ShoreConnection,
        *,
        contact: Array,
        steel: BareSteel,
        interface: Array,
        behind: Array,
        assumptions: Assumptions,
    ) -> None:
        self.inverse, self.berth, self.loop = tied.inverse, berth, loop
        self.contact, self.steel = contact, steel
        self.slope = 1.0 / interface[:, None]
        # of the largest current of any zone, by how much any may be missed [-]
        self.bound = assumptions.value("linear_bound")
        self._isolator = [
            assumptions.value(f"isolator_{name}_v")
            for name in ("threshold", "slope")
            if berth.galvanic_isolator and behind.any()
        ]
        self._behind = behind
        tame = 2.0 * self.bound / (steel.anodic_rate * contact.max(axis=1, initial=0.0))
        held = np.abs(steel.slope(np.zeros_like(contact)) / self.slope - 1.0)
        # currents of zones up to which no polarisation is off by as much [A]
        self.safe_current = (tame * ~(held > 1e-6).any(axis=1))[:, None]
        lifted = tied.inverse @ loop.mutual
        self._lift = lifted / (1.0 - lifted.sum(axis=1))[:, None]
        whole = tied.inverse.sum(axis=2)
        self._whole = whole + whole.sum(axis=1)[:, None] * self._lift
        g = loop.conductance
        self._back = 1.0 + g * np.broadcast_to(loop.electrode, len(whole))
        ties = self._whole.sum(axis=1) * self._back
        self._ties = ties + g * (1.0 - self._whole @ loop.mutual)
        self._alone: BoolArray | None = None

    def couple_is_nonlinear(self, couple: Array) -> BoolArray:
        """Return where the linear law misses the couple's current, standing alone.

        For what it drives out of each zone, (samples, wetted) [A]; of shape (samples,).
        """
        if self._alone is None:
            self._alone = np.zeros(len(couple), dtype=np.bool_)
            if couple.any() or self.berth.galvanic_isolator:
                every = np.arange(len(couple))
                self._alone = self.linear_error(couple, every) > self.bound
        return self._alone

    def linear_error(self, leaving: Array, sample: IntArray) -> Array:
        r"""Return by how much the linear law misses any zone's current, about.

        Parameters
        ----------
        leaving : ndarray, shape (states, wetted)
            Direct current that leaves each zone by the linear law. [A]
        sample : ndarray of int, shape (states,)
            Whose state each is.

        Returns
        -------
        ndarray, shape (states,)
            Rather too much than too little: what the linear network would draw more
            were each zone polarised by its current as the nonlinear law says, by as
            much more as that law is softer there than the linear one; or what an
            isolator would conduct that the linear law holds open; over the largest
            current of any zone. [-]
        """
        x = leaving * self.contact[sample]
        steel = self.steel.row(sample)
        curved = steel.about(x * self.slope[sample])
        softer = (steel.slope(curved) / self.slope[sample]).max(axis=1)
        moved = ((curved - x)[:, None, :] @ self.inverse[sample])[:, 0]
        moved += moved.sum(axis=1)[:, None] * self._lift[sample]
        ashore = self.loop.conductance[sample] * (moved @ self.loop.mutual)
        raised = (self._back[sample] * moved.sum(axis=1) - ashore) / self._ties[sample]
        moved -= raised[:, None] * self._whole[sample]
        drawn = np.abs(moved).max(axis=1) * np.maximum(softer, 1.0)
        most = np.maximum(drawn, self._blocked(leaving, sample))
        return np.asarray(most / np.maximum(np.abs(leaving).max(axis=1), NOTHING))

    def _blocked(self, leaving: Array, sample: IntArray) -> Array:
        """Return what an isolator held open would conduct, about, (states,) [A]."""
        if not self._isolator:
            return np.zeros(len(leaving))
        ohms = 1.0 / self._whole.sum(axis=1) + self.loop.electrode
        couple = np.broadcast_to(self.loop.couple, len(ohms))
        volts = leaving.sum(axis=1) * ohms[sample] - couple[sample]
        left, _ = isolator_voltage(volts, *self._isolator)
        return np.asarray(np.abs(left) * self._behind[sample])
