"""By what a state of the samples multiplies the losses of the records."""

from collections.abc import Collection
from dataclasses import dataclass, replace
from functools import cached_property
from typing import Final

import numpy as np

from corrosion.foundation.types import Array
from corrosion.history.inputs import ModelInputs
from corrosion.history.loss import LossHistory
from corrosion.inspection.calibration.exposure import Exposure
from corrosion.inspection.calibration.measurements import Measured
from corrosion.inspection.calibration.pits import (
    PitEvidence,
    PitPrior,
    beyond_the_loss,
    by_spots,
    pit_law,
)
from corrosion.inspection.calibration.rate_model import (
    INSIDE,
    LEVEL,
    OFFSET,
    PIT,
    RateState,
    cause_shares,
)
from corrosion.inspection.calibration.slopes import spread_alike
from corrosion.inspection.factors import Factors, PitLaw
from corrosion.inspection.outlook import lost_evenly
from corrosion.inspection.pit_parts import pit_parts
from corrosion.wastage.works import in_plate
from corrosion.wastage.yard_looks import first_weld, last_sound

_LEAST: Final = 1e-9  # of a depth of which the logarithm is taken [m]


@dataclass(frozen=True, slots=True)
class Unrecorded:
    """When a cause that no record names takes how much of what it takes.

    Attributes
    ----------
    foreseen : Exposure
        Moments and knots.
    known : int
        Knots that readings tell of; 0: it acts from her building to ``now``.
    now : float
        Date of the estimate. [s]
    lot : ndarray, shape (samples, zones)
        Uniform numbers that draw whether one that acts in the last knot goes on, and is
        then forgotten as rates are. [-]
    chance : float
        Chance that one does that acted in no other knot. [-]
    """

    foreseen: Exposure
    known: int
    now: float
    lot: Array
    chance: float

    def lost(self, state: RateState, moments: Array) -> tuple[Array, Array, Array]:
        """Return what was lost by each moment, what is if it goes on, and how likely.

        The first two (samples, moments, zones) [m], the second 0 where none acts at
        last; chances (samples, zones) [-].
        """
        prior = self.foreseen.prior
        edges = prior.edges[: self.known + 1]
        if not self.known:
            edges = np.array([prior.edges[0], self.now])
        length = np.diff(edges)[:, None]
        share = np.clip((moments - edges[:-1, None]) / length, 0.0, 1.0)
        on = -np.expm1(-np.maximum(moments - edges[-1], 0.0) / prior.memory)
        shares = cause_shares(edges)
        at_last = shares[:, -1][state.cause] * state.extra
        taken = np.zeros((len(at_last), len(moments), at_last.shape[1]))
        goes_on = np.zeros_like(taken)
        some, zone = np.nonzero(state.cause)  # in few samples one acts
        caused = (shares @ share)[state.cause[some, zone]]
        taken[some, :, zone] = caused * state.extra[some, zone, None]
        late = on > 0.0
        more = on[late, None] * (prior.memory / length[-1])
        goes_on[:, late] = more * at_last[:, None]
        # Of those that act to the last, the chance that they outlast one knot more is
        # beta distributed, worth two knots seen: each that they outlasted counts.
        outlasted = np.maximum((shares > 0.0).sum(axis=1) - 1.0, 0.0)
        chance = (2.0 * self.chance + outlasted) / (2.0 + outlasted)
        return taken, goes_on, chance[state.cause]


