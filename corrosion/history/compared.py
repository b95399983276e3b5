"""What one scenario loses and another keeps, zone by zone and state by state."""

from dataclasses import dataclass

import numpy as np

from corrosion.foundation.types import Array, IntArray
from corrosion.history.loss import LossHistory
from corrosion.wastage.step_loss import add_rows


@dataclass(frozen=True, slots=True)
class StepMass:
    """What a step took, to be held against another scenario's."""

    # shape (samples, states, wetted): of wetted zones by currents and nature,
    # in each state [A/m²]
    states: Array
    to_kg: Array  # shape (samples, wetted): metal a charge [kg m²/C]
    # shape (samples, stretches): the state of each stretch in which nothing changes
    # in any scenario
    which: IntArray
    rest: Array  # shape (samples, zones): of other zones, and of inner faces [kg]


def compare(
    kept: LossHistory,
    rows: slice,
    wet: IntArray,
    duration: Array,
    masses: tuple[StepMass | None, StepMass | None],
) -> None:
    """Add what the first scenario lost in a step and another does not, and the reverse.

    Parameters
    ----------
    kept : LossHistory
        The other's, which is added to.
    rows : slice
        Which samples.
    wet : ndarray of int, shape (wetted,)
        Wetted zones.
    duration : ndarray, shape (samples, stretches)
        Of stretches in which nothing changes in either. [s]
    masses : tuple of two StepMass
        The first's and the other's; None: what is lost is not counted.
    """
    first, mine = masses
    if first is None or mine is None:
        return
    other = duration > 0.0
    if first.states is mine.states:
        other &= first.which != mine.which
    sample, at = np.nonzero(other)
    # each pair of states once: most stretches differ by what changes neither
    sizes = first.states.shape[1], mine.states.shape[1]
    pair = (sample * sizes[0] + first.which[sample, at]) * sizes[1]
    pairs, which = np.unique(pair + mine.which[sample, at], return_inverse=True)
    lasts = np.bincount(which, duration[sample, at])
    sample, one, two = np.unravel_index(pairs, (len(other), *sizes))
    before = first.states[sample, one] * first.to_kg[sample]
    change = (before - mine.states[sample, two] * mine.to_kg[sample]) * lasts[:, None]
    for account, sign in ((kept.kept_kg, 1.0), (kept.given_up_kg, -1.0)):
        if first.rest is not mine.rest:
            account[rows] += np.maximum(sign * (first.rest - mine.rest), 0.0)
        if sample.size:
            add_rows(account[rows], sample, np.maximum(sign * change, 0.0), wet)
