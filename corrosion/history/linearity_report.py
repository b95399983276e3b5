"""Which law of the interface of steel and water was used, berth by berth.

The walk through time takes the interface as a resistance wherever that does, and lets
it bend elsewhere (:mod:`corrosion.history.nonlinear_states`). Here the direct currents
that stood together at each berth, at their medians, are put to both laws, and what
differs is said in words.
"""

from dataclasses import dataclass

import numpy as np

from corrosion.foundation import assumptions
from corrosion.foundation.types import Array, BoolArray
from corrosion.foundation.units import HOUR
from corrosion.history.inputs import Case
from corrosion.hull.nonlinear.currents import NOTHING, compared
from corrosion.leakage.fault_currents import leaks, returns_ashore
from corrosion.leakage.standing_times import Period, stretches
from corrosion.records.ship import Berth

__all__ = ["Bend", "States", "bend_at", "direct_states", "interface_words"]

_ROWS = 64  # samples whose currents and dates stand for all: their medians
_SHORT = 1e-3 * HOUR  # a state that lasts less is none [s]
_NOTED = 1.0  # what lasts less in the mean is not worth a word [hours]
_NAMED = 2  # berths


@dataclass(frozen=True, slots=True, kw_only=True)
class States:
    """The direct currents that stood together while she lay at one berth.

    Attributes
    ----------
    seconds : ndarray, shape (states,)
        How long each state lasted, up to the date of the estimate. [s]
    active : ndarray of bool, shape (states, faults)
        Whose direct currents stood; in some states none but the couple's.
    injected : ndarray, shape (states, zones)
        Into the steel of each zone, the return aboard taken out. [A]
    """

    seconds: Array
    active: BoolArray
    injected: Array


@dataclass(frozen=True, slots=True, kw_only=True)
class Bend:
    """What a law that bends would change at one berth.

    Attributes
    ----------
    berth : Berth
        How she lay.
    error : float
        Largest miss of any zone's current in any state, over the largest zone current
        in it. [-]
    zone : str
        Where that is.
    faults : tuple of str
        Whose direct currents stood then; empty: the couple with the shore earth alone.
    """

    berth: Berth
    error: float
    zone: str
    faults: tuple[str, ...]

    @property
    def stood(self) -> str:
        """What stood then, in words."""
        if not self.faults:
            return "the couple with the shore earth stood alone"
        return f"the direct current of {' and '.join(self.faults)} stood"


def direct_states(case: Case, period: Period) -> States:
    """Return the direct currents that stood together while she lay at a berth.

    Parameters
    ----------
    case : Case
        The ship with everything drawn.
    period : Period
        How she lay.

    Returns
    -------
    States
        At the medians of dates and currents; one that lasts no time where she had
        not lain there by the date of the estimate.
    """
    ship, spans = case.ship, case.faults.spans
    rows = slice(0, min(_ROWS, case.draws.samples))
    began, ended = (np.median(t[rows], axis=0) for t in (spans.began, spans.ended))
    start, end = (
        np.minimum(np.median(t[rows], keepdims=True), case.clock.as_of)
        for t in (period.start, period.end)
    )
    direct = np.array([fault.current == "dc" for fault in ship.faults], dtype=np.bool_)
    here = np.flatnonzero(direct & (began < end) & (ended > start))
    duration, stood = stretches(began[None, here], ended[None, here], start, end)
    lasted = duration[0] > _SHORT
    lasted[0] |= not lasted.any()
    standing = stood[0, lasted]
    active = np.zeros((len(standing), len(ship.faults)), dtype=np.bool_)
    active[:, here] = standing
    injected = np.zeros((len(standing), len(ship.zones)))
    entry = (case.entry[rows, :, None] == np.arange(len(ship.zones))).mean(axis=0)
    aboard = ~returns_ashore(ship, period.berth)
    into = entry - aboard[:, None] * case.cables
    for leak in leaks(
        ship,
        case.faults,
        period.berth,
        active=np.broadcast_to(standing, (rows.stop, *standing.shape)),
        standing=here,
        rows=rows,
        shore_earth=case.paths.rows(rows).shore_earth_at(period.berth),
    ):
        injected += _median(leak.amps.real) @ into[leak.faults]
        if leak.lamps is not None and leak.system is not None:
            at = leak.system.switchboard_zone
            board = case.hull.reference if at is None else ship.zone_index(at)
            lamps = _median(leak.lamps.real)
            injected[:, board] += lamps
            injected -= lamps[:, None] * case.cables
    return States(seconds=duration[0, lasted], active=active, injected=injected)