def factors_of(
    foreseen: Exposure,
    before: RateState,
    after: RateState,
    unrecorded: Unrecorded,
    some: slice = slice(None),
) -> Factors:
    """Return by what the losses of the records are multiplied in a state.

    Parameters
    ----------
    foreseen : Exposure
        The records' losses.
    before, after : RateState
        The samples as drawn, and as they are now.
    unrecorded : Unrecorded
        When unrecorded causes take what they take.
    some : slice, optional
        Of the moments, those at which factors are asked for. Where plates were renewed
        all are told: what left with a plate is what it had lost by then.

    Returns
    -------
    Factors
        Pits as ``after`` says, each for itself: see `Plates`.
    """
    prior = foreseen.prior
    rates = after.rates(prior) / foreseen.unit()[..., None]
    works, zones = foreseen.works, np.arange(rates.shape[1])
    some = slice(None) if any(one.renewed.any() for one in works) else some
    moments, sea = foreseen.moments[some], foreseen.sea[:, some]
    weighted, lost = np.empty_like(sea), np.zeros_like(rates[..., 0])
    begun = 0
    for knot, end in enumerate(prior.edges[1:]):
        rate = rates[..., knot]
        at_start = foreseen.at(foreseen.sea, prior.edges[knot] + 0.0 * zones, zones)
        last = knot == prior.knots - 1  # it takes what is left
        done = len(moments) if last else int(np.searchsorted(moments, end, "right"))
        for at in range(begun, done):
            weighted[:, at] = lost + rate * np.maximum(sea[:, at] - at_start, 0.0)
        begun = done
        at_end = foreseen.at(foreseen.sea, end + 0.0 * zones, zones)
        lost = lost + rate * np.maximum(at_end - at_start, 0.0)
    of_plate = in_plate(weighted, moments, works)
    recorded = in_plate(sea, moments, works)
    rate = whole = _over(of_plate, recorded, rates[..., 0])
    if of_plate is not weighted:
        whole = _over(weighted, sea, rates[..., 0])
    own = after.zones - before.zones
    taken, goes_on, chance = unrecorded.lost(after, moments)
    lasts = unrecorded.lot < chance
    inner = after.shared @ prior.inside_shared
    return Factors(
        moments=moments,
        rate=rate,
        whole=whole,
        inside=np.exp(inner + after.zones[..., INSIDE] - foreseen.inner),
        pit=PitLaw(
            drawn=own[..., PIT],
            mean=own[..., PIT],
            sd=np.zeros_like(own[..., PIT]),
            most=np.full_like(own[..., PIT], np.inf),
            least=np.full_like(own[..., PIT], -np.inf),
        ),
        offset=own[..., OFFSET],
        extra=in_plate(taken + goes_on * lasts[:, None], moments, works),
        going_on=in_plate(goes_on, moments, works),
        lasts=lasts,
        lasts_chance=chance,
    )


def _over(lost: Array, recorded: Array, first: Array) -> Array:
    """Return one loss over the other, the first factor before anything was lost."""
    out = np.where(recorded > 0.0, 1.0, first[:, None])
    return np.divide(lost, recorded, out=out, where=recorded > 0.0)


