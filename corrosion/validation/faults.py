"""Faults as they arise, wander, come and go, get worse; and when people see them."""

from dataclasses import dataclass, field, replace
from typing import Final

import numpy as np

from corrosion.foundation.types import Array, BoolArray, IntArray
from corrosion.validation.nature import DAY, HOUR, NOW, YEAR, Nature
from corrosion.validation.phasors import least_visible
from corrosion.validation.vessels import Vessel
from corrosion.validation.voyages import AHEAD, Voyages

KNOTS: Final = np.array([0.0, 0.25, 1.0, 3.0, 10.0, 30.0, 100.0, 365.0, 1461.0]) * DAY
"""Since a fault began: where its resistance is drawn anew."""

_DAY_SD, _SLOW_SD, _MEMORY = 0.49, 0.85, 120.0 * DAY
# so that the ratio of two days' resistances has a geometric standard deviation of 2
# from one day to another and 4 over a year


@dataclass(frozen=True, slots=True, kw_only=True)
class Faults:
    """Every fault of a life, one entry an array a fault.

    ``end`` is when it ceased to be, cleared or dried out; ``found`` is infinite where
    nobody ever noticed it.
    """

    system: IntArray
    circuit: IntArray
    plate: IntArray
    pole: IntArray
    began: Array
    ohms: Array  # (faults, knots)
    share: Array  # of its time in which it is there
    direct_v: Array  # of a direct source behind it, on ac; 0: none
    dries: Array  # [s] when it would vanish by itself
    found: Array = field(default_factory=lambda: np.empty(0))
    last_good: Array = field(default_factory=lambda: np.empty(0))
    end: Array = field(default_factory=lambda: np.empty(0))

    def __len__(self) -> int:
        """How many."""
        return len(self.began)

    def ohms_at(self, moments: Array) -> Array:
        """Return resistances at moments, (moments, faults) [Ω], standing or not."""
        since = moments[:, None] - self.began[None, :]
        knot = np.clip(np.searchsorted(KNOTS, since, side="right") - 1, 0, None)
        return np.take_along_axis(self.ohms.T, knot, axis=0)

    def stood(self, moments: Array) -> BoolArray:
        """Return which stood at moments, (moments, faults)."""
        at = moments[:, None]
        return (self.began <= at) & (at < self.end)


def arise(
    vessel: Vessel, voyages: Voyages, nature: Nature, *, crowd: int = 0
) -> Faults:
    """Return the faults of a life from the beginning of the log to ten years ahead.

    Parameters
    ----------
    vessel : Vessel
        The ship.
    voyages : Voyages
        Her stays.
    nature : Nature
        Random numbers.
    crowd : int, optional
        So many more that stand at the end: begun in the last two years, or, of a
        restless ship, at sea before she came to the quay where she lies.
    """
    rng = nature.rng("faults")
    days = np.arange(voyages.log_begins, AHEAD, DAY)
    a_year = nature.one("faults_a_year") * vessel.of.faults
    wet = _wet_days(len(days), rng)
    season = 1.0 + 0.4 * np.cos(2.0 * np.pi * (days % YEAR) / YEAR)
    rate = np.where(wet, 2.5, 0.35) * season
    count = rng.poisson(a_year / 365.25 * rate / rate.mean())
    began = np.repeat(days, count) + rng.uniform(0.0, DAY, int(count.sum()))
    late = _lately(voyages, crowd, rng)
    began = np.concatenate([began, late])
    n = len(began)
    prone = np.array([circuit.prone for circuit in vessel.circuits])
    circuit = rng.choice(len(prone), n, p=prone / prone.sum())
    system = np.array([c.system for c in vessel.circuits])[circuit]
    plate = np.array([c.plate for c in vessel.circuits])[circuit]
    poles = np.array([len(s.conductors) for s in vessel.systems])[system]
    worse = np.where(rng.random(n) < 0.25, rng.uniform(0.5, 3.5, n), 0.0)
    dries = np.where(rng.random(n) < 0.12, rng.exponential(2.0 * DAY, n), np.inf)
    dries[n - crowd :] = np.inf
    ac = ~np.array([s.direct for s in vessel.systems])[system]
    source = (rng.random(n) < 0.1) & ac
    volts = np.array([s.volts for s in vessel.systems])[system]
    return Faults(
        system=system,
        circuit=circuit,
        plate=plate,
        pole=(rng.random(n) * poles).astype(np.intp),
        began=began,
        ohms=_wander(nature.draw("fault_ohm", n), worse, rng),
        share=np.where(rng.random(n) < 0.2, rng.uniform(0.2, 0.9, n), 1.0),
        direct_v=np.where(source, rng.uniform(0.05, 0.6, n) * volts, 0.0),
        dries=began + dries,
    )


