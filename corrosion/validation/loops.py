"""Loops through the hull: two faults on different conductors open the weaker branch."""

from dataclasses import replace

import numpy as np

from corrosion.foundation.types import Array
from corrosion.validation.currents import earth_conductance
from corrosion.validation.faults import KNOTS, Faults
from corrosion.validation.nature import Nature
from corrosion.validation.phasors import solve
from corrosion.validation.vessels import Supply, Vessel
from corrosion.validation.voyages import Voyages

_OPENS = 60.0  # [s]


def open_loops(
    faults: Faults, vessel: Vessel, voyages: Voyages, nature: Nature
) -> Faults:
    """End every fault whose current with the others that stand opens its branch.

    From the first on, the one that is furthest above what its branch carries first;
    who opens is seen.
    """
    end = faults.end.copy()
    limit = nature.draw("trip_amps", len(faults))  # the same breakers trip on a quay
    conductance = earth_conductance(vessel, voyages)
    moves = [stay.start for stay in voyages.stays]
    for s, system in enumerate(vessel.systems):
        mine = np.flatnonzero(faults.system == s)
        cuts = (faults.began[mine, None] + KNOTS).ravel()
        edge = np.unique(np.concatenate([cuts, end[mine], moves]))
        edge = edge[(edge >= voyages.log_begins) & (edge < np.inf)]
        if len(mine) < 2 or len(edge) < 2:
            continue
        middle = 0.5 * (edge[:-1] + edge[1:])
        tie = conductance[voyages.at(middle), s]
        ohms = np.where(faults.stood(middle), faults.ohms_at(middle), np.inf)[:, mine]
        first = 0
        while True:
            amps = _through(system, faults, mine, ohms[first:], tie[first:])
            over = amps / limit[mine]
            hot = np.flatnonzero((over > 1.0).any(axis=1))
            if not hot.size:
                break
            worst = int(over[hot[0]].argmax())
            first += int(hot[0])
            end[mine[worst]] = edge[first] + _OPENS
            ohms[first:, worst] = np.inf
    tripped = end < faults.end
    seen = np.where(tripped, np.minimum(faults.found, end), faults.found)
    return replace(faults, end=end, found=seen)


def _through(
    system: Supply,
    faults: Faults,
    mine: "np.ndarray[tuple[int, ...], np.dtype[np.intp]]",
    ohms: Array,
    tie: Array,
) -> Array:
    """Return what flows through each fault, both kinds of current together [A]."""
    dark = replace(system, lamps=None)  # what lamps carry opens nothing
    amps = solve(dark, ohms, faults.pole[mine], earth=tie).fault_amps
    y = 1.0 / ohms
    rest = 3.0 / system.true_insulation + tie[:, None] + y.sum(axis=1)[:, None] - y
    direct = faults.direct_v[mine] * y * rest / (y + rest)
    return np.asarray(np.hypot(np.abs(amps), direct))