@dataclass(frozen=True)
class Plates:
    """What was found out about pits.

    Attributes
    ----------
    inputs : ModelInputs
        The ship with everything drawn.
    foreseen : Exposure
        The records' losses.
    rows : Measured or None
        What was read.
    holed : collection of str
        Zones in which a hole was found.
    """

    inputs: ModelInputs
    foreseen: Exposure
    rows: Measured | None
    holed: Collection[str]

    @cached_property
    def _lots(self) -> Array:
        zones, draws = self.inputs.ship.zones, self.inputs.draws
        names = ("pits of the ship", *(f"hole {zone.zone}" for zone in zones))
        return np.stack([draws.block(name, 1)[:, 0] for name in names], axis=1)

    @cached_property
    def _yards(self) -> tuple[Array, Array]:
        plates, paint = self.inputs.zones.works, self.inputs.zones.paint
        as_of, count = self.inputs.time_grid.as_of, len(self.inputs.ship.zones)
        return last_sound(plates, paint, as_of), first_weld(plates, count, as_of)

    def looked_at(self, moments: Array) -> slice:
        """Return the recorded moments that `with_pits` needs, today the last."""
        as_of = self.inputs.time_grid.as_of
        first = np.nanmin([*np.concatenate(self._yards), as_of])
        at = int(np.searchsorted(moments, first, "right")) - 1
        return slice(at, int(np.searchsorted(moments, as_of)) + 1)

    def with_pits(
        self,
        shifted: LossHistory,
        factors: Factors,
        state: RateState,
        *,
        turned: bool = False,
    ) -> Factors:
        """Return the factors with what least readings and sound plates say of pits.

        Parameters
        ----------
        shifted : LossHistory
            As the gaugings say it went.
        factors : Factors
            By what they say so.
        state : RateState
            The samples.
        turned : bool, optional
            Whether uniform numbers are turned by half, so that two states of a sample
            draw from both halves of a law.
        """
        given, zones = self.inputs.draws.assumptions, self.inputs.ship.zones
        now = int(np.searchsorted(shifted.moments, self.inputs.time_grid.as_of))
        even = lost_evenly(self.inputs, shifted.moments[[now]], factors)[:, 0]
        whole = np.array([zone.built for zone in zones]) * self.inputs.zones.rolled
        left = np.maximum(whole + factors.offset - even, _LEAST)
        lean = self._lean(state)
        pits = pit_parts(self.inputs, shifted, now, even)
        read = np.zeros(len(zones), np.bool_)
        if self.rows is not None:
            read[self.rows.zone[self.rows.pitted]] = True
        deeper, met = self.foreseen.deeper, self.foreseen.met
        spots = np.asarray(met.any(axis=0))  # a least of some spots: no pit is less
        lots = (self._lots + 0.5 * turned) % 1.0
        gauged = state.zones[..., PIT] - self.foreseen.own[..., PIT] - lean
        power = given.value("pit_depth_power")
        gauged += beyond_the_loss(self.foreseen, self.rows, factors, power)
        told, weight, lot = by_spots(deeper, met, gauged, spots)
        sound, welded = (
            self._as_deep_as_welded(shifted, factors, when) for when in self._yards
        )
        law = pit_law(
            lots[:, 0],
            lots[:, 1:],
            PitPrior(
                recorded=deeper,
                sd=spread_alike(deeper, [z.exposure for z in zones]),
                shared=given.value("pit_shared_share"),
                unnoticed=given.value("hole_unnoticed_chance"),
                unwelded=given.value("pit_unwelded_chance"),
                hidden=given.value("pit_hidden_share"),
                otherwise=given.value("pit_welded_otherwise_chance"),
            ),
            PitEvidence(
                gauged=gauged + deeper,
                known=read & ~spots,
                least=np.where(spots, gauged + met, -np.inf),
                spots=told,
                weight=weight,
                lot=lot,
                room=np.log(pits.factor(left)) - lean,
                sound=np.array(
                    [z.exposure != "dry" and z.zone not in self.holed for z in zones]
                ),
                weld=np.where(np.isnan(sound), np.inf, sound) - lean,
                deep=np.where(np.isnan(welded), -np.inf, welded) - lean,
            ),
        )
        return replace(factors, pit=law.times(lean))

    def _as_deep_as_welded(
        self, shifted: LossHistory, factors: Factors, when: Array
    ) -> Array:
        """Return the logarithm of the factor at which pits were as deep as is welded.

        At a moment of each zone, (zones,) [s], before which nothing was done to it:
        (samples, zones) [-]; NaN where it has none.
        """
        moments, most = shifted.moments, self.inputs.zones.pit_left
        out = np.full(most.shape, np.nan)
        for date in np.unique(when[np.isfinite(when)]):
            at = int(np.searchsorted(moments, date, "right")) - 1
            even = lost_evenly(self.inputs, moments[[at]], factors)[:, 0]
            pits = pit_parts(self.inputs, shifted, at, even)
            room = np.log(pits.factor(most - even))
            out = np.where(when == date, room, out)
        return out

    def _lean(self, state: RateState) -> Array:
        """Return how pits move beyond the mean loss, (samples, zones) [-]."""
        shared = state.shared - self.foreseen.scores
        level = state.zones[..., LEVEL] - self.foreseen.own[..., LEVEL]
        lean = self.foreseen.lean
        return np.asarray(shared @ lean[:-1] + level * lean[-1])
