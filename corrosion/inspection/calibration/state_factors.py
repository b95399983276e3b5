"""By what a state of the samples multiplies the losses of the records."""

from dataclasses import dataclass

import numpy as np

from corrosion.foundation.types import Array
from corrosion.inspection.calibration.exposure import Exposure
from corrosion.inspection.calibration.rate_model import (
    INSIDE,
    OFFSET,
    PIT,
    RateState,
    cause_shares,
)
from corrosion.inspection.factors import Factors, PitLaw
from corrosion.wastage.works import in_plate


@dataclass(frozen=True, slots=True)
class Unrecorded:
    """When a cause that no record names takes how much of what it takes."""

    foreseen: Exposure  # moments and knots
    known: int  # knots that readings tell of; 0: it acts from her building to ``now``
    now: float  # date of the estimate [s]
    # shape (samples, zones): uniform numbers that draw whether one that acts in the
    # last knot goes on, and is then forgotten as rates are [-]
    lot: Array
    chance: float  # chance that one does that acted in no other knot [-]

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
