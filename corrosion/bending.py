"""How far the linear interface of steel and water holds, at what stood in the records.

The walk through time takes the interface as a resistance. Here the direct currents that
stood together at each berth, at their medians, are put to the law that bends, and what
that would change is said in words.
"""

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from corrosion import basis
from corrosion.books import Case
from corrosion.hull.polarisation import NOTHING, compared
from corrosion.leakage.amperes import leaks, returns_ashore
from corrosion.leakage.timeline import Period, stretches
from corrosion.records.ship import Berth
from corrosion.types import Array, BoolArray
from corrosion.units import HOUR

__all__ = ["Bend", "States", "bend_at", "direct_states", "interface_words"]

_ROWS = 64  # samples whose currents and dates stand for all: their medians
_SHORT = 1e-3 * HOUR  # a state that lasts less is none [s]


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
    linear, bent : ndarray, shape (zones,)
        Direct charge that left each zone by either law. [C]
    """

    berth: Berth
    error: float
    zone: str
    faults: tuple[str, ...]
    linear: Array
    bent: Array


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
        Over all of :func:`direct_states`, the couple's current added to each.
    """
    states = direct_states(case, period)
    linear, bent = compared(case.hull, states.injected, period.berth)
    largest = np.maximum(np.abs(linear), np.abs(bent)).max(axis=1, initial=NOTHING)
    missed = np.abs(linear - bent) / largest[:, None]
    state, zone = np.unravel_index(int(missed.argmax()), missed.shape)
    names = [fault.fault for fault in case.ship.faults]
    return Bend(
        berth=period.berth,
        error=float(missed[state, zone]),
        zone=case.ship.zones[int(zone)].zone,
        faults=tuple(names[k] for k in np.flatnonzero(states.active[state])),
        linear=states.seconds @ np.maximum(linear, 0.0),
        bent=states.seconds @ np.maximum(bent, 0.0),
    )


def interface_words(bends: Sequence[Bend]) -> str:
    """Return which law of the interface was used, and what another would change.

    Parameters
    ----------
    bends : sequence of Bend
        From :func:`bend_at`, at least one.

    Returns
    -------
    str
        One sentence: the charge that left over all berths, and the state at which a
        zone's current is missed most, against the basis table's ``linear_bound``.
    """
    used = "the interface of bare steel and water was taken as linear"
    worst = max(bends, key=lambda bend: bend.error)
    if not worst.error > 0.0:
        return f"{used}: no direct current stood for which it matters"
    linear, bent = sum(b.linear for b in bends), sum(b.bent for b in bends)
    charge = float(np.max(np.abs(linear - bent)) / max(np.max([linear, bent]), 1.0))
    stood = "the couple with the shore earth stood alone"
    if worst.faults:
        stood = f"the direct current of {' and '.join(worst.faults)} stood"
    bound = basis.value("linear_bound")
    within = worst.error <= bound
    words = (
        f"{used}: a law that bends moves no zone's direct charge so far by more than "
        f"{charge:.1%} of the largest zone's, "
        f"{'and' if within else 'but'} the current of {worst.zone} by "
        f"{worst.error:.1%} of the largest zone's while {stood} "
        f"({worst.berth.berth})"
    )
    if within and charge <= bound:
        return words
    return f"{words}: treat the split between zones with care at such currents"
