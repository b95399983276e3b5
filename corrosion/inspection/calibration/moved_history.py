"""A history of losses as the gaugings say it went."""

from dataclasses import dataclass, replace
from itertools import pairwise

import numpy as np

from corrosion.foundation.types import Array, BoolArray
from corrosion.history.inputs import ModelInputs
from corrosion.history.loss import LossHistory
from corrosion.inspection.factors import Factors
from corrosion.inspection.outlook import inside_loss
from corrosion.wastage.apportionment import MULTIPLIERS
from corrosion.wastage.works import plate_age, plate_gain

__all__ = ["moved"]

_LEAST = 1e-9  # a factor, and a depth [m]: where there is no pit, there is none


def moved(inputs: ModelInputs, history: LossHistory, factors: Factors) -> LossHistory:
    """Return a history with its natural losses multiplied, netted in every state.

    Parameters
    ----------
    inputs : ModelInputs
        The ship with everything drawn.
    history : LossHistory
        By the records alone; of a what-if as well.
    factors : Factors
        By what its losses are multiplied.

    Returns
    -------
    LossHistory
        Thickness, mass and depth together. Currents take what they took; what they and
        protection spare changes with the rate where it was netted.
    """
    rate = factors.at(history.moments)
    age = np.maximum(history.moments - inputs.time_grid.start, 0.0)
    zones, works = len(inputs.ship.zones), inputs.zones.works
    inner = inside_loss(inputs, history.moments)
    gain = plate_gain(history.moments, zones, works)
    more_inside = inner * (factors.inside[:, None] - 1.0)
    outer = _netted(history, rate) - inner + gain
    was = history.mean - inner + gain
    change = np.divide(outer, was, out=rate.copy(), where=was > 0.0)
    extra = factors.extra_at(history.moments)
    even = more_inside + extra  # what the records do not know, even over the plate
    known = outer + inner + more_inside - gain
    now = int(np.searchsorted(history.moments, inputs.time_grid.as_of))
    depth = change[:, now]
    pits = _Pits(history, inner, np.maximum(depth, _LEAST), _later(outer, was, change))
    spot_outer = history.spot - inner[:, now]
    # what left with plates that were renewed, no gauging tells any more
    young = plate_age(history.moments, inputs.time_grid.start, zones, works)[now]
    young = young / age[now]
    inside = 1.0 + (factors.inside - 1.0) * young
    inside_kg = history.natural_inside_kg * inside
    plate = inputs.kg_per_metre
    at_sea = 1.0 + (rate - 1.0) * young
    sea_kg = history.natural_sea_kg * at_sea[:, now]
    lost = history.lost_kg + (known - history.mean)[:, now] * plate
    taken = history.stray_kg + history.own_metals_kg
    spared = np.maximum(sea_kg + inside_kg + taken - lost, 0.0)
    whole = history.protection_spared_kg + history.spared_kg
    share = np.divide(spared, whole, out=np.ones_like(whole), where=whole > 0.0)
    still_spared = history.spared_kg * share
    # faults' accounts know no zones: each moves as the ship's does
    before, after = (kg.sum(axis=1) for kg in (history.spared_kg, still_spared))
    of_ship = np.divide(after, before, out=np.ones_like(after), where=before > 0.0)
    return replace(
        history,
        mean=known + extra,
        multiplied=history.multiplied[:, :, :0].copy(),  # moved once for all
        worn=pits.worn(now, change) + inner + even,
        since=pits.since(now),
        pit=pits.old(now) + inner + even,
        natural_sea_kg=sea_kg,
        natural_inside_kg=inside_kg,
        unexplained_kg=extra[:, now] * plate,
        protection_spared_kg=history.protection_spared_kg * share,
        spared_kg=still_spared,
        fault_spared_kg=history.fault_spared_kg * of_ship[:, None],
        spot=spot_outer * depth + (inner + even)[:, now],
        causes=_causes(history, at_sea, inside, age / age[now], extra * plate),
    )