def _median(amps: Array) -> Array:
    """Return medians over the samples: of the size, with the sign of the mean [A]."""
    size = np.median(np.abs(amps), axis=0)
    return np.asarray(np.copysign(size, amps.mean(axis=0)))


def bend_at(case: Case, period: Period) -> Bend:
    """Return what a law that bends would change while she lay at a berth.

    Parameters
    ----------
    case : Case
        The ship with everything drawn.
    period : Period
        How she lay.

    Returns
    -------
    Bend
        Over all of :func:`direct_states`, the couple's current added to each, that can
        be balanced.
    """
    states = direct_states(case, period)
    linear, bent = compared(
        case.hull,
        states.injected,
        period.berth,
        protection=[zone.protection for zone in case.ship.zones],
    )
    bent = np.where(np.isnan(bent), linear, bent)
    largest = np.maximum(np.abs(linear), np.abs(bent)).max(axis=1, initial=NOTHING)
    missed = np.abs(linear - bent) / largest[:, None]
    state, zone = np.unravel_index(int(missed.argmax()), missed.shape)
    names = [fault.fault for fault in case.ship.faults]
    return Bend(
        berth=period.berth,
        error=float(missed[state, zone]),
        zone=case.ship.zones[int(zone)].zone,
        faults=tuple(names[k] for k in np.flatnonzero(states.active[state])),
    )


def interface_words(case: Case, bent: Array) -> str:
    """Return which law of the interface was used, in words.

    Parameters
    ----------
    case : Case
        The ship with everything drawn.
    bent : ndarray, shape (samples, periods)
        For how long it was taken as bending: the books'. [s]

    Returns
    -------
    str
        One sentence; where it was taken as bending for more than an hour in the mean,
        with the berths at which it was so longest.
    """
    bends = [
        (float(mean) / HOUR, bend_at(case, period))
        for period, mean in zip(case.periods, bent.mean(axis=0), strict=True)
        if period.berth.afloat
    ]
    used = "the interface of bare steel and water was taken as linear"
    berths = sorted((b for b in bends if b[0] > _NOTED), key=lambda b: -b[0])
    if berths:
        named = [_berth(*one) for one in berths[:_NAMED]]
        if len(berths) > _NAMED:
            named.append(f"at {len(berths) - _NAMED} more berths")
        return (
            f"{used} where that misses no zone's direct current by more than "
            f"{100.0 * assumptions.value('linear_bound'):.0f} % of the largest zone's, "
            f"and as bending elsewhere: {'; '.join(named)}"
        )
    worst = max((bend for _, bend in bends), key=lambda bend: bend.error, default=None)
    if worst is None or not worst.error > 0.0:
        return f"{used}: no direct current stood for which it matters"
    return (
        f"{used}: a law that bends moves no zone's direct current by more than "
        f"{100.0 * worst.error:.1f} % of the largest zone's ({worst.zone}, while "
        f"{worst.stood}, {worst.berth.berth})"
    )


def _berth(hours: float, bend: Bend) -> str:
    """Return for how long the interface was taken as bending at a berth, and why."""
    since = "" if bend.berth.start is None else f" from {bend.berth.start.text}"
    words = f"{hours:.0f} hours in the mean at {bend.berth.berth}{since}"
    if not bend.error > assumptions.value("linear_bound"):
        return f"{words}, in samples in which it resists more than in the middle"
    return (
        f"{words}, where the linear law would miss {bend.zone} by "
        f"{100.0 * bend.error:.0f} % while {bend.stood}"
    )
