"""What the gaugings teach: every sample of the estimate moved to meet them."""

from collections.abc import Callable, Collection
from dataclasses import dataclass, replace
from functools import partial
from typing import Final

import numpy as np

from corrosion.foundation.parallel import Begun
from corrosion.foundation.types import Array, IntArray
from corrosion.history.inputs import ModelInputs
from corrosion.history.loss import LossHistory
from corrosion.inspection.calibration.blocks import move_in_blocks
from corrosion.inspection.calibration.conflict import (
    ENOUGH,
    LeftOut,
    PriorConflict,
    leave_out,
    prior_conflict,
)
from corrosion.inspection.calibration.disagreement import Disagreement, disagreements
from corrosion.inspection.calibration.exposure import exposure
from corrosion.inspection.calibration.measurements import Measured, knots, measured
from corrosion.inspection.calibration.moved_history import moved, only
from corrosion.inspection.calibration.pit_factors import Plates
from corrosion.inspection.calibration.rate_model import OWN, RateState
from corrosion.inspection.calibration.renewals import with_renewals
from corrosion.inspection.calibration.state_factors import Unrecorded, factors_of
from corrosion.inspection.calibration.states import start_of, whole
from corrosion.inspection.factors import Factors

_EARLIER: Final = 1  # states beside the last over which chances are averaged


@dataclass(frozen=True, slots=True, kw_only=True)
class Calibration:
    """What the gaugings taught.

    Arrays are of shape (samples, rows) where no other is said.
    """

    factors: Factors  # by what each sample's losses are multiplied
    # the same in states of the samples some sweeps before, for chances that are
    # averaged over them all: of later moments, and as far back as welds are told of
    earlier: tuple[Factors, ...]
    # shape (samples, zones): thickness left at the date of the estimate
    # without any gauging [m]
    before: Array
    measured: Measured | None  # the gaugings as rows; None: there are none
    predicted: Array  # thickness at each row as estimated without any gauging [m]
    wrong: Array  # shape (rows,): chance that each is wrong: a slip, another zone [-]
    bias: Array  # by how much each row's campaign reads too thick [m]
    # gaugings that the estimate did not foresee, the worst first
    disagreements: tuple[Disagreement, ...]
    # how the gaugings lie to what was foreseen, all together
    conflict: PriorConflict | None
    left_out: LeftOut | None  # how well each campaign is foreseen from the others
    sweeps: int  # how many sweeps the samples were moved
    mixed: bool  # whether they had forgotten where they started

    @property
    def unsettled(self) -> list[str]:
        """Whether the samples had not settled, as a doubt; else empty."""
        if self.mixed:
            return []
        return [
            "the samples had not settled on what the gaugings say after "
            f"{self.sweeps} sweeps: gaugings that contradict each other, or "
            "wrong ones, are the likeliest reason; take the intervals as rough"
        ]

    @property
    def lessons(self) -> list[str]:
        """What the gaugings say against the records: once for the ship, then by zone.

        Where the whole ship lies on one side, zones on that side are not said again.
        """
        ship = self.conflict
        if ship is None or not ship.conflict:
            return [one.words for one in self.disagreements]
        side = 1.0 if ship.ratio > 1.0 else -1.0
        others = [one.words for one in self.disagreements if one.residual * side > 0.0]
        return [ship.words, *others]

    def moved(self, inputs: ModelInputs, history: LossHistory) -> LossHistory:
        """Return a history, or one of a what-if, as the gaugings say it went."""
        return moved(inputs, history, self.factors)

    def moved_earlier(
        self, inputs: ModelInputs, history: LossHistory
    ) -> list[LossHistory]:
        """Return the same as by each of ``earlier``, from the date of the estimate."""
        now = int(np.searchsorted(history.moments, inputs.time_grid.as_of))
        ahead = only(history, slice(now, None))
        return [moved(inputs, ahead, factors) for factors in self.earlier]


