"""Amperes through a life: cut into pieces of constant state, solved all together."""

from dataclasses import dataclass

import numpy as np

from corrosion.foundation.types import Array, BoolArray, ComplexArray
from corrosion.validation.faults import KNOTS, Faults
from corrosion.validation.nature import HOUR, NOW
from corrosion.validation.phasors import lamps_at_rest, solve
from corrosion.validation.vessels import Vessel
from corrosion.validation.voyages import AHEAD, Voyages


@dataclass(frozen=True, slots=True, kw_only=True)
class Currents:
    """Currents of every fault in every piece of a life."""

    # start, end, shape (pieces,): [s]
    start: Array
    end: Array
    stay: "np.ndarray[tuple[int, ...], np.dtype[np.intp]]"  # (pieces,) which stay
    stood: BoolArray
    # ac, dc, shape (pieces, faults): alternating current as a phasor (rms), and direct
    # current, into the steel [A]
    ac: ComplexArray
    dc: Array
    faults: Faults  # what they flow through

    @property
    def past(self) -> Array:
        """Seconds of each piece that lie before now."""
        return np.maximum(np.minimum(self.end, NOW) - self.start, 0.0)

    def charge_ah(self) -> tuple[Array, Array]:
        """Return ampere-hours of each fault until now, alternating and direct."""
        hours = self.past[:, None] / HOUR * self.faults.share
        ac = (np.abs(self.ac) * hours).sum(axis=0)
        return np.asarray(ac), np.asarray((np.abs(self.dc) * hours).sum(axis=0))


def way_back(cable: float | None, shore: float) -> tuple[float, float]:
    """Return the conductance from an earthed supply to the hull, and its wet share.

    Through the shore's earth and the water, and beside it through the conductor.
    """
    wet = 1.0 / (shore + 0.02)
    dry = 0.0 if cable is None else 1.0 / cable
    return wet + dry, wet / (wet + dry)


def earth_conductance(vessel: Vessel, voyages: Voyages) -> Array:
    """Return conductance to the supply's earth, (stays, systems) [S]; 0: none."""
    table = np.zeros((len(voyages.stays), len(vessel.systems)))
    for k, stay in enumerate(voyages.stays):
        if stay.earthed and stay.afloat:
            g, _ = way_back(stay.cable, stay.shore)
            table[k] = [g * system.fed_from_shore for system in vessel.systems]
    return table


def run(vessel: Vessel, voyages: Voyages, faults: Faults) -> Currents:
    """Return the currents of a life.

    Direct sources behind faults of alternating systems see, at 0 Hz, insulation, the
    supply's earth and the other faults; windings join all conductors.
    """
    edges = [stay.start for stay in voyages.stays if stay.start >= voyages.log_begins]
    cuts = faults.began[:, None] + KNOTS  # a resistance is drawn anew at each
    cuts = cuts[cuts < faults.end[:, None]]
    every = [np.array([voyages.log_begins, *edges, NOW]), cuts, faults.end]
    edge = np.unique(np.concatenate(every))
    edge = edge[(edge >= voyages.log_begins) & (edge < AHEAD)]
    start, end = edge, np.append(edge[1:], AHEAD)
    middle = 0.5 * (start + end)
    stood = faults.stood(middle)
    stay = voyages.at(middle)
    ohms = np.where(stood, faults.ohms_at(middle), np.inf)
    conductance = earth_conductance(vessel, voyages)
    ac = np.zeros(ohms.shape, np.complex128)
    dc = np.zeros(ohms.shape)
    busy = stood.any(axis=1)
    for s, system in enumerate(vessel.systems):
        mine = np.flatnonzero(faults.system == s)
        if not len(mine):
            continue
        rows = np.ix_(busy, mine)
        tie = conductance[stay[busy], s]
        amps = solve(system, ohms[rows], faults.pole[mine], earth=tie).fault_amps
        if system.direct:
            dc[rows] = amps.real
            continue
        ac[rows] = amps
        y = 1.0 / ohms[rows]
        healthy = 3.0 / system.true_insulation + lamps_at_rest(system)
        rest = healthy + tie[:, None] + y.sum(axis=1)[:, None] - y
        sources = faults.direct_v[mine]
        dc[rows] = sources * y * rest / (y + rest)
    return Currents(
        start=start, end=end, stay=stay, stood=stood, ac=ac, dc=dc, faults=faults
    )
