"""A history of losses as the gaugings say it went."""

from dataclasses import dataclass, replace

import numpy as np

from corrosion.foundation.types import Array, BoolArray
from corrosion.history.inputs import ModelInputs
from corrosion.history.loss import DEPTHS, LossHistory
from corrosion.inspection.factors import Factors
from corrosion.inspection.outlook import inside_loss
from corrosion.wastage.apportionment import MULTIPLIERS
from corrosion.wastage.pits import as_pits_deepen
from corrosion.wastage.works import left_by_welds, plate_age, plate_gain

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
    moments = history.moments
    now = int(np.searchsorted(moments, inputs.time_grid.as_of))
    rate = factors.at(moments)
    age = np.maximum(moments - inputs.time_grid.start, 0.0)
    zones, works = len(inputs.ship.zones), inputs.zones.works
    inner = inside_loss(inputs, moments)
    gain = plate_gain(moments, zones, works)
    netted, within = _netted(history, rate), inner * factors.inside[:, None]
    outer, was = (depth - inner for depth in (netted, history.mean))
    outer += gain  # large arrays, here and below: in place
    was += gain
    change = np.divide(outer, was, out=rate.copy(), where=was > 0.0)
    extra = factors.extra_at(moments)
    even = within + extra  # over the plate, at bare steel and elsewhere
    known = within - inner
    known += netted
    one = np.ones((1, zones))
    stood = np.concatenate([left_by_welds(one, works, t) for t in moments])
    left = inputs.zones.pit_left[:, None] * stood if stood.any() else stood[None]
    ahead = slice(now, None)
    # a rate that fell makes no pit shallower: none of the past was deeper than it would
    # be by the factor of any later day
    past = np.maximum(change[:, now::-1], _LEAST)
    pits = _Pits(
        records=history,
        inner=inner,
        until=np.minimum.accumulate(past, axis=1, out=past)[:, ::-1],
        later=_later(outer[:, ahead], was[:, ahead], change[:, ahead]),
        left=left,
        now=now,
        reference=inputs.zones.pit_reference,
        power=inputs.draws.value("pit_depth_power"),
    )
    plate = inputs.kg_per_metre
    inside_kg = history.natural_inside_kg * factors.inside
    at_sea = factors.whole_at(moments)
    sea_kg = history.natural_sea_kg * at_sea[:, now]
    # what left with plates that were renewed moved with the rates of its own time
    young = plate_age(moments, inputs.time_grid.start, zones, works)[now] / age[now]
    old = (sea_kg - history.natural_sea_kg) + (inside_kg - history.natural_inside_kg)
    there = history.natural_sea_kg * (rate[:, now] - 1.0)
    there += history.natural_inside_kg * (factors.inside - 1.0)
    old -= there * young
    lost = history.lost_kg + (known[:, now] - history.mean[:, now]) * plate
    lost += np.where(young < 1.0, old, 0.0)
    taken = history.stray_kg + history.own_metals_kg
    spared = np.maximum(sea_kg + inside_kg + taken - lost, 0.0)
    whole = history.protection_spared_kg + history.spared_kg
    share = np.divide(spared, whole, out=np.ones_like(whole), where=whole > 0.0)
    still_spared = history.spared_kg * share
    # faults' accounts know no zones: each moves as the ship's does
    before, after = (kg.sum(axis=1) for kg in (history.spared_kg, still_spared))
    of_ship = np.divide(after, before, out=np.ones_like(after), where=before > 0.0)
    worn, pit = pits.worn(change[:, ahead]), pits.old(change[:, ahead])
    worn += even
    pit += even
    known += extra
    return replace(
        history,
        mean=known,
        multiplied=history.multiplied[:, :, :0].copy(),  # moved once for all
        worn=worn,
        since=pits.since(),
        pit=pit,
        natural_sea_kg=sea_kg,
        natural_inside_kg=inside_kg,
        unexplained_kg=extra[:, now] * plate,
        protection_spared_kg=history.protection_spared_kg * share,
        spared_kg=still_spared,
        fault_spared_kg=history.fault_spared_kg * of_ship[:, None],
        spot=(history.spot - inner[:, now]) * change[:, now] + even[:, now],
        causes=_causes(history, at_sea, factors.inside, age / age[now], extra * plate),
    )


def _later(outer: Array, was: Array, change: Array) -> Array:
    """Return the factor on what each moment adds to the one before, none below 0."""
    more, added = (np.diff(depth, axis=1, prepend=0.0) for depth in (outer, was))
    local = np.divide(more, added, out=change.copy(), where=added > _LEAST)
    return np.maximum(local, 0.0)