def _lately(voyages: Voyages, crowd: int, rng: np.random.Generator) -> Array:
    """Return when those began that stand at the end."""
    quays = [s.start for s in voyages.stays if s.earthed and s.start < NOW]
    if voyages.restless and quays:
        return max(quays) - rng.uniform(0.01, 0.15, crowd) * YEAR
    return NOW - rng.uniform(0.05, 2.0, crowd) * YEAR


def _wet_days(count: int, rng: np.random.Generator) -> BoolArray:
    """Return wet and dry days in spells of four and eight days in the mean."""
    spells = 1 + rng.geometric(1.0 / np.array([4.0, 8.0]), (count // 6 + 2, 2))
    wet = np.repeat(np.tile([True, False], len(spells)), spells.ravel())
    return np.asarray(wet[:count], np.bool_)


def _wander(start: Array, worse: Array, rng: np.random.Generator) -> Array:
    """Return resistances at the knots: damp, load, and what slowly gets worse."""
    keep = np.exp(-np.diff(KNOTS) / _MEMORY)
    slow = _SLOW_SD * rng.standard_normal((len(start), len(KNOTS)))
    for k, part in enumerate(keep, start=1):
        slow[:, k] = part * slow[:, k - 1] + np.sqrt(1.0 - part**2) * slow[:, k]
    day = _DAY_SD * rng.standard_normal(slow.shape)
    sunk = worse[:, None] * (1.0 - np.exp(-KNOTS / (3.0 * DAY)))
    return np.clip(start[:, None] * np.exp(slow + day - sunk), 0.05, 1e7)


def look_after(
    faults: Faults, vessel: Vessel, voyages: Voyages, nature: Nature, *, crowd: int = 0
) -> Faults:
    """Let watches, alarms and insulation rounds find faults, and electricians clear.

    What lamps or monitor show is found within a watch or two, everything else by the
    next insulation test: so the delay depends on the resistance.
    """
    rng = nature.rng("watches")
    watch = nature.one("watch_hours") * HOUR
    rounds = nature.one("round_days") * DAY
    shown = np.array([least_visible(system) for system in vessel.systems])
    visible = faults.ohms < shown[faults.system][:, None]
    hazard = np.where(visible, 1.0 / watch, 1.0 / rounds) * faults.share[:, None]
    found = faults.began + _first(hazard, rng.exponential(1.0, len(faults)))
    response = (
        nature.one("response_hours") * HOUR * nature.draw("response_one", len(faults))
    )
    cleared = found + np.maximum(response, 0.25 * HOUR)
    if crowd:
        cleared[-crowd:] = np.inf
        found[-crowd:] = np.minimum(found[-crowd:], NOW - DAY)
    trip = _trips(faults, vessel, voyages, nature)
    end = np.minimum(np.minimum(cleared, faults.dries), trip)
    tripped = (trip <= end) & (trip < np.inf)
    found = np.where(tripped, np.minimum(found, trip), found)
    missed = found > end
    seen = np.where(missed, np.inf, found)
    good = faults.began - np.where(
        visible[:, 0], rng.uniform(0.0, watch, len(faults)),
        rng.uniform(0.0, rounds, len(faults)),
    )  # fmt: skip
    return replace(faults, found=seen, last_good=good, end=end)


def _first(hazard: Array, exponential: Array) -> Array:
    """Return when a hazard that steps at the knots first strikes [s]."""
    widths = np.append(np.diff(KNOTS), 200.0 * YEAR)
    summed = np.cumsum(hazard * widths, axis=1)
    step = (summed < exponential[:, None]).sum(axis=1).clip(0, len(KNOTS) - 1)
    rows = np.arange(len(hazard))
    before = np.where(step > 0, summed[rows, step - 1], 0.0)
    return np.asarray(KNOTS[step] + (exponential - before) / hazard[rows, step])


def _trips(faults: Faults, vessel: Vessel, voyages: Voyages, nature: Nature) -> Array:
    """Return when an earthed supply trips each fault's branch [s]; infinite: never.

    By the resistance that it has then: what gets worse trips when it has.
    """
    out = np.full(len(faults), np.inf)
    limit = nature.draw("trip_amps", len(faults))
    to_neutral = np.array(
        [s.volts / np.sqrt(3.0) if s.kind == "ac3" else s.volts for s in vessel.systems]
    )[faults.system]
    fed = np.array([s.fed_from_shore for s in vessel.systems])[faults.system]
    since = faults.began[:, None] + KNOTS
    until = np.append(since[:, 1:], np.full((len(faults), 1), np.inf), axis=1)
    for stay in voyages.stays:
        if not stay.earthed:
            continue
        way = stay.shore if stay.cable is None else min(stay.cable, stay.shore)
        amps = to_neutral[:, None] / (faults.ohms + way)
        at = np.maximum(since, stay.start)
        hot = (
            fed[:, None] & (amps > limit[:, None]) & (at < np.minimum(until, stay.end))
        )
        out = np.minimum(out, np.where(hot, at + 60.0, np.inf).min(axis=1))
    return out
