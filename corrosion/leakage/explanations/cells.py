"""Integration over an explanation's unknowns: cells, split where the readings point.

On a coarse grid an instrument's width is lost in that of the cell, of every reading for
itself: two readings then seem to agree that no one case gives. So the cells that matter
are halved, along every unknown, until they are small beside the instruments.
"""

from collections.abc import Sequence
from dataclasses import dataclass
from functools import lru_cache
from itertools import product
from typing import Final

import numpy as np

from corrosion.foundation.types import Array
from corrosion.leakage.explanations.candidates import Part
from corrosion.leakage.explanations.cases import (
    Cases,
    lamp_chance,
    read_volts,
    unloaded_volts,
)
from corrosion.leakage.inference.instruments import Instruments
from corrosion.records.ship import Picture, Reading


def picture_of(readings: Sequence[Reading]) -> tuple[Picture | None, ...]:
    """Return the last picture of the lamps; nothing where one of the set had failed."""
    shown = [row.lamps for row in readings if any(row.lamps)]
    if not shown or "failed" in shown[-1]:
        return ()
    return tuple(each for each in shown[-1] if each != "failed")


def likelihood(cases: Cases, readings: Sequence[Reading], tools: Instruments) -> Array:
    """Return the likelihood of all readings in each case.

    Parameters
    ----------
    cases : Cases
    readings : sequence of Reading
        What was read in one state of the system. A direct component on an alternating
        system, and volts to a shore earth, say nothing here.
    tools : Instruments

    Returns
    -------
    ndarray, shape (cases,)
        Up to a factor that is the same for every explanation. [-]
    """
    found = np.ones(len(cases))
    for row in readings:
        if row.current not in (None, cases.system.current):
            continue
        if row.volts is not None and row.conductor is not None:
            found *= _volts(cases, row, abs(row.volts), tools)
        if row.amps is not None and row.clamped in ("fault path", "feeder"):
            found *= _clamp(cases, row, abs(row.amps), tools)
        if row.insulation is not None:
            found *= _insulation(cases, row, row.insulation, tools)
        if row.monitor is not None:
            found *= _monitor(cases, row.monitor, tools)
    seen = picture_of(readings)
    return found * lamp_chance(cases, seen, tools) if seen else found


def _volts(cases: Cases, row: Reading, read: float, tools: Instruments) -> Array:
    names = cases.system.conductors
    if row.conductor not in names or row.to not in (None, *names):
        return np.ones(1)
    to = None if row.to is None else names.index(row.to)
    at = names.index(str(row.conductor))
    volts = read_volts(cases, at, to, row.meter, tools.law)
    width = tools.meter_width(volts, cases.within(volts))
    scale = max(read, tools.voltmeter_resolution)
    return _gaussian((read - volts) / width, scale / width, tools.slip)


def _clamp(cases: Cases, row: Reading, read: float, tools: Instruments) -> Array:
    """Weigh a clamp: what the faults of the conductor, or all, drive together."""
    on = _on(cases, row)
    share = 1.0 - tools.feeder if row.clamped == "feeder" else 1.0
    volts = unloaded_volts(cases, tools.law)
    driven = np.zeros(len(cases), volts.dtype)
    for k in on:
        driven = driven + volts[:, cases.poles[k]] / cases.ohms[:, k]
    amps = share * np.abs(driven)
    width = tools.clamp_width(amps, cases.within(amps) + ((1.0 - share) * amps) ** 2)
    scale = max(read, tools.clamp_resolution)
    return _gaussian((read - amps) / width, scale / width, tools.slip)


def _on(cases: Cases, row: Reading) -> list[int]:
    """Return which faults are on the conductor that was read; all, of no one."""
    names = cases.system.conductors
    return [
        k for k, pole in enumerate(cases.poles) if row.conductor in (None, names[pole])
    ]


def _insulation(cases: Cases, row: Reading, read: float, tools: Instruments) -> Array:
    on = _on(cases, row)
    total = cases.healthy.real + (1.0 / cases.ohms[:, on]).sum(axis=-1)
    return _decades(cases, read * total, tools)


def _monitor(cases: Cases, read: float, tools: Instruments) -> Array:
    total = len(cases.system.conductors) * cases.healthy.real
    return _decades(cases, read * (total + (1.0 / cases.ohms).sum(axis=-1)), tools)


