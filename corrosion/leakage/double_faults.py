"""What it says of faults that they stood beside others of their system.

Two faults on different conductors close a loop through the hull, and more than a branch
carries opens it, whatever feeds the ship. So faults that are written to have stood
together passed less than that: of many, those of low resistance lie on one conductor.
"""

from collections.abc import Sequence
from dataclasses import dataclass
from itertools import pairwise
from typing import Final

import numpy as np

from corrosion.foundation.sampling import Draws
from corrosion.foundation.types import Array, ComplexArray, IntArray
from corrosion.foundation.units import DAY
from corrosion.leakage.conditions import PATH
from corrosion.leakage.dated_states import berth_at
from corrosion.leakage.earthed_stays import stood_until
from corrosion.leakage.earthing import is_earthed, median_earthing, supply_at
from corrosion.leakage.neutral_point import conductor_index, median_admittance
from corrosion.leakage.wander import Wander
from corrosion.records.ship import Fault, Ship, System

_MOMENTS: Final = 8  # at most, at which those that stood together are looked at
_ROUNDS: Final = 3  # what others have is what their own standing leaves of it
_LEAST: Final = 1e-9  # weight of what cannot have stood: not all are without any
_OTHERS: Final = 2  # samples of the others that each sample of a fault is held against


@dataclass(frozen=True, slots=True)
class DrawnFaults:
    """Samples of some faults, each of shape (samples, faults).

    Attributes
    ----------
    ohms, pole : ndarray
        Resistance when first read, and conductor. [Ω]
    score : ndarray
        By how many standard deviations it has wandered at another time. [-]
    most : ndarray
        The most that stands without opening a branch. [A]
    direct : ndarray
        Direct voltage behind each. [V]
    """

    ohms: Array
    pole: IntArray
    score: Array
    most: Array
    direct: Array

    def of(self, faults: Sequence[int]) -> "DrawnFaults":
        """Return some of the faults."""
        parts = (self.ohms, self.pole, self.score, self.most, self.direct)
        return DrawnFaults(*(one[:, faults] for one in parts))

    def samples(self, chosen: IntArray) -> "DrawnFaults":
        """Return the samples that each fault's become, (samples, faults)."""
        parts = (self.ohms, self.pole, self.score, self.most, self.direct)
        return DrawnFaults(*(np.take_along_axis(one, chosen, axis=0) for one in parts))


@dataclass(frozen=True, slots=True)
class _Together:
    """Faults of a system (``standing``) that stood together at a moment [s].

    ``healthy`` and ``tied`` tie each conductor to the hull, ``neutral`` the star point
    or the middle. [S]
    """

    standing: IntArray
    moved: Array  # mean and spread of what resistances have moved since they were read
    volts: Array | ComplexArray
    tied: Array | ComplexArray
    neutral: float

    def passed(self, drawn: DrawnFaults, others: DrawnFaults, by: int) -> Array:
        """Return where each passes less than opens it, beside others of a sample.

        Those so many samples further on; shape (samples, standing).
        """
        one, beside = drawn.of(self.standing), others.of(self.standing)
        beside = beside.samples(np.roll(np.arange(len(one.ohms)), -by)[:, None])
        own, rest = (
            np.exp(-self.moved[0] - self.moved[1] * each.score) / each.ohms
            for each in (one, beside)
        )
        load = np.stack(
            [(rest * (beside.pole == c)).sum(axis=1) for c in range(len(self.volts))],
            axis=1,
        )
        load = load + self.tied
        total = load.sum(axis=1, keepdims=True) + self.neutral
        # Millman: what lifts each conductor, its fault of that sample taken away
        lift = total * self.volts - load @ self.volts[:, None]
        lift = np.take_along_axis(lift, one.pole, axis=1)
        lift = lift - rest * (self.volts[one.pole] - self.volts[beside.pole])
        back = np.abs(total - rest)
        amps = own * np.hypot(np.abs(lift), one.direct * back) / (back + own)
        return np.asarray(amps <= one.most)


def chance_beside(
    ship: Ship, wander: Wander, drawn: DrawnFaults, weight: Array, as_of: float
) -> Array:
    """Return the chance that each fault can have stood beside the others.

    Parameters
    ----------
    ship : Ship
        The ship.
    wander : Wander
        How resistances move.
    drawn : DrawnFaults
        Samples of all her faults.
    weight : ndarray, shape (samples, faults)
        How likely each is by all else that is known. [-]
    as_of : float
        Date of the estimate. [s]

    Returns
    -------
    ndarray, shape (samples, faults)
        Share of what the others may have been in which it passed less than opens a
        branch, whenever its dates and those of others say for certain that they stood
        together and the shore did not earth them. [-]
    """
    chance = np.ones(drawn.ohms.shape)
    for system in ship.systems:
        mine = [
            k
            for k, fault in enumerate(ship.faults)
            if fault.source == "ground fault" and fault.system == system.name
        ]
        moments = _moments(ship, system, [ship.faults[k] for k in mine], wander, as_of)
        chance[:, mine], _ = _stood(moments, drawn.of(mine), weight[:, mine])
    return chance


