"""By what a state of the samples multiplies the depth of pits."""

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
from corrosion.inspection.calibration.pit_evidence import PitEvidence, PitPrior
from corrosion.inspection.calibration.pits import beyond_the_loss, by_spots, pit_law
from corrosion.inspection.calibration.rate_model import LEVEL, PIT, RateState
from corrosion.inspection.calibration.slopes import spread_alike
from corrosion.inspection.factors import Factors
from corrosion.inspection.outlook import lost_evenly
from corrosion.inspection.pit_parts import pit_parts
from corrosion.wastage.yard_looks import first_weld, last_sound, welds_by_place

_LEAST: Final = 1e-9  # of a depth of which the logarithm is taken [m]


@dataclass(frozen=True)
class Plates:
    """The plates of a ship, and what was found out about their pits."""

    inputs: ModelInputs  # the ship with everything drawn
    foreseen: Exposure  # the records' losses
    rows: Measured | None  # what was read
    holed: Collection[str]  # zones in which a hole was found

    @cached_property
    def _lots(self) -> Array:
        zones, draws = self.inputs.ship.zones, self.inputs.draws
        names = ("pits of the ship", *(f"hole {zone.zone}" for zone in zones))
        return np.stack([draws.block(name, 1)[:, 0] for name in names], axis=1)

    @cached_property
    def _through_lots(self) -> Array:
        zones, draws = self.inputs.ship.zones, self.inputs.draws
        lots = [draws.block(f"through {zone.zone}", 1)[:, 0] for zone in zones]
        return np.stack(lots, axis=1)

    @cached_property
    def _yards(self) -> tuple[Array, Array]:
        plates, paint = self.inputs.zones.works, self.inputs.zones.paint
        as_of, count = self.inputs.time_grid.as_of, len(self.inputs.ship.zones)
        return last_sound(plates, paint, as_of), first_weld(plates, count, as_of)

    @cached_property
    def _welds(self) -> tuple[Array, Array]:
        return welds_by_place(self.inputs.ship, self.inputs.time_grid.as_of)

    def looked_at(self, moments: Array) -> slice:
        """Return the recorded moments that `with_pits` needs, today the last."""
        as_of = self.inputs.time_grid.as_of
        dates = [*self._yards, *map(np.ravel, self._welds)]
        first = np.nanmin([*np.concatenate(dates), as_of])
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
        most = self.inputs.zones.pit_left
        sound, welded = (
            self._grown_to(most, shifted, factors, when) for when in self._yards
        )
        afloat, docked = self._welds
        leaked = np.isfinite(afloat)
        through = np.full(left.shape, np.nan)
        for when in (afloat, *np.where(leaked, np.nan, docked)):
            grown = self._grown_to(whole + factors.offset, shifted, factors, when)
            through = np.fmin(through, grown)
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
                mended=given.value("pit_afloat_otherwise_chance"),
                waits=given.value("pit_leak_waits_chance"),
                again=float(np.log(given["pit_next_factor"].geometric_sd)),
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
                through=through - lean,
                leaked=leaked,
                through_lot=(self._through_lots + 0.5 * turned) % 1.0,
            ),
        )
        return replace(factors, pit=law.times(lean))

    def _grown_to(
        self, depth: Array, shifted: LossHistory, factors: Factors, when: Array
    ) -> Array:
        """Return the logarithm of the factor at which pits were so deep [m].

        At a moment of each zone, (zones,) [s], as works before had left it:
        (samples, zones) [-]; NaN where it has none.
        """
        moments = shifted.moments
        out = np.full(depth.shape, np.nan)
        for date in np.unique(when[np.isfinite(when)]):
            at = int(np.searchsorted(moments, date, "right")) - 1
            even = lost_evenly(self.inputs, moments[[at]], factors)[:, 0]
            pits = pit_parts(self.inputs, shifted, at, even)
            room = np.log(pits.factor(depth - even))
            out = np.where(when == date, room, out)
        return out

    def _lean(self, state: RateState) -> Array:
        """Return how pits move beyond the mean loss, (samples, zones) [-]."""
        shared = state.shared - self.foreseen.scores
        level = state.zones[..., LEVEL] - self.foreseen.own[..., LEVEL]
        lean = self.foreseen.lean
        return np.asarray(shared @ lean[:-1] + level * lean[-1])
