"""How long faults of a ship go unfound, and how long they stand once found.

Two times with a law each. The *delay* runs from the beginning of a fault until it is
found, the *response* from there until it is cleared. Both are lognormal, and their
medians are unknowns of the ship: every entry of her log is evidence, as the interval
that its dates leave. The medians and spreads are weighed on a grid, so that samples of
them follow by inverse distribution, without any iteration.

A fault that lamps or a monitor could have shown waits for the next look of the watch;
any other waits for the next insulation test. Entries whose dates are coarse (a month, a
year) are often the long ones: their median has a factor of its own, learned from what
the years leave.
"""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field

import numpy as np
import numpy.typing as npt

from corrosion.foundation.assumptions import Assumptions
from corrosion.foundation.sampling import Draws
from corrosion.foundation.types import Array, IntArray
from corrosion.foundation.units import DAY, HOUR, MINUTE
from corrosion.leakage.inference.inverse_cdf import reuse, sample_cell
from corrosion.records.dates import When
from corrosion.records.ship import Fault, Ship

__all__ = ["Duration", "DurationLaws", "is_coarse", "last_check", "sample_laws"]

_MEDIANS, _SPREADS, _FACTORS = 41, 9, 9  # points of each grid
_REACH = 3.0  # standard deviations of the prior that a grid spans, either way
_MOMENTS = 9  # moments of an uncertain date at which a duration is looked at
_SLIP = 1e-6  # least chance of an entry: a date slipped
_COARSE = 2.0 * DAY  # a date wider than this is coarse


@dataclass(frozen=True, slots=True)
class Duration:
    """A lognormal duration, its unknowns a sample a row.

    Attributes
    ----------
    median : ndarray, shape (samples,)
        Logarithm of the median. [ln s]
    spread : ndarray, shape (samples,)
        Standard deviation of the logarithm. [-]
    """

    median: Array
    spread: Array

    def chance_within(self, seconds: Array, shift: float | Array = 0.0) -> Array:
        """Return the chance of a shorter duration, shape of ``seconds``.

        Samples come first in ``seconds``; ``shift`` is added to the median's
        logarithm. [-]
        """
        from scipy.special import ndtr  # noqa: PLC0415 - importing corrosion stays light

        shape = (-1, *(1,) * (np.ndim(seconds) - 1))
        away = np.log(np.maximum(seconds, 1e-9)) - shift
        z = (away - self.median.reshape(shape)) / self.spread.reshape(shape)
        return np.where(np.asarray(seconds) > 0.0, ndtr(z), 0.0)

    def sample(
        self,
        uniform: Array,
        low: npt.ArrayLike = 0.0,
        high: npt.ArrayLike = np.inf,
        shift: float | Array = 0.0,
    ) -> Array:
        """Return durations between two bounds, by inverse distribution [s].

        Where the law leaves the bounds next to no chance, the nearer bound's side is
        filled evenly, so that what is written holds whatever the law.
        """
        from scipy.special import ndtri  # noqa: PLC0415 - importing corrosion stays light

        low = np.broadcast_to(np.asarray(low, np.float64), uniform.shape)
        high = np.broadcast_to(np.asarray(high, np.float64), uniform.shape)
        a = self.chance_within(low, shift)
        b = np.where(np.isinf(high), 1.0, self.chance_within(high, shift))
        z = ndtri(np.clip(a + uniform * (b - a), 1e-15, 1.0 - 1e-15))
        found = np.exp(self.median + shift + self.spread * z)
        lost = b - a < 1e-12
        even = low + uniform * (np.where(np.isinf(high), low, high) - low)
        return np.clip(np.where(lost, even, found), low, np.maximum(high, low))


@dataclass(frozen=True, slots=True, kw_only=True)
class DurationLaws:
    """The laws of one ship's delays and responses.

    Attributes
    ----------
    shown, hidden : Duration
        Delay of a fault that lamps or a monitor could have shown, and of any other.
    response : mapping of str to Duration
        By system; ``""`` for a system of which nothing is written.
    coarse : ndarray, shape (samples,)
        Logarithm of the factor on the response of entries with coarse dates. [-]
    """

    shown: Duration
    hidden: Duration
    response: Mapping[str, Duration] = field(default_factory=dict)
    coarse: Array

    def response_of(self, fault: Fault) -> tuple[Duration, float | Array]:
        """Return the law of a fault's response, and the shift of its median."""
        law = self.response.get(fault.system or "", self.response[""])
        return law, self.coarse if is_coarse(fault) else 0.0

    def longest_response(self, fault: Fault) -> float:
        """Return the 95th percentile of the response of a fault's system [s]."""
        law, _ = self.response_of(fault)
        return float(np.exp(np.median(law.median + 1.6449 * law.spread)))


def is_coarse(fault: Fault) -> bool:
    """Return whether a fault's dates are coarser than a day or two."""
    dates = (fault.found, fault.ended)
    return any(when is not None and when.width > _COARSE for when in dates)


