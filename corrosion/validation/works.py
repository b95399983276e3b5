"""What yards put right at dockings: plates renewed, deep pits welded up."""

from dataclasses import dataclass

import numpy as np

from corrosion.foundation.types import Array
from corrosion.validation.nature import NOW, YEAR, Nature
from corrosion.validation.steel import Plating
from corrosion.validation.vessels import Vessel

_DEEP = 0.35  # of the built thickness: a pit that is welded where it is seen
_SEEN = 0.9
_LEAKS = 0.95  # that a hole is seen within the year and welded up, afloat or not


@dataclass(frozen=True, slots=True)
class Work:
    """One piece of work: when [s], on which plate, and what was done."""

    moment: float
    plate: int
    work: str  # 'renewed' or 'pits welded'


@dataclass(frozen=True, slots=True, kw_only=True)
class Works:
    """What was put right, and what had been lost of it until then."""

    # shape (works + 1,): of each docking and each hole that was mended,
    # the building first [s]
    moments: Array
    # even, pitted, shape (works + 1, plates, sites): even loss of each site that a new
    # plate, or a weld in a pit, made good [mm]
    even: Array
    pitted: Array
    inside: Array  # (works + 1, plates) made good of the inner face [mm]
    done: tuple[Work, ...]  # what a clerk could have written down

    def before(self, moments: Array) -> tuple[Array, Array, Array]:
        """Return what was made good by some moments: even, pitted, inside."""
        at = np.searchsorted(self.moments, moments, side="right") - 1
        at = np.maximum(at, 0)
        return self.even[at], self.pitted[at], self.inside[at]


def repair(
    vessel: Vessel, plating: Plating, added: Array, dockings: Array, nature: Nature
) -> Works:
    """Return what yards did: whole plates below their limit, single pits above a third.

    A hole through the plate is not left for the next docking, until now; what nobody
    does in the years to come is not done.

    Parameters
    ----------
    vessel, plating : Vessel, Plating
        The ship and her sites.
    added : ndarray
        What currents took, see :meth:`Plating.even`.
    dockings : ndarray, shape (dockings,)
        [s]
    nature : Nature
        Random numbers.
    """
    rng, leaks = nature.rng("works"), nature.rng("leaks")
    moments = np.union1d(dockings, np.arange(vessel.built + YEAR, NOW, YEAR))
    docked = np.isin(moments, dockings)
    lost, inner = plating.even(moments, added), plating.worn_inside(moments)
    kept = [vessel.built]
    even, pitted = [np.zeros(plating.keen.shape)], [np.zeros(plating.keen.shape)]
    inside, done = [np.zeros(len(plating.metal))], []
    limit = np.array([plate.limit_mm for plate in vessel.plates])
    for k, moment in enumerate(moments):
        behind = inner[k] - inside[-1]
        thin = plating.rolled - (lost[k] - even[-1]).mean(axis=1) - behind < limit
        pit = plating.pits(lost[k] - pitted[-1]) + behind[:, None]
        holed = pit.max(axis=1) > plating.rolled
        opened = docked[k] | (holed & (leaks.random(len(holed)) < _LEAKS))
        if not opened.any():
            continue
        deep = (pit > _DEEP * plating.rolled[:, None]) & (rng.random(pit.shape) < _SEEN)
        deep = (deep | (pit > plating.rolled[:, None])) & opened[:, None]
        thin &= opened
        kept.append(float(moment))
        new, weld = thin[:, None], deep | thin[:, None]
        even.append(np.where(new, lost[k], even[-1]))
        pitted.append(np.where(weld, lost[k], pitted[-1]))
        inside.append(np.where(thin, inner[k], inside[-1]))
        for plate in np.flatnonzero(weld.any(axis=1)):
            work = "renewed" if thin[plate] else "pits welded"
            done.append(Work(float(moment), int(plate), work))
    return Works(
        moments=np.array(kept),
        even=np.array(even),
        pitted=np.array(pitted),
        inside=np.array(inside),
        done=tuple(done),
    )
