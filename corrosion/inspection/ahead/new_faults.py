"""Faults that will arise: as many as her own log shows, each like one that it holds.

The log's last years are taken to come again: how often faults arise on each system, how
long they stand, what they take and where, with the berths and supplies of those years.
"""

from collections.abc import Sequence
from dataclasses import dataclass, replace
from typing import Final

import numpy as np

from corrosion.foundation.types import Array, IntArray
from corrosion.foundation.units import YEAR
from corrosion.history.inputs import ModelInputs
from corrosion.history.loss import LossHistory
from corrosion.wastage.pits import as_pits_deepen
from corrosion.wastage.works import in_plate

_LEAST_BARE: Final = 1e-6  # sound paint has some holiday
_SHAPE: Final = 0.5  # of the prior of a Poisson rate that says least (Jeffreys)


@dataclass(frozen=True, slots=True, kw_only=True)
class NewFaults:
    """How many faults will have arisen, by the fault of the log that each is like."""

    # shape (ahead,): the date of the estimate and later moments, ascending [s]
    moments: Array
    # shape (samples, faults, ahead): faults like each fault of the log that have arisen
    # by then; 0 at the first
    count: IntArray
    rate: Array  # shape (samples, faults): at which they arise [1/s]

    def until(self, moment: float) -> IntArray:
        """Return the count at one of the moments, shape (samples, faults)."""
        return np.asarray(self.count[:, :, int(np.searchsorted(self.moments, moment))])


def new_faults(inputs: ModelInputs) -> NewFaults:
    r"""Draw how many faults will arise, system by system.

    Parameters
    ----------
    inputs : ModelInputs
        The ship with everything drawn.

    Returns
    -------
    NewFaults
        Up to each of the time grid's moments from the date of the estimate on, on the
        same random numbers for every what-if.

    Notes
    -----
    N faults of a system in a window of T years, with the prior that says least for a
    Poisson rate, leave the rate :math:`\lambda \sim \Gamma(N + \tfrac12, T)`. Each of
    the N is as likely to come again as any other, so that each does at
    :math:`\lambda / N`, independently: a thinned Poisson process. A system without a
    fault in the window has those of its whole log come again, at
    :math:`\Gamma(\tfrac12, T)`.
    """
    grid, faults = inputs.time_grid, inputs.ship.faults
    moments = grid.moments[grid.moments >= grid.as_of]
    found = np.array([fault.found.middle for fault in faults])
    reach = inputs.draws.value("fault_rate_window_years") * YEAR
    start = max(grid.as_of - reach, min([*found, grid.as_of]))
    span = max(grid.as_of - start, YEAR)  # a log of a day tells no rate
    rate = np.zeros((inputs.draws.samples, len(faults)))
    for name, members in by_system(inputs).items():
        recent = [f for f in members if found[f] >= start]
        like = recent or members
        rng = inputs.draws.generator(f"rate of new faults {name}")
        total = rng.gamma(_SHAPE + len(recent), 1.0 / span, len(rate))
        rate[:, like] = total[:, None] / len(like)
    count = np.zeros((*rate.shape, len(moments)), dtype=np.int64)
    for f, fault in enumerate(faults):
        rng = inputs.draws.generator(f"new faults like {fault.fault}")
        arisen = rng.poisson(rate[:, f, None] * np.diff(moments))
        count[:, f, 1:] = np.cumsum(arisen, axis=1)
    return NewFaults(moments=moments, count=count, rate=rate)


def depth_ahead(inputs: ModelInputs, history: LossHistory, new: NewFaults) -> Array:
    """Return what new faults take from each zone, mean over its area.

    Parameters
    ----------
    inputs : ModelInputs
        The ship with everything drawn.
    history : LossHistory
        What the faults of the log took.
    new : NewFaults
        How many like each will have arisen.

    Returns
    -------
    ndarray, shape (samples, ahead, zones)
        Depth taken by each of the moments of the plate that is there then. What they
        spare other zones is left out. [m]
    """
    each = history.charged.sum(axis=1, keepdims=True)
    spread = np.divide(
        history.charged, each, out=np.zeros_like(history.charged), where=each > 0.0
    )
    kilograms = np.einsum(
        "sfk,sf,fz->skz", new.count, history.fault_kg, spread, optimize=True
    )
    return in_plate(kilograms / inputs.kg_per_metre, new.moments, inputs.zones.works)


def with_new_faults(
    inputs: ModelInputs, history: LossHistory, new: NewFaults
) -> LossHistory:
    """Return a history that goes on with what new faults take.

    Parameters
    ----------
    inputs : ModelInputs
        The ship with everything drawn.
    history : LossHistory
        As it goes on with standing faults alone.
    new : NewFaults
        How many will have arisen.

    Returns
    -------
    LossHistory
        With depths ahead increased: the mean, and at bare steel what falls on it, as
        evenly as it is bare. Nothing up to the date of the estimate changes.
    """
    ahead = np.flatnonzero(history.moments > inputs.time_grid.as_of)
    if not new.rate.any() or not ahead.size:
        return history
    taken = depth_ahead(inputs, history, new)
    extra = taken[:, np.searchsorted(new.moments, history.moments[ahead])]
    spot = extra / np.maximum(history.bare[:, ahead], _LEAST_BARE)
    reference, power = inputs.zones.pit_reference, inputs.draws.value("pit_depth_power")
    mean, since = history.mean.copy(), history.since.copy()
    before = as_pits_deepen(since[:, ahead], reference=reference, power=1.0 / power)
    deeper = as_pits_deepen(before + spot, reference=reference, power=power)
    mean[:, ahead] += extra
    since[:, ahead] = np.where(spot > 0.0, deeper, since[:, ahead])
    return replace(history, mean=mean, since=since)


def by_system(inputs: ModelInputs) -> dict[str, Sequence[int]]:
    """Return the numbers of the faults of each system; of other sources together."""
    groups: dict[str, list[int]] = {}
    for number, fault in enumerate(inputs.ship.faults):
        ground = fault.source == "ground fault" and fault.system is not None
        groups.setdefault(f"on {fault.system}" if ground else fault.source, []).append(
            number
        )
    return {name: tuple(members) for name, members in groups.items()}