def last_check(ship: Ship, fault: Fault) -> tuple[When | None, When | None]:
    """Return the last checks before a fault at which its system was healthy.

    Parameters
    ----------
    ship : Ship
        Her rounds.
    fault : Fault
        One of her faults. An entry of another fault is no check of this one: its
        circuit may have been open, and nobody looked for this.

    Returns
    -------
    any_check, thorough : When or None
        What is written of the fault itself, or the last round before; and the same
        without rounds that looked at lamps or volts alone, from which a fault of high
        resistance stays hidden.
    """
    if fault.source != "ground fault":
        return None, None
    if fault.last_good is not None:
        return fault.last_good, fault.last_good
    rounds = [
        row
        for row in ship.readings
        if row.fault is None
        and row.system == fault.system
        and row.circuit in (None, fault.circuit)
        and row.time.latest <= fault.found.earliest
    ]
    tested = [r for r in rounds if r.insulation is not None or r.monitor is not None]
    last = [
        max((r.time for r in some), key=lambda when: when.latest, default=None)
        for some in (rounds, tested)
    ]
    return last[0], last[1]


def sample_laws(
    ship: Ship, draws: Draws, *, shown: Array, as_of: float
) -> DurationLaws:
    """Return samples of the laws of a ship's delays and responses.

    Parameters
    ----------
    ship : Ship
        Her log.
    draws : Draws
        Random numbers; the block is called ``durations``.
    shown : ndarray, shape (faults,)
        Chance that lamps or a monitor could have shown each fault. [-]
    as_of : float
        Date of the estimate; what stands then has stood for so long at least. [s]

    Returns
    -------
    DurationLaws
        Samples.
    """
    table = draws.assumptions
    systems = [system.name for system in ship.systems]
    u = draws.block("durations", 3 + 1 + len(systems))
    mine = [k for k, f in enumerate(ship.faults) if f.source == "ground fault"]
    faults = [ship.faults[k] for k in mine]
    watch, test = _delays(ship, faults, shown[mine], table, u[:, :1])
    response, coarse = _responses(faults, systems, table, as_of, u[:, 1:])
    return DurationLaws(shown=watch, hidden=test, response=response, coarse=coarse)


@dataclass(frozen=True, slots=True)
class _Axis:
    """A grid over the logarithm of an unknown, with its prior's logarithm."""

    points: Array
    prior: Array

    @classmethod
    def of(cls, median: float, sd: float, count: int) -> "_Axis":
        """Span a normal prior of the logarithm."""
        z = np.linspace(-_REACH, _REACH, count)
        return cls(np.log(median) + sd * z, -0.5 * z**2)

    def at(self, index: IntArray, uniform: Array) -> Array:
        """Return values spread evenly over the cells of some points."""
        step = self.points[1] - self.points[0]
        return np.asarray(self.points[index] + (uniform - 0.5) * step)


