"""Time: when each fault stood, which stood together, and how she lay meanwhile.

Dates as written are intervals, so every sample has its own beginnings and ends. They
are sorted along the sample axis into stretches of constant state, in which the faults
of a system that stand together are solved together.
"""

from dataclasses import dataclass

import numpy as np

from corrosion.foundation.sampling import Draws
from corrosion.foundation.types import Array, BoolArray
from corrosion.foundation.units import DAY
from corrosion.leakage.conditions import AFLOAT
from corrosion.leakage.durations import Duration, DurationLaws, last_check
from corrosion.leakage.inference.inverse_cdf import reuse, sample_cell
from corrosion.records.dates import When
from corrosion.records.ship import Berth, Fault, Ship

__all__ = [
    "FAULT_COLUMNS",
    "ConstantIntervals",
    "FaultIntervals",
    "Stay",
    "constant_intervals",
    "fault_intervals",
    "periods",
    "sample_date",
    "unwritten_clearings",
]

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

_DOUBTED = 0.02  # least chance that the looks of a watch miss a fault, or see it
_STEPS = 65  # moments of a date at which its room is looked at


@dataclass(frozen=True, slots=True, kw_only=True)
class FaultIntervals:
    """When each fault stood, a sample a row.

    Attributes
    ----------
    began, found, ended : ndarray, shape (samples, faults)
        Moments, ``began <= found`` and ``began <= ended``; ``ended`` is infinite
        for a fault that still stands. [s]
    """

    began: Array
    found: Array
    ended: Array


@dataclass(frozen=True, slots=True, kw_only=True)
class Stay:
    """How she lay, from one moment to another in each sample.

    Attributes
    ----------
    berth : Berth
        How she lay and what fed her.
    start, end : ndarray, shape (samples,)
        From and to, ``start <= end``. [s]
    """

    berth: Berth
    start: Array
    end: Array


def sample_date(when: When, uniform: Array) -> Array:
    """Return moments spread evenly over a date as written [s]."""
    return np.asarray(when.earliest + uniform * when.width)


def fault_intervals(
    ship: Ship, uniform: Array, *, laws: DurationLaws, shown: BoolArray, as_of: float
) -> FaultIntervals:
    """Return when each fault began, was found and ended.

    Parameters
    ----------
    ship : Ship
        The ship.
    uniform : ndarray, shape (samples, faults, len(FAULT_COLUMNS))
        Uniform numbers of each fault. [-]
    laws : DurationLaws
        Her delays and responses.
    shown : ndarray of bool, shape (samples, faults)
        Whether lamps or a monitor could have shown each fault.
    as_of : float
        Date of the estimate. [s]

    Returns
    -------
    FaultIntervals
        Each fault was found at a moment of the date written, had begun a delay before
        (since the last good check, where one is known), and ended a response after,
        within what is written of its clearing. Welding and other currents begin when
        they are found, since somebody switched them on.

    Notes
    -----
    Where found and cleared share a year, the moment of the finding is weighed by the
    chance that the response then fits into what is left of it.
    """
    u = {name: uniform[:, :, k] for k, name in enumerate(FAULT_COLUMNS)}
    began, found, ended = (np.empty(uniform.shape[:2]) for _ in range(3))
    for k, fault in enumerate(ship.faults):
        checks = last_check(ship, fault)
        seen = _could_show(fault, checks[0], laws, (shown[:, k], u["last_good"][:, k]))
        delay = _delay(laws, seen)
        found[:, k] = _found(fault, checks[0], (delay, laws), u["found"][:, k])
        ended[:, k] = _ended(fault, found[:, k], laws, u["cleared"][:, k], as_of)
        if fault.source != "ground fault":
            began[:, k] = found[:, k]
            continue
        longest = found[:, k] - min(ship.built.earliest, fault.found.earliest)
        for good, mine in zip(checks, (seen, ~seen), strict=True):
            if good is not None:
                until = np.clip(found[:, k], good.earliest, good.latest)
                since = good.earliest + u["last_good"][:, k] * (until - good.earliest)
                longest = np.where(mine, np.maximum(found[:, k] - since, 0.0), longest)
        waited = delay.sample(u["began"][:, k], 0.0, longest)
        checked = np.where(seen, *(good is not None for good in checks))
        if checked.any():
            since_check = delay.since_check(u["began"][:, k], longest, laws.regular)
            waited = np.where(checked, since_check, waited)
        began[:, k] = found[:, k] - waited
    return FaultIntervals(began=began, found=found, ended=ended)


