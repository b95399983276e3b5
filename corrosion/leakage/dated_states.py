"""In which states of the network a fault may have been found, as far as its date says.

Found in 1994, and she lay at anchor until June and at an earthed quay from then on:
what was read belongs to one of the two, and the readings themselves say to which more
likely. A clamp that showed 15 A was not read at anchor.
"""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass

import numpy as np

from corrosion.foundation.types import Array, IntArray
from corrosion.foundation.units import HOUR
from corrosion.leakage.earthing import Tie, lies_at
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