def _delays(
    ship: Ship,
    faults: Sequence[Fault],
    shown: Array,
    table: Assumptions,
    uniform: Array,
) -> tuple[Duration, Duration]:
    """Return the laws of the delay of faults that could be shown, and of others.

    A last check bounds the delay from above: of either law the share that lies within
    is the likelihood of the entry, weighed by the chance that the fault could be shown.
    """
    common = np.log(table["delay_ship_factor"].geometric_sd)
    rows = (table["undetected_hours"], table["insulation_test_days"])
    medians = (rows[0].median * HOUR, rows[1].median * DAY)
    axes = [_Axis.of(median, common, _MEDIANS // 2) for median in medians]
    laws = [
        Duration(axis.points, np.full(axis.points.size, np.log(row.geometric_sd)))
        for axis, row in zip(axes, rows, strict=True)
    ]
    score = axes[0].prior[:, None] + axes[1].prior
    for fault, share in zip(faults, shown, strict=True):
        seen, unseen = (
            np.ones(len(axis.points))
            if good is None or good.earliest >= fault.found.latest
            else _chance_within(law, _between(good, fault.found))
            for law, axis, good in zip(laws, axes, last_check(ship, fault), strict=True)
        )
        score += np.log(share * seen[:, None] + (1.0 - share) * unseen + _SLIP)
    cell, place = sample_cell(np.exp(score - score.max()).ravel()[None], uniform[:, 0])
    w, h = np.unravel_index(cell, score.shape)
    spread = [np.full(len(cell), law.spread[0]) for law in laws]
    return (
        Duration(axes[0].at(w, place), spread[0]),
        Duration(axes[1].at(h, reuse(place)), spread[1]),
    )


def _chance_within(law: Duration, seconds: Array) -> Array:
    """Return the mean chance of a duration shorter than some, a law a row."""
    each = np.broadcast_to(seconds, (len(law.median), len(seconds)))
    return np.asarray(law.chance_within(each).mean(axis=1))


def _between(early: When, late: When) -> Array:
    """Return times from one date to another, as far as both are known [s]."""
    even = (np.arange(_MOMENTS) + 0.5) / _MOMENTS
    begun = early.earliest + ((even * 4.0) % 1.0) * early.width
    gaps = late.earliest + even * late.width - begun
    return gaps if late.width > 0.0 or early.width > 0.0 else gaps[:1]


def _responses(
    faults: Sequence[Fault],
    systems: Sequence[str],
    table: Assumptions,
    as_of: float,
    uniform: Array,
) -> tuple[dict[str, Duration], Array]:
    """Return the law of the response of each system, and the factor of coarse dates.

    The medians of the systems scatter about one of the ship. Given spread and factor,
    each system's median is summed out of what its entries say, which leaves a grid of
    three unknowns of the ship; those are drawn first, then each system given them.
    """
    ship, one, wide, rough = (
        table[name]
        for name in (
            "response_hours",
            "response_system_factor",
            "response_spread",
            "coarse_response_factor",
        )
    )
    apart = np.log(one.geometric_sd)
    median = _Axis.of(
        ship.median * HOUR, np.hypot(np.log(ship.geometric_sd), apart), _MEDIANS
    )
    prior = (
        -0.5
        * ((median.points - np.log(ship.median * HOUR)) / np.log(ship.geometric_sd))
        ** 2
    )
    spread = _Axis.of(wide.median, np.log(wide.geometric_sd), _SPREADS)
    factor = _Axis.of(rough.median, np.log(rough.geometric_sd), _FACTORS)
    link = -0.5 * ((median.points[:, None] - median.points) / apart) ** 2
    link -= np.log(np.exp(link).sum(axis=1, keepdims=True))  # P(system | ship)
    score = factor.prior[:, None, None] + spread.prior[:, None] + prior
    said = {}
    for system in systems:
        mine = [f for f in faults if f.system == system]
        said[system] = _said_of_response(mine, (factor, spread, median), as_of)
        top = said[system].max()
        score = score + top + np.log(np.exp(said[system] - top) @ np.exp(link).T)
    cell, place = sample_cell(np.exp(score - score.max()).ravel()[None], uniform[:, 0])
    f, s, m = np.unravel_index(cell, score.shape)
    sigma = np.exp(spread.at(s, reuse(place)))
    found = {"": Duration(_given(link[m], median, uniform[:, 1]), sigma)}
    for k, system in enumerate(systems):
        weight = link[m] + said[system][f, s]
        found[system] = Duration(_given(weight, median, uniform[:, 2 + k]), sigma)
    return found, factor.at(f, place)


def _given(score: Array, axis: _Axis, uniform: Array) -> Array:
    """Return one value a row of scores over an axis."""
    weight = np.exp(score - score.max(axis=1, keepdims=True))
    cell, place = sample_cell(weight, uniform)
    return np.asarray(axis.at(cell, place))


def _said_of_response(
    faults: Sequence[Fault], axes: tuple[_Axis, _Axis, _Axis], as_of: float
) -> Array:
    """Return the log likelihood of entries, shape (factors, spreads, medians).

    Found at some moment of its date, a fault was cleared within another: the chance of
    that, mean over the moments. Of one that stands it is known that it stood so long.
    """
    factor, spread, median = axes
    shape = (len(spread.points), len(median.points))
    law = Duration(
        np.broadcast_to(median.points, shape).ravel(),
        np.repeat(np.exp(spread.points), shape[1]),
    )
    total = np.zeros((len(factor.points), *shape))
    for fault in faults:
        low, high = _stood_for(fault, as_of)
        if low.size == 0:
            continue
        shifts = factor.points if is_coarse(fault) else np.zeros(1)
        each = np.array([_chance(law, low, high, shift) for shift in shifts])
        total += np.log(each.reshape(-1, *shape) + _SLIP)
    return total


def _chance(law: Duration, low: Array, high: Array, shift: float) -> Array:
    count = len(law.median)
    ends = [
        np.where(np.isinf(x), 1.0, law.chance_within(np.tile(x, (count, 1)), shift))
        for x in (low, high)
    ]
    return np.asarray((ends[1] - ends[0]).mean(axis=1))


def _stood_for(fault: Fault, as_of: float) -> tuple[Array, Array]:
    """Return bounds of how long a fault stood after it was found, by moments [s]."""
    even = (np.arange(_MOMENTS) + 0.5) / _MOMENTS
    found = fault.found.earliest + even * fault.found.width
    if fault.found.width <= MINUTE:
        found = found[:1]
    ended = fault.ended
    if ended is not None:
        if ended.latest <= fault.found.earliest:
            return np.empty(0), np.empty(0)
        low = np.maximum(ended.earliest - found, 0.0)
        return low, np.maximum(ended.latest - found, 0.0)
    if fault.standing is True:
        return np.maximum(as_of - found, 0.0), np.full(found.size, np.inf)
    if fault.standing is False:
        return np.zeros(found.size), np.maximum(as_of - found, 0.0)
    return np.empty(0), np.empty(0)