def stood_together(
    ship: Ship, system: System, places: Sequence[int], wander: Wander, drawn: DrawnFaults
) -> IntArray:
    """Return which sample each fault of a system becomes, so that they can have stood.

    Parameters
    ----------
    ship, system : Ship, System
        The ship and one of her systems.
    places : sequence of int
        Positions of its faults in ``ship.faults``.
    wander : Wander
        How resistances move.
    drawn : DrawnFaults
        Samples of these faults.

    Returns
    -------
    ndarray of int, shape (samples, faults)
        In the order of their resistances. [-]
    """
    faults = [ship.faults[k] for k in places]
    last = max(fault.found.latest for fault in faults) + DAY
    moments = _moments(ship, system, faults, wander, last)
    return _stood(moments, drawn, np.ones(drawn.ohms.shape))[1]


def _stood(
    moments: Sequence[_Together], drawn: DrawnFaults, weight: Array
) -> tuple[Array, IntArray]:
    """Return the chance of each sample of each fault, and what it becomes by that."""
    chance, others = np.ones(drawn.ohms.shape), drawn
    chosen = np.broadcast_to(np.arange(len(chance))[:, None], chance.shape)
    for _ in range(_ROUNDS if moments else 0):
        chance = _share(moments, drawn, others)
        chosen = _resampled(drawn.ohms, weight * np.maximum(chance, _LEAST))
        others = drawn.samples(chosen)
    return chance, chosen


def _moments(
    ship: Ship, system: System, faults: Sequence[Fault], wander: Wander, as_of: float
) -> list[_Together]:
    """Return moments at which faults stood together for certain, none earthed."""
    low = np.array([fault.found.latest for fault in faults])
    until = [stood_until(fault, as_of) for fault in faults]
    high = np.array([-np.inf if at is None else min(at, as_of) for at in until])
    edges = np.unique(np.concatenate([low[low < high], high[low < high]]))
    middles = [
        at
        for at in (0.5 * (a + b) for a, b in pairwise(edges))
        if ((low < at) & (at < high)).sum() > 1
        and not is_earthed(system, berth_at(ship, at))
    ]
    if len(middles) > _MOMENTS:
        some = np.linspace(0, len(middles) - 1, _MOMENTS).round().astype(np.int64)
        middles = [middles[k] for k in some]
    found = []
    for at in middles:
        standing = np.flatnonzero((low < at) & (at < high))
        read = np.array([faults[k].found.middle for k in standing])
        berth = berth_at(ship, at)
        fed = supply_at(system, berth)
        tie = median_earthing(system, berth, ship.assumptions)
        healthy = median_admittance(fed, assumptions=ship.assumptions)
        tied = np.full(len(fed.conductors), healthy)
        on_conductor = tie.at in fed.conductors
        if on_conductor:
            tied[conductor_index(fed, str(tie.at))] += tie.conductance
        found.append(
            _Together(
                standing,
                np.array(wander.over(np.abs(at - read), np.zeros(len(read)))),
                fed.star_volts,
                tied,
                0.0 if on_conductor else tie.conductance,
            )
        )
    return found


def most_amps(ship: Ship, draws: Draws, uniform: Array) -> Array:
    """Return the most that each fault passes without opening its branch.

    Parameters
    ----------
    ship : Ship
        The ship.
    draws : Draws
        Her assumptions.
    uniform : ndarray, shape (samples, faults)
        Numbers in (0, 1). [-]

    Returns
    -------
    ndarray, shape (samples, faults)
        As it is written what its circuit trips at, else drawn; what a clamp showed
        did not open it. [A]
    """
    written = {(one.system, one.circuit): one.trip_amps for one in ship.circuits}
    most = draws.lognormal("sustained_earthed_amps", uniform)
    for k, fault in enumerate(ship.faults):
        amps = written.get((fault.system or "", fault.circuit or ""))
        if amps is not None:
            most[:, k] = amps
        rows = (row for row in ship.readings if row.fault == fault.fault)
        read = [row.amps for row in rows if row.clamped in PATH]
        clamped = [abs(a) for a in (fault.readings.amps, *read) if a is not None]
        most[:, k] = np.maximum(most[:, k], max(clamped, default=0.0))
    return most


def _share(
    moments: Sequence[_Together], drawn: DrawnFaults, others: DrawnFaults
) -> Array:
    """Return in which share of others each fault passed less at all moments [-]."""
    samples = len(drawn.ohms)
    stood = np.ones((_OTHERS, *drawn.ohms.shape), dtype=np.bool_)
    for number, mine in enumerate(stood):
        for moment in moments:
            passed = moment.passed(drawn, others, 1 + number * samples // _OTHERS)
            mine[:, moment.standing] &= passed
    return np.asarray(stood.mean(axis=0))


def _resampled(ohms: Array, weight: Array) -> IntArray:
    """Return which sample each fault's become by weight, in the order of their ohms."""
    order = np.argsort(ohms, axis=0, kind="stable")
    sums = np.cumsum(np.take_along_axis(weight, order, axis=0), axis=0)
    rank = np.argsort(order, axis=0, kind="stable")
    chosen = np.empty_like(order)
    for k in range(ohms.shape[1]):
        place = (rank[:, k] + 0.5) / len(ohms) * sums[-1, k]
        chosen[:, k] = order[np.searchsorted(sums[:, k], place), k]
    return chosen