def _decades(cases: Cases, ratio: Array, tools: Instruments) -> Array:
    away = np.log(ratio)
    width = np.hypot(tools.insulation_tester, np.sqrt(cases.within(away)))
    return _gaussian(away / width, 1.0 / width, tools.slip)


def _gaussian(away: Array, sharpness: Array, slip: float) -> Array:
    return np.asarray(np.exp(-0.5 * away**2) * sharpness * (1.0 - slip) + slip)


_REACH: Final = 3.0  # standard deviations of each unknown that are looked at
_FIRST: Final = {1: (16,), 2: (3, 24), 3: (2, 12, 12)}  # halved once more at once
_ROUNDS: Final = 6
_SETTLED: Final = 0.01  # change of the evidence that is none
_MOST: Final = 1600  # cases of a round
_MATTERS: Final = 1e-3  # weight over the highest of a cell that is worth halving


@dataclass(frozen=True, slots=True, kw_only=True)
class Weighed:
    """A part after the readings."""

    part: Part  # what was weighed
    # centre, half, shape (cells, unknowns): of each cell, in standard deviations
    # of each unknown
    centre: Array
    half: Array
    weight: Array  # shape (cells,): prior times likelihood of each cell [-]

    def values(self, chosen: Sequence[int] | Array | slice = slice(None)) -> Array:
        """Return the unknowns of some cells, shape (cells, unknowns)."""
        median, sd = (np.array(each) for each in zip(*self.part.unknowns, strict=True))
        return np.asarray(median * np.exp(sd * self.centre[chosen]))


def weighed(part: Part, readings: Sequence[Reading], tools: Instruments) -> Weighed:
    """Return a part weighed on the first grid."""
    return _weigh(part, *_first(len(part.unknowns)), readings, tools)


def refined(one: Weighed, readings: Sequence[Reading], tools: Instruments) -> Weighed:
    """Return the same with the cells halved in which the readings lie."""
    children = 2 ** len(one.part.unknowns)
    for _ in range(_ROUNDS):
        order = np.argsort(-one.weight, kind="stable")[: _MOST // children]
        chosen = order[one.weight[order] > _MATTERS * one.weight[order[0]]]
        kept = np.ones(len(one.weight), dtype=np.bool_)
        kept[chosen] = False
        fine = _weigh(
            one.part, *_halved(one.centre[chosen], one.half[chosen]), readings, tools
        )
        before = one.weight.sum()
        one = Weighed(
            part=one.part,
            centre=np.concatenate([fine.centre, one.centre[kept]]),
            half=np.concatenate([fine.half, one.half[kept]]),
            weight=np.concatenate([fine.weight, one.weight[kept]]),
        )
        if abs(one.weight.sum() - before) < _SETTLED * before:
            break
    return one


def _weigh(
    part: Part,
    centre: Array,
    half: Array,
    readings: Sequence[Reading],
    tools: Instruments,
) -> Weighed:
    from scipy.special import ndtr  # noqa: PLC0415 - importing corrosion stays light

    prior = np.prod(ndtr(centre + half) - ndtr(centre - half), axis=1)
    bare = Weighed(part=part, centre=centre, half=half, weight=prior)
    cases = part.build(bare.values(), 2 ** len(part.unknowns))
    weight = part.share * prior * likelihood(cases, readings, tools)
    return Weighed(part=part, centre=centre, half=half, weight=weight)


@lru_cache(maxsize=4)
def _first(unknowns: int) -> tuple[Array, Array]:
    edges = [np.linspace(-_REACH, _REACH, n + 1) for n in _FIRST[unknowns]]
    middles = [0.5 * (each[1:] + each[:-1]) for each in edges]
    centre = np.stack(np.meshgrid(*middles, indexing="ij"), axis=-1)
    half = np.array([0.5 * (each[1] - each[0]) for each in edges])
    flat = centre.reshape(-1, unknowns)
    return _halved(flat, np.broadcast_to(half, flat.shape))


def _halved(centre: Array, half: Array) -> tuple[Array, Array]:
    """Return the parts of cells, those of one cell after one another."""
    signs = np.array(list(product((-0.5, 0.5), repeat=centre.shape[1])))
    parts = centre[:, None, :] + signs * half[:, None, :]
    count = len(signs)
    return parts.reshape(-1, centre.shape[1]), np.repeat(0.5 * half, count, axis=0)
