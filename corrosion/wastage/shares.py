"""What was taken and spared in each state, shared among what drove it."""

from collections.abc import Mapping, Sequence

import numpy as np

from corrosion.foundation.types import Array
from corrosion.wastage.fault_charges import (
    FaultCharge,
)

__all__ = ["Shares"]


class Shares:
    """What was taken and spared in each state, over what drives metal out and in.

    Attributes
    ----------
    out, into : ndarray, shape (samples, states, wetted)
        Charge taken per density that leaves, spared per density that enters. [s]
    alternating : ndarray, shape (samples, states, wetted), or None
        Charge taken by alternating currents; None: there are none. [C/m²]
    """

    def __init__(
        self,
        change: tuple[Array, Array],
        steady: Mapping[str, Array],
        direct: Sequence[Sequence[FaultCharge]],
        alternating: Sequence[Sequence[FaultCharge]],
    ) -> None:
        leaving, entering = np.zeros((2, *change[0].shape))
        rubbing = np.zeros_like(leaving) if alternating else None
        for density in steady.values():
            leaving += np.maximum(density, 0.0)[:, None, :]
            entering += np.maximum(-density, 0.0)[:, None, :]
        for kind, charges in ((None, direct), (rubbing, alternating)):
            for one in (charge for source in charges for charge in source):
                at = one.row, one.state  # each state once
                positive = np.maximum(one.density, 0.0)
                leaving[at] += positive
                entering[at] += positive - one.density
                if kind is not None:
                    kind[at] += positive
        self.out = _over(change[0], leaving)
        self.into = _over(change[1], entering)
        self.alternating = None
        if rubbing is not None:
            rubbing *= self.out
            self.alternating = rubbing

    def of_faults(
        self, charges: Sequence[FaultCharge], through: Array, samples: int
    ) -> tuple[Array, Array]:
        """Return what each fault took, as metal, and spared, (samples, faults, z)."""
        taken, spared = [], []
        for one in charges:
            positive = np.maximum(one.density, 0.0)
            out = FaultCharge(one.row, one.state, positive)
            into = FaultCharge(one.row, one.state, positive - one.density)
            taken.append(out.sum_over_states(self.out, samples) * through)
            spared.append(into.sum_over_states(self.into, samples))
        return np.stack(taken, axis=1), np.stack(spared, axis=1)


def _over(top: Array, bottom: Array) -> Array:
    return np.divide(top, bottom, out=np.zeros_like(top), where=bottom > 0.0)