def _later(outer: Array, was: Array, change: Array) -> Array:
    """Return the factor on what each moment adds to the one before, none below 0."""
    more, added = (np.diff(depth, axis=1, prepend=0.0) for depth in (outer, was))
    local = np.divide(more, added, out=change.copy(), where=added > _LEAST)
    return np.maximum(local, 0.0)


@dataclass(frozen=True, slots=True)
class _Pits:
    """Depths at bare steel: up to today by today's factor, then as each year adds.

    Attributes
    ----------
    records : LossHistory
        By the records alone.
    inner : ndarray, shape (samples, moments, zones)
        What the inner face lost by them. [m]
    today : ndarray, shape (samples, zones)
        Factor on the loss of the outer face up to today. [-]
    later : ndarray, shape (samples, moments, zones)
        Factor on what each moment adds. [-]
    """

    records: LossHistory
    inner: Array
    today: Array
    later: Array

    def since(self, now: int) -> Array:
        """Return what was lost since the last painting [m]."""
        depth = self.records.since
        out = depth * self.today[:, None]
        for at in range(now + 1, depth.shape[1]):
            grown = out[:, at - 1] + self.later[:, at] * (
                depth[:, at] - depth[:, at - 1]
            )
            new = self.later[:, at] * depth[:, at]
            out[:, at] = np.where(self._painted(at), new, grown)
        return out

    def worn(self, now: int, change: Array) -> Array:
        """Return what was lost evenly before it [m]; ``change``: up to each moment."""
        depth = self.records.worn - self.inner
        out = depth * self.today[:, None]
        for at in range(now + 1, depth.shape[1]):
            same = out[:, at - 1] + self.later[:, at] * (
                depth[:, at] - depth[:, at - 1]
            )
            then = change[:, at] * depth[:, at]
            out[:, at] = np.where(self._painted(at), then, same)
        return out

    def old(self, now: int) -> Array:
        """Return the depth of pits that are older than it [m]."""
        depth = self.records.pit - self.inner
        out = depth * self.today[:, None]
        for at in range(now + 1, depth.shape[1]):
            there = np.isfinite(depth[:, at - 1]) & ~self._painted(at)
            early, late = (np.where(there, depth[:, k], 0.0) for k in (at - 1, at))
            grown = out[:, at - 1] + self.later[:, at] * (late - early)
            out[:, at] = np.where(there, grown, out[:, at])
        return out

    def _painted(self, at: int) -> BoolArray:
        """Return what was painted or renewed since the moment before."""
        return np.asarray(self.records.since[:, at] < self.records.since[:, at - 1])


def _causes(
    history: LossHistory, rate: Array, inside: Array, share: Array, extra: Array
) -> dict[str, Array]:
    """Return mass by cause: natural at its factors by face, and what none explains."""
    moved = dict(history.causes)
    if "natural" in moved:
        within = history.natural_inside_kg[:, None] * share[:, None]
        sea = moved["natural"] - within
        moved["natural"] = sea * rate + within * inside[:, None]
        moved["unexplained"] = extra
    return moved


def _netted(history: LossHistory, rate: Array) -> Array:
    """Return the mean loss at factors on the natural rate, by the recorded table.

    Straight lines between its multiples, the last ones going on; a factor of one
    changes nothing.
    """
    table, knots = history.multiplied, MULTIPLIERS
    slopes = [
        (late - early).astype(np.float64) / (knots[k + 1] - knots[k])
        for k, (early, late) in enumerate(pairwise(table))
    ]

    def at(factor: Array | float) -> Array:
        value = np.asarray(slopes[0] * (factor - knots[0]))
        for knot, below, above in zip(knots[1:], slopes[:-1], slopes[1:], strict=False):
            value += (above - below) * np.maximum(factor - knot, 0.0)
        return value

    return np.asarray(history.mean + at(rate) - at(1.0))
