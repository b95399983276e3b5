"""Thickness left against its limits, now and ahead."""

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from corrosion.foundation.parallel import at_once
from corrosion.foundation.types import Array, BoolArray, IntArray
from corrosion.history.inputs import ModelInputs
from corrosion.history.loss import LossHistory
from corrosion.inspection.factors import Factors
from corrosion.inspection.pit_parts import PitParts, pit_parts
from corrosion.inspection.ranking import (
    chance_in_first,
    order,
    priority,
    tolerance,
)
from corrosion.wastage.thickness import date_chance_passes, substantial
from corrosion.wastage.works import plate_age

_QUANTILES = (0.1, 0.5, 0.9)


@dataclass(frozen=True, slots=True, kw_only=True)
class Outlook:
    """Thickness left, and the chance to be below a limit.

    Arrays are of shape (zones,) where no other is said.
    """

    # left, under_pit, deepest: shape (samples, zones): at the date of the estimate:
    # mean thickness left, thickness left under the deepest pit, and depth
    # of that pit [m]
    left: Array
    under_pit: Array
    deepest: Array
    # left_ahead, under_pit_ahead: shape (samples, zones): the same at the horizon [m]
    left_ahead: Array
    under_pit_ahead: Array
    # shape (3, moments, zones): p10, p50 and p90 of mean thickness at
    # each recorded moment [m]
    fan: Array
    # shape (moments, zones): chance that mean or deepest pit is below its limit: mean
    # of the samples and, from the date of the estimate on, of the states that
    # each was in [-]
    chance: Array
    chance_ahead: Array  # the same at the horizon [-]
    # standard error of that, from the number of samples: they are independent. The
    # chance of the deepest pit is summed in closed form in each [-]
    chance_error: Array
    # when that chance passes the tolerance of the zone's consequence; NaN: not within
    # the moments looked at [s]
    inspect_by: Array
    # chance of substantial corrosion at the date of the estimate [-]
    substantial: Array
    # priority, in_first: chance times consequence, and the chance to be one of the five
    # (at most a third) nearest to a limit, or furthest below, at the horizon [-]
    priority: Array
    in_first: Array
    order: IntArray  # zones, that chance times consequence the greatest first
    # where the deepest pit is likelier to be below its limit at the horizon than the
    # mean, or nearer to it where both are as likely
    pitted: BoolArray


def inside_loss(inputs: ModelInputs, moments: Array) -> Array:
    """Return what the inner face of the plate that is there lost by the records.

    Up to each moment: (samples, moments, zones) [m].
    """
    zones, start = inputs.zones, inputs.time_grid.start
    age = plate_age(moments, start, len(inputs.ship.zones), zones.works)
    return np.asarray(zones.inner[:, None] * age)


def lost_evenly(inputs: ModelInputs, moments: Array, factors: Factors) -> Array:
    """Return what is lost evenly: inside, and by unrecorded causes.

    Up to each moment: (samples, moments, zones) [m].
    """
    inner = inside_loss(inputs, moments)
    return inner * factors.inside[:, None] + factors.extra_at(moments)


def _below(
    whole: Array,
    limits: tuple[Array, Array],
    losses: tuple[Array, Array],
    pits: PitParts,
    factors: Factors,
    moment: float,
) -> Array:
    """Return the chance to be below a limit in each sample, (samples, zones) [-].

    Of what a sample draws last, the depth of its deepest pit and whether an unrecorded
    cause goes on, the chance is summed in closed form: fewer samples do.
    """
    (limit, pit_limit), (mean, even) = limits, losses
    below = np.zeros_like(mean)
    for chance, more in factors.either(moment):
        room = whole - pit_limit - even - more
        deeper = factors.pit.beyond(np.log(pits.factor(room)))
        out = (whole - mean - more < limit) | (room < 0.0)
        out |= whole - mean - more < pit_limit
        below += chance * np.where(out, 1.0, deeper)
    return below