@dataclass(frozen=True, slots=True, kw_only=True)
class _Pits:
    """Depths at bare steel: by the factor up to each day, then as each year adds.

    Pits go as a power of the loss. One that a weld left as deep as yards leave them has
    grown from there by the ratio of the losses since and before, whatever their rate.

    Arrays are of shape (samples, moments, zones) where no other is said.
    """

    records: LossHistory  # by the records alone
    inner: Array  # what the inner face lost by them [m]
    # shape (samples, moments up to today, zones): factor on the loss of the outer face
    # up to each, none above later ones [-]
    until: Array
    # shape (samples, moments from today on, zones): factor on what each moment adds [-]
    later: Array
    left: Array  # what stood in plates when pits were welded: no rate moves it [m]
    now: int  # position of today
    reference: Array  # shape (zones,): loss at which pits go by it [m]
    power: float  # of the loss, as which they deepen [-]

    def _then(self, depth: Array, at: int, before: Array) -> Array:
        """Return what is at a moment if it grew from that before."""
        more = depth[:, at] - depth[:, at - 1]
        return np.asarray(before + self.later[:, at - self.now] * more)

    def _past(self, depth: Array, factor: Array) -> Array:
        """Return depths up to today; later ones as by today's factor."""
        out, now = np.empty_like(depth), self.now
        np.multiply(depth[:, :now], factor[:, :-1], out=out[:, :now])
        np.multiply(depth[:, now:], factor[:, -1:], out=out[:, now:])
        return out

    def since(self) -> Array:
        """Return what was lost since the last painting, as pits go by it [m]."""
        out, now = self._past(self.records.since, self.until**self.power), self.now
        if now + 1 == out.shape[1]:
            return out
        depth, lost = (
            as_pits_deepen(
                each[:, now:], reference=self.reference, power=1.0 / self.power
            )
            for each in (self.records.since, out)
        )
        for at in range(1, lost.shape[1]):
            more = self.later[:, at] * (depth[:, at] - depth[:, at - 1])
            new = self.later[:, at] * depth[:, at]
            painted = self._painted(now + at)
            lost[:, at] = np.where(painted, new, lost[:, at - 1] + more)
        out[:, now:] = as_pits_deepen(lost, reference=self.reference, power=self.power)
        return out

    def worn(self, change: Array) -> Array:
        """Return what was lost evenly before it [m]; ``change``: up to each moment."""
        depth = self.records.worn - self.inner
        out = self._past(depth, self.until)
        for at in range(self.now + 1, depth.shape[1]):
            same = self._then(depth, at, out[:, at - 1])
            then = change[:, at - self.now] * depth[:, at]
            out[:, at] = np.where(self._painted(at), then, same)
        return out

    def old(self, change: Array) -> Array:
        """Return the depth of older pits [m]; ``change``: up to each moment."""
        depth, now = self.records.pit - self.inner, self.now
        stood = self.left[:, : now + 1] > 0.0
        out = self._past(depth, np.where(stood, 1.0, self.until**self.power))
        for at in range(now + 1, depth.shape[1]):
            there = np.isfinite(depth[:, at - 1]) & ~self._painted(at)
            early, late = (np.where(there, depth[:, k], 0.0) for k in (at - 1, at))
            until = np.maximum(change[:, at - now], _LEAST)
            by_rate = np.where(self.left[:, at] > 0.0, 1.0, until**self.power)
            further = self.later[:, at - now] / until * by_rate
            grown = out[:, at - 1] + further * (late - early)
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
    factor, one = rate.astype(np.float32), np.float32(1.0)  # precise as the table is
    slope = (table[1] - table[0]) / (knots[1] - knots[0])
    more = slope * (factor - one)
    for k in range(1, len(knots) - 1):
        knot, below = np.float32(knots[k]), slope
        slope = (table[k + 1] - table[k]) / (knots[k + 1] - knots[k])
        beyond = np.maximum(factor, knot)
        beyond -= max(knot, one)
        beyond *= slope - below
        more += beyond
    return np.asarray(history.mean + more)


def only(history: LossHistory, some: slice) -> LossHistory:
    """Return a history as if some of its moments alone had been recorded."""
    depths = {name: getattr(history, name)[:, some] for name in (*DEPTHS, "bare")}
    return replace(
        history,
        moments=history.moments[some],
        multiplied=history.multiplied[:, :, some],
        causes={},
        **depths,
    )
