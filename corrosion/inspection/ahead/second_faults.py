"""A second fault while a first one stands: how often, and what it draws.

An ungrounded system runs on with one fault, which is its purpose. A second fault on
another conductor closes a loop through the hull between the two: it trips a breaker, or
it feeds whatever burns between them.
"""

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from corrosion.foundation.types import Array
from corrosion.history.inputs import ModelInputs
from corrosion.inspection.ahead.new_faults import NewFaults, by_system
from corrosion.leakage.standing_times import FaultIntervals


@dataclass(frozen=True, slots=True, kw_only=True)
class SecondFaults:
    """Second faults to expect, all systems together: means, and counts of events."""

    # that meet a standing one from another conductor of its system
    another_conductor: float
    past_trip: float  # of these, those whose loop draws what trips a breaker
    # of these, those below that: they leak through the hull until somebody looks
    between: float


def second_faults(
    inputs: ModelInputs, spans: FaultIntervals, new: NewFaults, until: float
) -> SecondFaults:
    r"""Return the second faults to expect from the date of the estimate on.

    Parameters
    ----------
    inputs : ModelInputs
        The ship with everything drawn.
    spans : FaultIntervals
        When the faults of the log stand, as they did or with a measure; what arises
        stands for as long as the one that it is like.
    new : NewFaults
        How often each of them comes again.
    until : float
        One of the moments of ``new``. [s]

    Returns
    -------
    SecondFaults
        The expectations.

    Notes
    -----
    Faults arise at :math:`\lambda` on a system of n conductors, on each alike, so that
    a fault that stands for t meets :math:`\lambda t (n - 1) / n` on the others. One
    that arises at any time of a window w, alike, stands within it for t less
    :math:`t^2 / 2 w`. The loop draws the volts between conductors over both
    resistances, each as any fault of the system has it. Wet days, on which faults come
    together, make more of them.
    """
    as_of = inputs.time_grid.as_of
    window = until - as_of
    left = np.clip(np.minimum(spans.ended, until) - as_of, 0.0, None)
    standing = np.where(spans.began <= as_of, left, 0.0)
    stood = np.clip(spans.ended - spans.began, 0.0, window)
    within = stood - stood**2 / (2.0 * window)  # the last to arise outlast the window
    exposed = standing + new.until(until) * within
    another = past = 0.0
    for members in by_system(inputs).values():
        rows = list(members)
        first = inputs.ship.faults[rows[0]]
        if first.source != "ground fault" or first.system is None:
            continue
        system = inputs.ship.system(first.system)
        others = 1.0 - 1.0 / len(system.conductors)
        met = exposed[:, rows].sum(axis=1) * new.rate[:, rows].sum(axis=1) * others
        another += float(met.mean())
        past += float((met * _past_trip(inputs, rows, system.volts)).mean())
    return SecondFaults(
        another_conductor=another, past_trip=past, between=another - past
    )


def _past_trip(inputs: ModelInputs, rows: Sequence[int], volts: float) -> Array:
    """Return the share of pairs of faults that trip a breaker, shape (samples,).

    What the branch trips at is written, or is as wide as on an earthed supply.
    """
    written = {(one.system, one.circuit): one.trip_amps for one in inputs.ship.circuits}
    ohms, trip = inputs.faults.resistance[:, rows], inputs.faults.trip[:, rows]
    for column, row in enumerate(rows):
        fault = inputs.ship.faults[row]
        amps = written.get((fault.system or "", fault.circuit or ""))
        if amps is not None:
            trip[:, column] = amps
    pairs = ohms[:, :, None] + ohms[:, None, :]
    least = np.minimum(trip[:, :, None], trip[:, None, :])
    if len(rows) > 1:  # a fault and itself are no pair
        apart = ~np.eye(len(rows), dtype=np.bool_)
        return np.asarray((volts > least * pairs)[:, apart].mean(axis=1))
    return np.asarray((volts > least * pairs).mean(axis=(1, 2)))
