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

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from corrosion.foundation.assumptions import Assumption, Assumptions
from corrosion.foundation.sampling import Draws
from corrosion.foundation.types import Array, IntArray
from corrosion.foundation.units import DAY, HOUR
from corrosion.leakage.dated_states import coarseness, last_check
from corrosion.leakage.durations import Duration, DurationLaws
from corrosion.leakage.inference.inverse_cdf import reuse, sample_cell
from corrosion.records.ship import Fault, Ship

_MEDIANS, _SPREADS, _FACTORS = 41, 9, 9  # points of each grid
_REACH = 3.0  # standard deviations of the prior that a grid spans, either way
_LIKELY = 0.5  # a fault that an earthed supply opened as likely as not
_THIN = 1e-3  # of a grid that has no width: its step must not be nothing
_SLIP = 1e-6  # least chance of an entry: a date slipped


def sample_laws(
    ship: Ship, draws: Draws, *, shown: Array, opened: Array, as_of: float
) -> DurationLaws:
    """Return samples of the laws of a ship's delays and responses.

    Parameters
    ----------
    ship : Ship
    draws : Draws
        Random numbers; the block is called ``durations``.
    shown : ndarray, shape (faults,)
        Chance that lamps or a monitor could have shown each fault. [-]
    opened : ndarray, shape (faults,)
        Chance that an earthed supply opened its branch at once: such a fault waited for
        nobody. [-]
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
    mine = [
        k
        for k, fault in enumerate(ship.faults)
        if fault.source == "ground fault" and opened[k] < _LIKELY
    ]
    faults = [ship.faults[k] for k in mine]
    watch, test = _delays(faults, shown[mine], table, u[:, :1])
    response, coarse = _responses(faults, systems, table, as_of, u[:, 1:])
    return DurationLaws(
        shown=watch,
        hidden=test,
        turning=_plain(table["turning_days"], draws.samples, DAY),
        trip=_plain(table["trip_seconds"], draws.samples),
        regular=float(np.log(table["look_interval_factor"].geometric_sd)),
        response=response,
        coarse=coarse,
    )


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


def _plain(row: Assumption, samples: int, unit: float = 1.0) -> Duration:
    return Duration(
        np.full(samples, np.log(row.median * unit)),
        np.full(samples, np.log(row.geometric_sd)),
    )


def _delays(
    faults: Sequence[Fault], shown: Array, table: Assumptions, uniform: Array
) -> tuple[Duration, Duration]:
    """Return the laws of the delay of faults that could be shown, and of others.

    The gap since the last check says how long a delay is, and bounds it; of either law
    the chance of its dates is the likelihood of the entry, weighed by the chance that
    the fault could be shown. (That a delay is shorter than the gap alone would make any
    law likelier the shorter it is: what found the fault is the next look.)
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
        good = last_check(fault)
        if good is None or good.earliest >= fault.found.latest:
            continue
        seen, unseen = (law.chance_of_dates(good, fault.found) for law in laws)
        score += np.log(share * seen[:, None] + (1.0 - share) * unseen + _SLIP)
    cell, place = sample_cell(np.exp(score - score.max()).ravel()[None], uniform[:, 0])
    w, h = np.unravel_index(cell, score.shape)
    spread = [np.full(len(cell), law.spread[0]) for law in laws]
    return (
        Duration(axes[0].at(w, place), spread[0]),
        Duration(axes[1].at(h, reuse(place)), spread[1]),
    )


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
    # Where all dates are coarse, as a habit, they are no choice of the long ones.
    chosen = 1.0 - float(np.mean([coarseness(f) > 0.0 for f in faults] or [False]))
    factor = _Axis.of(
        rough.median**chosen, chosen * np.log(rough.geometric_sd) + _THIN, _FACTORS
    )
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

    Found at any moment of its date, a fault was cleared within another. Of one that
    stands it is known that it stood so long.
    """
    factor, spread, median = axes
    shape = (len(spread.points), len(median.points))
    law = Duration(
        np.broadcast_to(median.points, shape).ravel(),
        np.repeat(np.exp(spread.points), shape[1]),
    )
    total = np.zeros((len(factor.points), *shape))
    for fault in faults:
        coarse = coarseness(fault)
        shifts = coarse * factor.points if coarse else np.zeros(1)
        each = [_chance_of_end(law, fault, as_of, shift) for shift in shifts]
        total += np.log(np.reshape(each, (-1, *shape)) + _SLIP)
    return total


def _chance_of_end(law: Duration, fault: Fault, as_of: float, shift: float) -> Array:
    """Return the chance that a fault ended as is written of it, 1 where nothing is."""
    if (ended := fault.ended) is not None:
        if ended.latest > fault.found.earliest:
            return law.chance_of_end(fault.found, ended, shift)
    elif fault.standing is not None:
        stands = law.chance_to_last(fault.found, as_of, shift)
        return stands if fault.standing else 1.0 - stands
    return np.ones(len(law.median))
