"""Samples of faults that become others, all that hangs together with them alike."""

from dataclasses import dataclass
from typing import Self

import numpy as np

from corrosion.foundation.sampling import Draws
from corrosion.foundation.types import Array, IntArray
from corrosion.leakage.conditions import PATH
from corrosion.leakage.double_faults import Together, stood_together
from corrosion.leakage.earthed_stays import DrawnFaults
from corrosion.leakage.wander import Wander
from corrosion.records.ship import Ship


def most_amps(ship: Ship, draws: Draws, uniform: Array) -> Array:
    """Return the most that each fault passes without opening its branch.

    Parameters
    ----------
    ship, draws : Ship, Draws
    uniform : ndarray, shape (samples, faults)
        Numbers in (0, 1). [-]

    Returns
    -------
    ndarray, shape (samples, faults)
        Drawn; what a clamp showed did not open it. [A]
    """
    most = draws.lognormal("sustained_earthed_amps", uniform)
    for k, fault in enumerate(ship.faults):
        rows = (row for row in ship.readings if row.fault == fault.fault)
        read = [row.amps for row in rows if row.clamped in PATH]
        clamped = [abs(a) for a in (fault.readings.amps, *read) if a is not None]
        most[:, k] = np.maximum(most[:, k], max(clamped, default=0.0))
    return most


@dataclass(frozen=True, slots=True)
class FaultPool:
    """Samples of all faults of a ship, and those of one system that stood together."""

    drawn: DrawnFaults  # of all her faults
    # shape (samples, faults): what else hangs together with them
    beside: tuple[Array | IntArray, ...]
    # moment and resistance at further hours of reading [s], [Ω]
    later: dict[int, list[tuple[float, Array]]]
    # faults of each system of which some stood together, and the system
    together: list[tuple[list[int], Together]]

    @classmethod
    def of(
        cls,
        ship: Ship,
        wander: Wander,
        drawn: DrawnFaults,
        beside: tuple[Array | IntArray, ...],
        later: dict[int, list[tuple[float, Array]]],
        as_of: float,
    ) -> Self:
        """Return them; whatever is drawn is changed in place from then on."""
        together = []
        for system in ship.systems:
            mine = ship.ground_faults(system.name)
            faults = [ship.faults[k] for k in mine]
            at = stood_together(ship, system, faults, wander, as_of)
            if at is not None:
                together.append((mine, at))
        return cls(drawn, beside, later, together)

    def become(self, k: int, chosen: IntArray) -> None:
        """Let a fault's samples become others of it.

        Parameters
        ----------
        k : int
            Which fault.
        chosen : ndarray of int, shape (samples,)
            Which samples.
        """
        one = self.drawn
        every = one.ohms, one.pole, one.score, one.most, one.direct
        for values in (*every, *self.beside):
            values[:, k] = values[chosen, k]
        self.later[k] = [(at, ohms[chosen]) for at, ohms in self.later.get(k, [])]

    def stand(self) -> None:
        """Leave no two whose loop would have opened a branch as they stood together."""
        for mine, at in self.together:
            for k, chosen in zip(mine, at.stood(self.drawn.of(mine)).T, strict=True):
                if (chosen != np.arange(len(chosen))).any():
                    self.become(k, chosen)

    def opened(self) -> Array:
        """Return when those opened of which nobody wrote how they ended.

        Returns
        -------
        ndarray, shape (samples, faults)
            Infinite: never. [s]
        """
        found = np.full(self.drawn.ohms.shape, np.inf)
        for mine, at in self.together:
            found[:, mine] = at.opened(self.drawn.of(mine))
        return found