def calibrate(
    inputs: ModelInputs, history: LossHistory, *, holed: Collection[str] = ()
) -> tuple[Calibration, LossHistory]:
    """Move every sample so that it meets the gaugings.

    Parameters
    ----------
    inputs : ModelInputs
        The ship with everything drawn.
    history : LossHistory
        What was lost, sample by sample, by the records alone.
    holed : collection of str, optional
        Zones in which a hole was found: what says that others are not is not said of
        these.

    Returns
    -------
    calibration : Calibration
        A ship never gauged keeps the whole spread of her prior, the wander of the rates
        in it.
    history : LossHistory
        As the gaugings say it went.
    """
    ship, draws = inputs.ship, inputs.draws
    read = measured(ship) if ship.gaugings else None
    rows = with_renewals(read, ship, inputs.time_grid.as_of)
    start = inputs.time_grid.start
    edges, known = knots(read or rows, start, float(history.moments[-1]))
    foreseen = exposure(inputs, history, edges, rows)
    prior = foreseen.prior
    before, lot = start_of(inputs, foreseen, rows, known)
    unrecorded = Unrecorded(
        foreseen,
        known,
        inputs.time_grid.as_of,
        lot,
        prior.extra_lasts,
    )
    now = int(np.searchsorted(history.moments, inputs.time_grid.as_of))
    # by the records alone: of the day of the estimate, where gaugings tell the rest
    some = slice(None) if rows is None else slice(now, now + 1)
    factors = factors_of(foreseen, before, before, unrecorded, some)
    records = history if rows is None else only(history, some)
    alone = moved(inputs, records, factors)
    plates = Plates(inputs, foreseen, rows, holed)
    built = np.array([zone.built for zone in ship.zones])
    left = built * inputs.zones.rolled + factors.offset
    calibration = Calibration(
        factors=factors,
        earlier=(),
        before=np.maximum(left - alone.mean[:, now if rows is None else 0], 0.0),
        measured=read,
        predicted=np.zeros((draws.samples, 0)),
        wrong=np.zeros(0),
        bias=np.zeros((draws.samples, 0)),
        disagreements=(),
        conflict=None,
        left_out=None,
        sweeps=0,
        mixed=True,
    )
    if rows is None:
        factors = plates.with_pits(alone, factors, before)
        return replace(calibration, factors=factors), alone
    readings = foreseen.readings(rows, known, draws.assumptions)
    short = replace(before, zones=before.zones[..., : OWN + known])
    predicted = built[rows.zone] - readings.of_all(short, prior.until(known))
    campaigns = 0 if read is None else len(read.surfaces.chance)
    others: Callable[[], LeftOut] = partial(
        leave_out,
        draws.generator("campaigns left out"),
        short,
        prior.until(known),
        readings,
        campaigns,
    )
    if campaigns >= ENOUGH:  # of what is moved here they know nothing: a child's work
        others = Begun(others).result
    found = move_in_blocks(draws, short, prior.until(known), readings, more=_EARLIER)

    def told(state: RateState, *, turned: bool = False) -> tuple[LossHistory, Factors]:
        after = whole(state, before, prior, known, turned=turned)
        some = plates.looked_at(history.moments)
        ahead = slice(some.start if turned else 0, None)
        factors = factors_of(foreseen, before, after, unrecorded, ahead)
        shifted = moved(inputs, only(history, some) if turned else history, factors)
        return shifted, plates.with_pits(shifted, factors, after, turned=turned)

    shifted, factors = told(found.state)
    calibration = replace(
        calibration,
        factors=factors,
        earlier=tuple(told(state, turned=True)[1] for state in found.earlier),
        sweeps=found.sweeps,
        mixed=found.mixed,
    )
    if read is None:
        return calibration, shifted
    own = slice(len(read.zone))  # of gaugings; renewals follow
    bias, predicted = found.state.bias[:, read.campaign], predicted[:, own]
    gauged = np.unique(read.zone)
    calibration = replace(
        calibration,
        predicted=predicted,
        wrong=found.wrong[own],
        bias=bias,
        disagreements=disagreements(predicted, read, ship),
        conflict=prior_conflict(
            predicted,
            read,
            built[read.zone] - read.gone - np.median(bias, axis=0),
            (_lost(alone, gauged), _lost(shifted, gauged)),
        ),
        left_out=others(),
    )
    return calibration, shifted


def _lost(history: LossHistory, zones: IntArray) -> Array:
    """Return what some zones lost together, (samples,) [kg]."""
    return np.asarray(history.lost_kg[:, zones].sum(axis=1))
