"""When each fault began, was found and ended.

Dates as written are intervals, so every sample has its own beginnings and ends.
"""

from dataclasses import dataclass
from functools import partial

import numpy as np

from corrosion.foundation.parallel import Begun, zeros
from corrosion.foundation.types import Array, BoolArray
from corrosion.foundation.units import DAY, HOUR
from corrosion.leakage.dated_states import FoundIn, healthy_rounds, last_check
from corrosion.leakage.durations import Duration, DurationLaws
from corrosion.leakage.inference.inverse_cdf import sample_cell
from corrosion.records.dates import When
from corrosion.records.ship import Fault, Ship

FAULT_COLUMNS = (
    "last_good",
    "began",
    "found",
    "cleared",
    "ohms",
    "zone",
    "amps",
    "trip",
    "wander",
    "later",
)
"""The unknowns of one fault, a column each, in the order in which they are drawn."""

_STEPS = 33  # moments of a date at which its room is looked at
_STEPS_A_DAY = 13  # of a date no wider than a day
_FAR = 10.0  # so long after the finding a clearing says nothing of the hour [days]


@dataclass(frozen=True, slots=True, kw_only=True)
class FaultIntervals:
    """When each fault stood, a sample a row."""

    # began, found, ended, shape (samples, faults): moments, `began <= found` and `began
    # <= ended`; `ended` is infinite for a fault that still stands [s]
    began: Array
    found: Array
    ended: Array


@dataclass(frozen=True, slots=True)
class Findings:
    """How each fault was found, arrays of shape (samples, faults)."""

    # whether it was hidden from lamps and monitor while it waited to be found
    hidden: BoolArray
    turned: BoolArray  # whether it was, but they show it as it was found
    opened: BoolArray  # whether an earthed supply opened its branch at once
    found_in: FoundIn  # how she lay as it was found


def fault_intervals(
    ship: Ship, uniform: Array, *, laws: DurationLaws, findings: Findings, as_of: float
) -> FaultIntervals:
    """Return when each fault began, was found and ended.

    Parameters
    ----------
    ship : Ship
    uniform : ndarray, shape (samples, faults, len(FAULT_COLUMNS))
        Uniform numbers of each fault. [-]
    laws, findings : DurationLaws, Findings
    as_of : float
        Date of the estimate. [s]

    Returns
    -------
    FaultIntervals
        Each fault was found at a moment of the date written, had begun a delay before
        (since the last good check, or a healthy round, where one is known), and ended
        a response after, within what is written of its clearing; what an earthed supply
        tripped ended as it was found. Welding and other currents begin when
        they are found, since somebody switched them on.

    Notes
    -----
    Where found and cleared share a year, the moment of the finding is weighed by the
    chance that the response then fits into what is left of it.
    """
    u = {name: uniform[:, :, k] for k, name in enumerate(FAULT_COLUMNS)}
    began, found, ended = (zeros(uniform.shape[:2]) for _ in range(3))

    def stand(k: int) -> None:
        fault = ship.faults[k]
        check = last_check(fault)
        bounds = healthy_rounds(ship, fault) if check is None else (check, None)
        hidden, turned, opened = (
            each[:, k] for each in (findings.hidden, findings.turned, findings.opened)
        )
        delay, looks = laws.waiting(hidden)
        dated = findings.found_in.within(k)
        found[:, k] = _found(fault, dated, bounds[0], (delay, laws), u["found"][:, k])
        ended[:, k] = _ended(fault, found[:, k], laws, u["cleared"][:, k], as_of)
        if fault.source != "ground fault":
            began[:, k] = found[:, k]
            return
        longest = found[:, k] - min(ship.built.earliest, fault.found.earliest)
        lay = hidden & (check is None)  # a check of its own bounds it however it lay
        for good, mine in zip(bounds, (~lay, lay), strict=True):
            if good is not None:
                law = delay if good is check else None
                since = _checked_at(good, found[:, k], law, u["last_good"][:, k])
                longest = np.where(mine, np.maximum(found[:, k] - since, 0.0), longest)
        waited = _unlooked(laws, delay, turned).sample(u["began"][:, k], 0.0, longest)
        if check is not None:
            between = delay.since_check(u["began"][:, k], longest, looks)
            waited = np.where(turned, waited, between)
        tripped = laws.trip.sample(u["began"][:, k], 0.0, longest)
        ended[:, k] = np.where(opened, found[:, k], ended[:, k])
        began[:, k] = found[:, k] - np.where(opened, tripped, waited)

    def stand_all(some: range) -> None:
        for k in some:
            stand(k)

    # A child does one half where there may be one; threads would wait for one another.
    half = len(ship.faults) // 2
    others = Begun(partial(stand_all, range(half)))
    stand_all(range(half, len(ship.faults)))
    others.result()
    return FaultIntervals(began=began, found=found, ended=ended)


