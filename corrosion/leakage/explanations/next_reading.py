"""The reading that would separate explanations best, by what it is expected to tell."""

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from itertools import combinations
from typing import Final, Literal

import numpy as np

from corrosion.foundation.statistics import entropy
from corrosion.foundation.types import Array
from corrosion.leakage.explanations.candidates import Candidate, Kind
from corrosion.leakage.explanations.cases import Cases, read_volts
from corrosion.leakage.explanations.cells import Weighed
from corrosion.leakage.inference.instruments import Instruments
from corrosion.records.ship import Reading, System

_BINS: Final = 160  # of the volts that a meter may show
_KEPT: Final = 96  # cases of a candidate that are looked at
_WORTH: Final = 0.01  # chance of an explanation that is worth telling apart
_LEAST_BITS: Final = 0.02  # what a reading must be expected to tell
_SURE: Final = 1e-3  # chance that a lamp that was tried is mistaken


@dataclass(frozen=True, slots=True)
class Posterior:
    """A candidate after what was read, and whether it may be named."""

    candidate: Candidate  # the explanation
    parts: tuple[Weighed, ...]  # its cells and their weights
    offered: bool  # whether it may be named yet

    @property
    def score(self) -> float:
        """Prior times evidence, up to a factor that all share."""
        return self.candidate.prior * float(sum(p.weight.sum() for p in self.parts))


@dataclass(frozen=True, slots=True, kw_only=True)
class Expected:
    """What a reading would show under one explanation; volts p10, p50, p90 [V]."""

    kind: Kind
    conductors: tuple[str, ...]
    volts: tuple[float, float, float]


@dataclass(frozen=True, slots=True, kw_only=True)
class NextReading:
    """What to read next."""

    act: Literal["volts", "lamp"]  # a voltmeter, or the lamp of a conductor tried
    conductor: str  # which
    to: str | None = None  # the other conductor; None: the hull
    meter: float | None = None  # input resistance of the voltmeter [Ω]
    bits: float  # expected information about which explanation holds [bit]
    # what it would show under the likeliest explanation that may be named, and under
    # the one that it parts best from it, whether that may be named yet or not
    expects: tuple[Expected, ...] = ()


def best_reading(
    system: System,
    found: Sequence[Posterior],
    readings: Sequence[Reading],
    tools: Instruments,
    *,
    meters: Sequence[float],
) -> NextReading | None:
    """Return the reading that is expected to tell most.

    Parameters
    ----------
    system : System
        As it is fed.
    found : sequence of Posterior
        All explanations after what was read; those that may not be named yet count
        too, since a reading may be needed before they may.
    readings : sequence of Reading
        What was read: it is not proposed again.
    tools : Instruments
    meters : sequence of float
        Input resistances of the voltmeters aboard, the usual one first. [Ω]

    Returns
    -------
    NextReading or None
        None: no reading is expected to tell a fiftieth of a bit.
    """
    total = sum(one.score for one in found)
    live = [one for one in found if one.score > _WORTH * total]
    if len(live) < 2:
        return None
    thinned = [_thinned(one) for one in live]
    share = np.array([one.score for one in live])
    share /= share.sum()
    tried: list[tuple[float, NextReading]] = []
    # Zero volts to the hull is not dead: where a conductor may not be energised and
    # nothing was read between two, that is read first, whatever else would tell more.
    between = any(
        not one.offered and one.candidate.kind == "not energised" for one in live
    )
    for conductor, to, meter in _voltages(system, readings, meters):
        if between and to is None:
            continue
        predicted = [
            [read_volts(cases, conductor, to, meter, tools.law) for cases, _ in parts]
            for parts in thinned
        ]
        densities = _densities(predicted, thinned, system, tools)
        bits = _information(densities, share)
        reading = NextReading(
            act="volts",
            conductor=system.conductors[conductor],
            to=None if to is None else system.conductors[to],
            meter=meter,
            bits=bits,
            expects=_parted(live, share, densities, (system, predicted, thinned)),
        )
        # the usual meter, and the hull, win where they tell as much
        tried.append((bits - 0.005 * len(tried) / 10.0, reading))
    for lamp, chance in _failed(live, share).items():
        bits = entropy(np.array([chance, 1.0 - chance]))
        bits -= entropy(np.array([_SURE, 1.0 - _SURE]))
        name = system.conductors[lamp]
        tried.append((bits, NextReading(act="lamp", conductor=name, bits=bits)))
    best = max(tried, key=lambda each: each[0])[1] if tried else None
    return best if best is not None and best.bits > _LEAST_BITS else None


