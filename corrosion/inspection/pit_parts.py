"""The deepest pits: what a weld left of them, and what grows with the loss."""

from dataclasses import dataclass

import numpy as np

from corrosion.foundation.types import Array
from corrosion.history.inputs import ModelInputs
from corrosion.history.loss import LossHistory
from corrosion.wastage.pits import deepest_pit
from corrosion.wastage.works import left_by_welds

_LEAST = 1e-9  # of a depth of which the logarithm is taken [m]


def deepest(inputs: ModelInputs, history: LossHistory, at: int) -> Array:
    """Return the deepest pit of each zone at a recorded moment, (samples, zones) [m].

    The deeper of a pit that is older than the last painting, which paint does not fill,
    and one that grew in steel that is bare since, where the plate is worn evenly.
    """
    return np.maximum(history.pit[:, at], _new(inputs, history, at))


def _new(inputs: ModelInputs, history: LossHistory, at: int) -> Array:
    """Return the deepest pit in steel that is bare since the last painting [m]."""
    zones = inputs.zones
    new = history.worn[:, at] + deepest_pit(
        np.maximum(history.since[:, at], 0.0),
        factor=zones.pitting,
        bare_area=history.bare[:, at] * inputs.hull.body.area,
        reference_area=inputs.draws.value("pit_reference_m2"),
        uniform=zones.deepest,
        scale=inputs.draws.value("pit_gumbel_scale"),
    )
    return np.asarray(new)


@dataclass(frozen=True, slots=True, kw_only=True)
class PitParts:
    """Deepest pits beyond what was lost evenly, (samples, zones) each."""

    # how deep the deepest of old ones was left by a weld: it goes with the thickness of
    # the plate, not with the rate of its loss [m]
    left: Array
    # old, new: what it grew, and one that is younger than the last painting [m]
    old: Array
    new: Array

    def at(self, factor: Array) -> Array:
        """Return the depth of the deepest where all growth is so many times [m]."""
        return np.maximum(self.left + factor * self.old, factor * self.new)

    def factor(self, depth: Array) -> Array:
        """Return the factor at which the deepest reaches a depth [-]."""
        by_old = np.maximum(depth - self.left, _LEAST) / self.old
        return np.minimum(by_old, np.maximum(depth, _LEAST) / self.new)


def pit_parts(
    inputs: ModelInputs, history: LossHistory, at: int, even: Array
) -> PitParts:
    """Return the parts of the deepest pits at a recorded moment.

    Parameters
    ----------
    inputs : ModelInputs
        The ship with everything drawn.
    history : LossHistory
        What was lost.
    at : int
        Which moment.
    even : ndarray, shape (samples, zones)
        What was lost evenly. [m]
    """
    moment = float(history.moments[at])
    welded = left_by_welds(inputs.zones.pit_left, inputs.zones.works, moment)
    old = np.maximum(history.pit[:, at] - even, 0.0)
    left = np.minimum(old, welded)
    return PitParts(
        left=left,
        old=np.maximum(old - left, _LEAST),
        new=np.maximum(_new(inputs, history, at) - even, _LEAST),
    )