def _checked_at(
    good: When, found: Array, delay: Duration | None, uniform: Array
) -> Array:
    """Return when a check was, before the finding, within its date as written [s].

    Evenly; of the last look before the finding by how likely the law of the ``delay``
    makes the gap that it leaves.
    """
    until = np.clip(found, good.earliest, good.latest)
    room = until - good.earliest
    if delay is None or good.width <= HOUR:
        return np.asarray(good.earliest + uniform * room)
    early, late = found - good.earliest, np.maximum(found - until, 0.0)
    return found - delay.sample_gap(uniform, late, np.maximum(early, late))


def unwritten_clearings(
    ship: Ship, laws: DurationLaws, as_of: float
) -> list[tuple[Fault, bool]]:
    """Return the faults of which nobody wrote whether they stand, and if they may.

    One found longer ago than faults of its system stand, but for one in twenty, is
    taken as cleared at a time that nobody wrote.

    Parameters
    ----------
    ship, laws : Ship, DurationLaws
    as_of : float
        Date of the estimate. [s]

    Returns
    -------
    list of (Fault, bool)
        Each such fault, and whether it may still stand.
    """
    return [
        (fault, _likely_standing(fault, laws, as_of))
        for fault in ship.faults
        if fault.ended is None and fault.standing is None
    ]


def _likely_standing(fault: Fault, laws: DurationLaws, as_of: float) -> bool:
    if fault.source != "ground fault":
        return False
    return as_of - fault.found.latest <= laws.longest_response(fault)


def _unlooked(laws: DurationLaws, delay: Duration, turned: BoolArray) -> Duration:
    """Return the law of the delay where some were hidden at first and show now."""
    return Duration(
        np.where(turned, laws.turning.median, delay.median),
        np.where(turned, laws.turning.spread, delay.spread),
    )


def _ended(
    fault: Fault, found: Array, laws: DurationLaws, uniform: Array, as_of: float
) -> Array:
    """Return when the current of a fault ended [s]; infinite: it stands."""
    law, shift = laws.response_of(fault)
    end = fault.ended
    if end is not None:
        low, high = (np.maximum(at - found, 0.0) for at in (end.earliest, end.latest))
        return found + law.sample(uniform, low, high, shift)
    if fault.standing is True or (
        fault.standing is None and _likely_standing(fault, laws, as_of)
    ):
        return np.full(found.shape, np.inf)
    if fault.standing is False:
        return found + law.sample(uniform, 0.0, np.maximum(as_of - found, 0.0), shift)
    over = found + law.sample(uniform, shift=shift)
    return np.where(over > as_of, np.inf, over)


def _found(
    fault: Fault,
    dated: tuple[Array, Array],
    good: When | None,
    laws: tuple[Duration, DurationLaws],
    uniform: Array,
) -> Array:
    """Return when a fault was found, by the room that it leaves check and clearing."""
    delay, all_laws = laws
    low, high = (np.clip(x, fault.found.earliest, fault.found.latest) for x in dated)
    end = fault.ended
    apart = (good is None or good.latest <= fault.found.earliest) and (
        end is None or end.earliest >= fault.found.latest
    )
    far = end is None or end.earliest - fault.found.latest > _FAR * DAY
    if fault.found.width == 0.0 or (apart and far and fault.found.width <= DAY):
        return np.asarray(low + uniform * (high - low))
    steps = _STEPS if fault.found.width > DAY else _STEPS_A_DAY
    step = (high - low)[:, None] / (steps - 1)
    moments = low[:, None] + step * np.arange(steps)
    room = np.ones((len(uniform), steps))
    if good is not None and not apart:
        room *= delay.chance_within(moments - good.earliest)
    if end is not None:
        law, shift = all_laws.response_of(fault)
        shift = np.reshape(shift, (-1, 1))
        fits = law.chance_within(end.latest - moments, shift)
        fits -= law.chance_within(end.earliest - moments, shift)
        room *= fits
    room += 1e-9 * room.max(axis=1, keepdims=True) + 1e-300
    cell, place = sample_cell(0.5 * (room[:, 1:] + room[:, :-1]), uniform)
    return np.asarray(low + (cell + place) * step[:, 0])
