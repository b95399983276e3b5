"""What readings on the shore connection tell about its couple and its earth.

A direct-current clamp round the earth lead of a connected shore cable reads the
current of the couple outright, and nothing is opened for it. Round the whole cable it
reads what does not come home through it: the same current, where no direct fault
stands. Volts between the ship and the shore earth, with the whole cable withdrawn, are
the couple itself.

Couple and shore earth are drawn anew from many that could be, each weighed by how well
it fits every reading in the state in which that was taken: at that berth, with the
paint of that day, hull and water of each sample as they are.
"""

import warnings
from collections.abc import Sequence
from dataclasses import dataclass, replace
from typing import Self

import numpy as np

from corrosion.foundation.assumptions import Assumptions
from corrosion.foundation.errors import ValidityWarning
from corrosion.foundation.sampling import Draws
from corrosion.foundation.types import Array
from corrosion.hull.network import Network, transfer
from corrosion.hull.shore_connection import ShoreConnection, open_ohms, polarised_ohms
from corrosion.hull.uncertain import SHORE, PathUnknowns, draw_paths
from corrosion.records.measured import SHORE_CABLE
from corrosion.records.ship import Berth, Potential, Reading, Ship

_CANDIDATES = 4096  # couples and earths that are weighed
_ROWS = 128  # samples weighed together, so that memory stays flat
_FAR = 4.0  # standard deviations beyond which no candidate explains a reading


@dataclass(frozen=True, slots=True, kw_only=True)
class ShoreReading:
    """A reading of the couple, and the state in which it was taken."""

    moment: float  # when [s]
    berth: Berth  # how she lay
    # along the earth lead, positive towards the ship: out of the hull
    # through the water [A]
    amps: float | None = None
    # shore earth against the hull, positive where the earth is the nobler [V]
    volts: float | None = None
    place: str = ""  # where it is written, for messages

    def misfit(self, couple: Array, ohms: Array, assumptions: Assumptions) -> Array:
        """Return by how many standard deviations a couple misses it.

        For couples [V] that drive a current through all of ``ohms`` [Ω].
        """
        if self.volts is not None:
            sd = assumptions.value("open_circuit_sd_v")
            return np.asarray((self.volts - couple) / sd)
        amps = couple / ohms
        zero = assumptions.value("dc_clamp_zero_a")
        gain = assumptions.value("dc_clamp_gain_sd")
        spread = np.sqrt(zero**2 + np.square(gain * amps))
        return np.asarray(((self.amps or 0.0) - amps) / spread)


def shore_readings(ship: Ship) -> tuple[ShoreReading, ...]:
    """Return the readings that tell of the couple with the shore earth.

    Without those that no connected earth lead explains; a warning names each.
    """
    clamps = [
        row
        for row in ship.readings
        if row.circuit == SHORE_CABLE
        and row.amps is not None
        and row.current == "dc"
        and row.clamped in ("earth lead", "whole cable")
    ]
    found = [_clamp(ship, row) for row in clamps]
    found += [_open_circuit(ship, row) for row in ship.potentials]
    return tuple(one for one in found if one is not None)


def _clamp(ship: Ship, row: Reading) -> ShoreReading | None:
    moment = row.time.middle
    place, berth = f"readings.csv:{row.line}: amps", _berth_at(ship, moment)
    if berth is None or berth.earth_connected is False or berth.galvanic_isolator:
        _warn(place, "no earth lead without an isolator was connected then")
        return None
    if row.clamped == "whole cable" and _direct_fault(ship, moment):
        _warn(place, "a direct fault stood then, which the whole cable reads too")
        return None
    return ShoreReading(moment=moment, berth=berth, amps=row.amps, place=place)


def _open_circuit(ship: Ship, row: Potential) -> ShoreReading | None:
    if row.open_circuit is None:
        return None
    moment = row.time.middle
    place, berth = f"potentials.csv:{row.line}: open_mv", _berth_at(ship, moment)
    if berth is None or berth.supply == "own":
        _warn(place, "she lay at no shore supply then")
        return None
    return ShoreReading(moment=moment, berth=berth, volts=row.open_circuit, place=place)


def _warn(place: str, why: str) -> None:
    msg = f"{place}: not used as evidence of the couple with the shore earth: {why}"
    warnings.warn(msg, ValidityWarning, stacklevel=2)


def _berth_at(ship: Ship, moment: float) -> Berth | None:
    for berth in ship.berths:
        begun = berth.start is None or berth.start.middle <= moment
        if begun and (berth.end is None or moment < berth.end.middle):
            return berth
    return None