def _failed(live: Sequence[Posterior], share: Array) -> dict[int, float]:
    """Return the chance of each lamp to have failed, alone or with a fault besides."""
    found: dict[int, float] = {}
    for one, chance in zip(live, share.tolist(), strict=True):
        if one.candidate.kind in ("failed lamp", "fault and failed lamp"):
            lamp = one.candidate.conductors[-1]
            found[lamp] = found.get(lamp, 0.0) + chance
    return found


def _voltages(
    system: System, readings: Sequence[Reading], meters: Sequence[float]
) -> Iterator[tuple[int, int | None, float]]:
    """Yield what could be read with a voltmeter and was not."""
    done = {(row.conductor, row.to, row.meter) for row in readings}
    names = system.conductors
    for meter in meters:
        for k, name in enumerate(names):
            if (name, None, meter) not in done:
                yield k, None, meter
    for i, j in combinations(range(len(names)), 2):
        pair = {names[i], names[j]}
        if not any({row.conductor, row.to} == pair for row in readings):
            yield i, j, meters[0]


def _thinned(one: Posterior) -> list[tuple[Cases, Array]]:
    """Return a few cases of a candidate, as likely as one another; sums to one."""
    total = sum(part.weight.sum() for part in one.parts)
    kept = []
    for part in one.parts:
        ladder = np.cumsum(part.weight)
        rungs = ladder[-1] * (np.arange(_KEPT) + 0.5) / _KEPT
        cases = part.part.build(part.values(np.searchsorted(ladder, rungs)), 1)
        kept.append((cases, np.full(_KEPT, ladder[-1] / total / _KEPT)))
    return kept


def _densities(
    predicted: Sequence[Sequence[Array]],
    thinned: Sequence[Sequence[tuple[Cases, Array]]],
    system: System,
    tools: Instruments,
) -> Array:
    """Return the chance of each bin of volts, a row an explanation."""
    edges = np.linspace(0.0, 1.1 * system.volts, _BINS + 1)
    middle = 0.5 * (edges[1:] + edges[:-1])
    step = edges[1]
    found = np.zeros((len(predicted), _BINS))
    for k, (parts, cases) in enumerate(zip(predicted, thinned, strict=True)):
        for volts, (_, weight) in zip(parts, cases, strict=True):
            width = np.hypot(tools.meter_width(volts, np.zeros(1)), 0.5 * step)
            near = np.exp(-0.5 * ((middle - volts[:, None]) / width[:, None]) ** 2)
            near /= np.maximum(near.sum(axis=1, keepdims=True), 1e-300)
            found[k] += weight @ near
    return np.asarray(found / found.sum(axis=1, keepdims=True))


def _information(densities: Array, share: Array) -> float:
    each = [entropy(row) for row in densities]
    return entropy(share @ densities) - float(share @ np.array(each))


def _parted(
    live: Sequence[Posterior],
    share: Array,
    densities: Array,
    shown: tuple[
        System, Sequence[Sequence[Array]], Sequence[Sequence[tuple[Cases, Array]]]
    ],
) -> tuple[Expected, ...]:
    """Return what is expected under the likeliest and the one that it parts best."""
    system, predicted, thinned = shown
    first = max(range(len(live)), key=lambda k: (live[k].offered, float(share[k])))
    rest = [k for k in range(len(live)) if k != first]
    gains = {
        k: _information(
            densities[[first, k]], share[[first, k]] / share[[first, k]].sum()
        )
        * (share[first] + share[k])
        for k in rest
    }
    pair = [first, max(rest, key=gains.__getitem__)]
    return tuple(
        Expected(
            kind=live[k].candidate.kind,
            conductors=tuple(
                system.conductors[c] for c in live[k].candidate.conductors
            ),
            volts=quantiles(
                np.concatenate(list(predicted[k])),
                np.concatenate([weight for _, weight in thinned[k]]),
            ),
        )
        for k in pair
    )


def quantiles(values: Array, weight: Array) -> tuple[float, float, float]:
    """Return p10, p50 and p90 of values with weights.

    Parameters
    ----------
    values, weight : ndarray, shape (n,)
        In any unit; of each value, not negative. [-]

    Returns
    -------
    p10, p50, p90 : float
        In the unit of ``values``.
    """
    order = np.argsort(values)
    ladder = np.cumsum(weight[order]) / weight.sum()
    low, middle, high = (
        float(values[order][min(int(np.searchsorted(ladder, q)), values.size - 1)])
        for q in (0.1, 0.5, 0.9)
    )
    return low, middle, high
