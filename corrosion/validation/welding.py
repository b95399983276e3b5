"""Welding aboard afloat: where the arc is, where the return clamp sits, what flows.

With the clamp beside the work nothing passes the water. With it elsewhere on the hull
some of the current takes the water instead of the plating; with it ashore all comes
back through protective conductor and water.
"""

from dataclasses import dataclass, replace

import numpy as np

from corrosion.foundation.types import Array, IntArray
from corrosion.validation.currents import way_back
from corrosion.validation.nature import DAY, HOUR, NOW, YEAR, Nature
from corrosion.validation.vessels import Vessel
from corrosion.validation.voyages import Stay, Voyages


@dataclass(frozen=True, slots=True, kw_only=True)
class Weld:
    """One job."""

    # start, end: [s]
    start: float
    end: float
    plate: int  # in way of the work
    clamp: int | None  # plate on which the return clamp sits; None: ashore
    # amps, share: direct current while the arc burns [A], and the share of the
    # time it does
    amps: float
    share: float
    told: bool  # whether the clerk wrote where the clamp sat
    stay: Stay  # where she lay

    @property
    def charge_ah(self) -> float:
        """Ampere-hours put into the hull."""
        return self.amps * self.share * (self.end - self.start) / HOUR


def strike(vessel: Vessel, voyages: Voyages, nature: Nature) -> tuple[Weld, ...]:
    """Return the welding of a life since her log began, in order."""
    rng = nature.rng("welding")
    years = (NOW - voyages.log_begins) / YEAR
    count = int(rng.poisson(nature.one("welding_a_year") * years))
    starts = np.sort(rng.uniform(voyages.log_begins, NOW - 10.0 * DAY, count))
    steel = [k for k, p in enumerate(vessel.plates) if p.bond is None]
    out = []
    for start in starts:
        stay = voyages.stays[int(voyages.at(np.array([start]))[0])]
        plate, away = (int(k) for k in rng.choice(steel, 2))
        where = float(rng.random())
        weld = Weld(
            start=float(start),
            end=float(start + rng.uniform(1.0, 6.0) * DAY),
            plate=plate,
            clamp=plate if where < 0.6 else away,
            amps=float(np.round(rng.uniform(70.0, 180.0), -1)),
            share=float(np.round(rng.uniform(0.05, 0.2), 2)),
            told=bool(rng.random() < 0.7),
            stay=stay,
        )
        if not stay.afloat or weld.end > stay.end:
            continue
        if where > 0.8 and stay.supply != "own":  # the pier's set, clamped to the pier
            weld = replace(weld, clamp=None, told=True)
        out.append(weld)
    return tuple(out)


def welded(welds: tuple[Weld, ...], edge: Array, near: IntArray, board: int) -> Array:
    """Return direct current that welding puts into each electrode.

    Parameters
    ----------
    welds : tuple of Weld
        The jobs.
    edge : ndarray, shape (pieces + 1,)
        Between pieces of the life. [s]
    near : ndarray of int, shape (plates,)
        Electrode where each plate's current enters.
    board : int
        Electrode of the shore connection.

    Returns
    -------
    ndarray, shape (pieces, electrodes)
        Means over the time in which the arc does and does not burn. [A]
    """
    out = np.zeros((len(edge) - 1, int(near.max()) + 1))
    for weld in welds:
        at = np.flatnonzero((edge[:-1] >= weld.start) & (edge[:-1] < weld.end))
        amps = weld.amps * weld.share
        out[at, near[weld.plate]] += amps
        if weld.clamp is None:
            wet = way_back(weld.stay.cable, weld.stay.shore)[1]
            out[at, board] -= amps * (1.0 - wet)
        else:
            out[at, near[weld.clamp]] -= amps
    return out