def _direct_fault(ship: Ship, moment: float) -> bool:
    return any(
        fault.current == "dc"
        and fault.found.earliest <= moment
        and (fault.cleared is None or moment <= fault.cleared.latest)
        for fault in ship.faults
    )


@dataclass(frozen=True, slots=True, kw_only=True)
class SeenHull:
    """What the couple's current meets of a hull, (samples,) each."""

    ohms: Array  # bare metal and water, less what a near shore earth shares with it [Ω]
    held: Array  # by which anodes hold her below free steel [V]

    @classmethod
    def of(cls, tied: Network, loop: ShoreConnection, held: Array) -> Self:
        """Return that of a hull and a way ashore, whether it is connected or not."""
        one = np.ones(len(held))  # through a siemens
        unit = transfer(tied, replace(loop, couple=one, conductance=one))
        amps = unit.couple.sum(axis=1)  # nothing where no zone meets the sea
        through = np.divide(1.0, amps, out=np.full_like(amps, np.inf), where=amps > 0.0)
        ohms = through - 1.0 - loop.electrode
        return cls(ohms=np.asarray(ohms), held=held)


def shore_ohms(berth: Berth, paths: PathUnknowns, hull: Array) -> Array:
    """Return conductor and shore earth as the couple polarises it, (samples,) [Ω].

    ``hull`` : of :class:`SeenHull`. [Ω]
    """
    conductor = open_ohms(paths.earth_conductance_at(berth))
    ohms = paths.shore_earth_at(berth) + conductor
    return np.asarray(ohms + polarised_ohms(berth, paths, hull + ohms))


def fit_shore(
    paths: PathUnknowns,
    readings: Sequence[ShoreReading],
    seen: Sequence[SeenHull],
    draws: Draws,
) -> PathUnknowns:
    """Return couple and shore earth as the readings leave them.

    The fields ``uncertain.SHORE`` drawn anew, the others as they were. Where no couple
    that could be explains a reading, the nearest stand, and a warning says so.

    ``readings``: what was read; none leaves everything as it was. ``seen``: in the
    state of each reading.

    Notes
    -----
    How likely the readings make a sample's own hull and paint is left aside: beside an
    earth electrode they hardly count.
    """
    if not readings:
        return paths
    many = replace(draws, samples=_CANDIDATES)
    drawn = draw_paths(many, "shore candidates")
    # anodes hold all candidates alike: what holds her hardly hangs on the earth
    could = [
        replace(drawn, held=np.full(_CANDIDATES, np.median(hull.held))) for hull in seen
    ]
    ashore = [
        shore_ohms(read.berth, each, np.full(_CANDIDATES, np.median(hull.ohms)))
        for read, each, hull in zip(readings, could, seen, strict=True)
    ]
    pick = draws.block("shore evidence", 1)[:, 0]
    chosen = np.empty(len(pick), dtype=np.int64)
    nearest = np.zeros(len(readings))
    for start in range(0, len(pick), _ROWS):
        rows = slice(start, start + _ROWS)
        misfits = []
        for read, each, hull, shore in zip(readings, could, seen, ashore, strict=True):
            misfits.append(
                read.misfit(
                    each.couple_at(read.berth),
                    hull.ohms[rows, None] + shore,
                    draws.assumptions,
                )
            )
        cost = np.zeros((len(pick[rows]), _CANDIDATES))
        for one in misfits:
            cost += 0.5 * np.square(one)
        weight = np.exp(cost.min(axis=1, keepdims=True) - cost)
        heap = np.cumsum(weight, axis=1)
        target = heap[:, -1] * pick[rows]
        chosen[rows] = np.minimum((heap < target[:, None]).sum(axis=1), _CANDIDATES - 1)
        best = cost.argmin(axis=1)
        for k, one in enumerate(misfits):
            off = np.abs(np.broadcast_to(one, cost.shape)[np.arange(len(best)), best])
            nearest[k] = max(nearest[k], float(np.median(off)))
    for read, off in zip(readings, nearest, strict=True):
        if off > _FAR:
            msg = (
                f"{read.place}: more than any likely couple with the shore earth "
                f"drives there (the nearest misses it by {off:.0f} standard "
                "deviations): check reading, unit, sign and what was clamped"
            )
            warnings.warn(msg, ValidityWarning, stacklevel=2)
    return replace(paths, **{name: getattr(drawn, name)[chosen] for name in SHORE})