@dataclass(frozen=True, slots=True)
class _State:
    """One state of the samples: see `project`."""

    inputs: ModelInputs
    history: LossHistory
    factors: Factors
    whole: Array
    even: Array
    limits: tuple[Array, Array]

    def look(self, at: int) -> tuple[Array, Array, Array, Array]:
        """Return what is left, what under the deepest pit, its depth, and chances.

        To be below a limit in each sample, at a recorded moment.
        """
        whole, mean, even = self.whole, self.history.mean[:, at], self.even[:, at]
        pits = pit_parts(self.inputs, self.history, at, even)
        pit = even + pits.at(np.exp(self.factors.pit.drawn))
        pit = np.minimum(np.maximum(pit, mean), whole)  # none is deeper than its plate
        moment = float(self.history.moments[at])
        below = _below(whole, self.limits, (mean, even), pits, self.factors, moment)
        return np.maximum(whole - mean, 0.0), np.maximum(whole - pit, 0.0), pit, below


def project(
    inputs: ModelInputs,
    history: LossHistory,
    factors: Factors,
    earlier: Sequence[tuple[LossHistory, Factors]] = (),
) -> Outlook:
    """Hold what is left against the limits, now and ahead.

    Parameters
    ----------
    inputs : ModelInputs
        The ship with everything drawn.
    history : LossHistory
        What was lost, sample by sample, moved to her gaugings.
    factors : Factors
        What the gaugings say of plates as rolled, of pits and of unrecorded causes.
    earlier : sequence of (LossHistory, Factors), optional
        The same in other states of the samples, from the date of the estimate on:
        chances are the means of all.

    Returns
    -------
    Outlook
        Faults that still stand are taken to last; she lies as planned, or as in her
        last years, again, where she comes and goes, or else where she lies now; new
        faults are in the history, where it goes on with them.
    """
    time_grid, rows = inputs.time_grid, inputs.ship.zones
    built = np.array([zone.built for zone in rows])
    limit = np.array([zone.limit for zone in rows])
    pit_limit = np.array([zone.pit_limit for zone in rows])
    consequence = np.array([zone.consequence for zone in rows])
    now = int(np.searchsorted(history.moments, time_grid.as_of))
    then = int(np.searchsorted(history.moments, time_grid.horizon))
    states = [
        _State(
            inputs=inputs,
            history=lost,
            factors=told,
            whole=built * inputs.zones.rolled + told.offset,
            even=lost_evenly(inputs, lost.moments, told),
            limits=(limit, pit_limit),
        )
        for lost, told in ((history, factors), *earlier)
    ]
    kept: dict[int, list[tuple[Array, Array, Array, Array]]] = {}

    def look(at: int) -> tuple[Array, Array]:
        found = [states[0].look(at)]
        if at >= now:
            found += [state.look(at - now) for state in states[1:]]
        if at in (now, then):
            kept[at] = found
        chance = np.mean([below.mean(axis=0) for *_, below in found], axis=0)
        return np.quantile(found[0][0], _QUANTILES, axis=0), chance

    fan, chance = zip(*at_once(look, range(len(history.moments))), strict=True)
    left, under, deepest, _ = kept[now][0]
    left_then, under_then, *_ = kept[then][0]
    margin = np.concatenate(
        [np.minimum(mean - limit, pit - pit_limit) for mean, pit, *_ in kept[then]]
    )
    below = np.mean([below for *_, below in kept[then]], axis=0)
    in_first = chance_in_first(margin)
    given = inputs.draws.assumptions
    share = given.value("substantial_share")
    return Outlook(
        left=left,
        under_pit=under,
        deepest=deepest,
        left_ahead=left_then,
        under_pit_ahead=under_then,
        fan=np.stack(fan, axis=1),
        chance=np.array(chance),
        chance_ahead=chance[then],
        chance_error=below.std(axis=0) / np.sqrt(len(below)),
        inspect_by=date_chance_passes(
            history.moments[now:],
            np.array(chance[now:]),
            tolerance(consequence, assumptions=given),
        ),
        substantial=substantial(built, limit, left, share).mean(axis=0),
        priority=priority(chance[then], consequence),
        in_first=in_first,
        order=order(consequence * in_first, margin.mean(axis=0)),
        pitted=_pitted(left_then - limit, under_then - pit_limit),
    )


def _pitted(mean: Array, pit: Array) -> BoolArray:
    """Return where the pit is likelier below, or nearer where both are as likely."""
    likelier = (pit < 0.0).mean(axis=0) - (mean < 0.0).mean(axis=0)
    nearer = np.median(pit, axis=0) < np.median(mean, axis=0)
    return np.where(likelier == 0.0, nearer, likelier > 0.0)