def unwritten_clearings(
    ship: Ship, laws: DurationLaws, as_of: float
) -> list[tuple[Fault, bool]]:
    """Return the faults of which nobody wrote whether they stand, and if they may.

    One found longer ago than faults of its system stand, but for one in twenty, is
    taken as cleared at a time that nobody wrote.

    Parameters
    ----------
    ship : Ship
        The ship.
    laws : DurationLaws
        Of her systems.
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


def _could_show(
    fault: Fault,
    good: When | None,
    laws: DurationLaws,
    drawn: tuple[BoolArray, Array],
) -> BoolArray:
    """Return whether a fault could be shown, as the gap since its check leaves it.

    A gap of months says that the looks of the watch did not see it, whatever its
    resistance seems to be: each law is weighed by its density of the gap.
    """
    shown, uniform = drawn
    if good is None or good.middle >= fault.found.middle:
        return shown
    gap = float(np.log(fault.found.middle - good.middle))
    likely = [law.gap_density(gap) for law in (laws.shown, laws.hidden)]
    share = np.clip(shown.mean(), _DOUBTED, 1.0 - _DOUBTED)
    after = share * likely[0] / (share * likely[0] + (1.0 - share) * likely[1] + 1e-300)
    turn = reuse(uniform)
    hidden_after = turn < 1.0 - after / share
    shown_after = turn < (after - share) / (1.0 - share)
    return np.asarray(np.where(shown, ~hidden_after, shown_after), np.bool_)


def _delay(laws: DurationLaws, shown: BoolArray) -> Duration:
    """Return the law of one fault's delay, by whether it could be shown."""
    return Duration(
        np.where(shown, laws.shown.median, laws.hidden.median),
        np.where(shown, laws.shown.spread, laws.hidden.spread),
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
    good: When | None,
    laws: tuple[Duration, DurationLaws],
    uniform: Array,
) -> Array:
    """Return when a fault was found, by the room that it leaves check and clearing."""
    delay, all_laws = laws
    end = fault.ended
    apart = (good is None or good.latest <= fault.found.earliest) and (
        end is None or end.earliest >= fault.found.latest
    )
    if fault.found.width == 0.0 or (apart and fault.found.width <= DAY):
        return sample_date(fault.found, uniform)
    moments = np.linspace(fault.found.earliest, fault.found.latest, _STEPS)
    room = np.ones((len(uniform), _STEPS))
    every = np.broadcast_to(moments, room.shape)
    if good is not None and not apart:
        room = room * delay.chance_within(every - good.earliest)
    if end is not None:
        law, shift = all_laws.response_of(fault)
        shift = np.reshape(shift, (-1, 1))
        room = room * (
            law.chance_within(end.latest - every, shift)
            - law.chance_within(end.earliest - every, shift)
        )
    room += 1e-9 * room.max(axis=1, keepdims=True) + 1e-300
    cell, place = sample_cell(0.5 * (room[:, 1:] + room[:, :-1]), uniform)
    return np.asarray(moments[cell] + place * (moments[1] - moments[0]))


def periods(ship: Ship, draws: Draws, *, start: float, end: float) -> list[Stay]:
    """Return how she lay, from the beginning of the estimate to its end.

    Parameters
    ----------
    ship : Ship
        The ship; her berths in order of time.
    draws : Draws
        Random numbers: two a berth.
    start, end : float
        Beginning and end of the estimate. [s]

    Returns
    -------
    list of Stay
        One a berth, and one for each gap between berths, in which she is taken to
        lie afloat on her own supply. They follow one another in every sample: where
        two dates overlap, the later berth begins when the earlier one ends, and where
        one ends and the next begins on the same date as written, she moved at once.
    """
    found: list[Stay] = []
    before = np.full(draws.samples, start)
    for k, berth in enumerate(ship.berths):
        u = draws.block(f"berth {k} dates", 2)
        moved = k > 0 and berth.start == ship.berths[k - 1].end
        low = before
        if berth.start is not None and not moved:
            low = sample_date(berth.start, u[:, 0])
        high = np.inf if berth.end is None else sample_date(berth.end, u[:, 1])
        a = np.clip(np.maximum(low, before), start, end)
        b = np.clip(np.maximum(high, a), start, end)
        found += [
            Stay(berth=AFLOAT, start=before, end=a),
            Stay(berth=berth, start=a, end=b),
        ]
        before = b
    found.append(Stay(berth=AFLOAT, start=before, end=np.full(draws.samples, end)))
    return [period for period in found if bool((period.end > period.start).any())]


@dataclass(frozen=True, slots=True)
class ConstantIntervals:
    """Stretches of a slab of time in which nothing changes, a sample a row.

    Attributes
    ----------
    duration : ndarray, shape (samples, stretches)
        Length of each stretch; zero where a sample has fewer than others. [s]
    middle : ndarray, shape (samples, stretches)
        Its middle. [s]
    active : ndarray of bool, shape (samples, stretches, faults)
        Which faults stand in it.
    """

    duration: Array
    middle: Array
    active: BoolArray

    def of(self, faults: list[int]) -> "ConstantIntervals":
        """Return the same stretches with some of the faults."""
        return ConstantIntervals(self.duration, self.middle, self.active[:, :, faults])


def constant_intervals(
    began: Array, ended: Array, start: Array, end: Array
) -> ConstantIntervals:
    """Cut a slab of time into stretches in which nothing changes.

    Parameters
    ----------
    began, ended : ndarray, shape (samples, faults)
        When each fault stood. [s]
    start, end : ndarray, shape (samples,)
        Beginning and end of the slab. [s]

    Returns
    -------
    ConstantIntervals
        The stretches, and which faults stand in each.

    Examples
    --------
    >>> import numpy as np
    >>> one = np.ones((1, 1))
    >>> cut = constant_intervals(2 * one, 5 * one, 0 * one[0], 9 * one[0])
    >>> cut.duration
    array([[2., 3., 4.]])
    >>> cut.active[0, :, 0]
    array([False,  True, False])
    """
    low, high = start[:, None], end[:, None]
    a, b = np.clip(began, low, high), np.clip(ended, low, high)
    edges = np.sort(np.concatenate([low, a, b, high], axis=1), axis=1)
    duration, left = np.diff(edges, axis=1), edges[:, :-1]
    most = max(1, int(np.count_nonzero(duration, axis=1).max(initial=0)))
    if most < duration.shape[1]:  # most edges coincide: keep what has a length
        kept = np.argsort(duration == 0.0, axis=1, kind="stable")[:, :most]
        duration = np.take_along_axis(duration, kept, axis=1)
        left = np.take_along_axis(left, kept, axis=1)
    active = (a[:, None, :] <= left[:, :, None]) & (left[:, :, None] < b[:, None, :])
    return ConstantIntervals(duration, left + 0.5 * duration, active)
