"""What the dates of an entry of a log say of a fault, and how she lay as it was found.

Found in 1994, and she lay at anchor until June and at an earthed quay from then on:
what was read belongs to one of the two, and the readings themselves say to which more
likely. A clamp that showed 15 A was not read at anchor.
"""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass

import numpy as np

from corrosion.foundation.types import Array, IntArray
from corrosion.foundation.units import DAY, HOUR
from corrosion.leakage.earthing import Tie, is_earthed, lies_at
from corrosion.records.dates import When
from corrosion.records.measured import SHORE_CABLE
from corrosion.records.ship import Berth, Fault, Ship, System

AFLOAT = Berth(start=None, end=None, berth="not written", supply="own")
"""How she lay where no berth is written: afloat, on her own supply."""


@dataclass(frozen=True, slots=True, kw_only=True)
class DatedState:
    """A part of the date on which a fault was found, and how she lay in it."""

    # start, end: from when to when [s]
    start: float
    end: float
    berth: Berth  # how she lay
    # how the fault's system was tied to the hull, what is not written at its median
    tie: Tie
    fed: System | None  # the system as it was fed; None: as it is


@dataclass(frozen=True, slots=True)
class FoundIn:
    """In which part of its date each fault was found."""

    parts: list[list[DatedState]]  # by fault, none of one that is no ground fault
    part: IntArray  # (samples, faults) which of them

    def put(
        self,
        places: Sequence[int],
        parts: Sequence[list[DatedState]],
        part: Mapping[int, IntArray],
    ) -> None:
        """Say it of some faults, in place; ``part`` by which of them it is."""
        for k, (place, some) in enumerate(zip(places, parts, strict=True)):
            self.parts[place] = some
            self.part[:, place] = part.get(k, 0)

    def within(self, k: int) -> tuple[Array, Array]:
        """Return from when to when one fault was found; infinite: within its date [s].

        Shape (samples,).
        """
        if len(self.parts[k]) < 2:
            nothing = np.full(len(self.part), np.inf)
            return -nothing, nothing
        ends = np.array([(one.start, one.end) for one in self.parts[k]])
        low, high = ends[self.part[:, k]].T
        return low, high


def berth_at(ship: Ship, moment: float) -> Berth:
    """Return the berth at a moment, dates taken at their middle.

    Parameters
    ----------
    ship : Ship
        The ship; of berths that overlap, the later in her table counts.
    moment : float
        From 1970-01-01 00:00. [s]

    Returns
    -------
    Berth
        Afloat on her own supply where none is written.
    """
    for berth in reversed(ship.berths):
        begun = berth.start is None or berth.start.middle <= moment
        ended = berth.end is not None and berth.end.middle < moment
        if begun and not ended:
            return berth
    return AFLOAT


def dated_states(ship: Ship, fault: Fault, system: System) -> list[DatedState]:
    """Return the parts of the date on which a fault was found, by how she lay.

    In order of time, one at least. What was cleared was found before that, and what was
    found healthy was found to leak after it; a current that returned ashore was read
    where the supply was earthed, if she lay at such a berth at all.
    """
    start, end = fault.found.earliest, fault.found.latest
    moves = []
    if end - start > HOUR:
        if fault.ended is not None:
            end = max(min(end, fault.ended.latest), start)
        if fault.last_good is not None:
            start = min(max(start, fault.last_good.earliest), end)
        dates = [when for berth in ship.berths for when in (berth.start, berth.end)]
        moves = [w.middle for w in dates if w is not None and start < w.middle < end]
    found: list[DatedState] = []
    edges = sorted({start, *moves, end})
    for low, high in zip(edges, edges[1:] or edges, strict=False):
        berth = berth_at(ship, 0.5 * (low + high))
        tie, fed = lies_at(system, berth, ship.assumptions)
        same = bool(found) and found[-1].berth == berth
        one = DatedState(
            start=found.pop().start if same else low,
            end=high,
            berth=berth,
            tie=tie,
            fed=fed,
        )
        found.append(one)
    ashore = [one for one in found if one.tie.at is not None]
    return ashore if ashore and fault.returns == "ashore" else found


_AT_ONCE = 90.0  # found and cleared in the same minute, or on either side of one [s]
_COARSE = 2.0 * DAY  # a date wider than this is coarse
_MONTH = 30.4  # [days]


def coarseness(fault: Fault) -> float:
    """Return how coarse a fault's dates are: 0 to a day or two, 1 a month, 1.7 a year.

    Parameters
    ----------
    fault : Fault

    Returns
    -------
    float
        Logarithm of the widest date's width in days over that of a month's. [-]
    """
    width = fault.widest
    return float(np.log(width / DAY) / np.log(_MONTH)) if width > _COARSE else 0.0


def last_check(fault: Fault) -> When | None:
    """Return when what a fault broke was last found healthy, as its own entry says.

    It is the last look before the finding, so that the gap tells how often is looked.
    An entry of another fault is no check of this one: its circuit may have been open,
    and nobody looked for this.
    """
    return fault.last_good if fault.source == "ground fault" else None


def healthy_rounds(ship: Ship, fault: Fault) -> tuple[When | None, When | None]:
    """Return the last rounds before a fault at which its system was healthy.

    A round that somebody wrote down bounds when the fault began. It is not the last
    look: most looks are written nowhere.

    ``any_round``, ``thorough``: the last round before; and the last one that looked at
    more than lamps and volts, from which a fault of high resistance stays hidden.
    """
    rounds = [
        row
        for row in ship.readings
        if row.fault is None
        and row.system == fault.system
        and row.circuit in (None, fault.circuit)
        and row.circuit != SHORE_CABLE
        and row.time.latest <= fault.found.earliest
        and fault.source == "ground fault"
    ]
    tested = [r for r in rounds if r.insulation is not None or r.monitor is not None]
    last = [
        max((r.time for r in some), key=lambda when: when.latest, default=None)
        for some in (rounds, tested)
    ]
    return last[0], last[1]


def tripped(ship: Ship, fault: Fault) -> bool:
    """Return whether a fault opened its own branch as soon as it began.

    Nobody finds and clears a fault within one minute; an earthed supply does.
    """
    end = fault.ended
    if fault.source != "ground fault" or end is None:
        return False
    together = abs(end.middle - fault.found.middle) <= _AT_ONCE
    exact = max(end.width, fault.found.width) <= _AT_ONCE
    berth = berth_at(ship, fault.found.middle)
    return (
        together
        and exact
        and any(s.name == fault.system and is_earthed(s, berth) for s in ship.systems)
    )
