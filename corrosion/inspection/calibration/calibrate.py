"""What the gaugings teach: every sample of the estimate moved to meet them."""

import hashlib
from dataclasses import dataclass, replace

import numpy as np

from corrosion.foundation.types import Array, BoolArray
from corrosion.history.inputs import ModelInputs
from corrosion.history.loss import LossHistory
from corrosion.inspection.calibration.disagreement import Disagreement, disagreements
from corrosion.inspection.calibration.exposure import Exposure, exposure, knots
from corrosion.inspection.calibration.measurements import Measured, measured
from corrosion.inspection.calibration.moved_history import moved
from corrosion.inspection.calibration.rate_model import (
    EXTRA,
    INSIDE,
    OFFSET,
    OWN,
    PIT,
    WANDER,
    RatePrior,
    RateState,
)
from corrosion.inspection.calibration.sampler import Moved, move_samples
from corrosion.inspection.factors import Factors

__all__ = ["Calibration", "calibrate"]


@dataclass(frozen=True, slots=True, kw_only=True)
class Calibration:
    """What the gaugings taught.

    Attributes
    ----------
    factors : Factors
        By what each sample's losses are multiplied.
    before : ndarray, shape (samples, zones)
        Thickness left at the date of the estimate without any gauging. [m]
    measured : Measured or None
        The gaugings as rows; None: there are none.
    predicted : ndarray, shape (samples, rows)
        Thickness at each row as estimated without any gauging. [m]
    wrong : ndarray, shape (rows,)
        Chance that each is wrong: a slip, another zone. [-]
    bias : ndarray, shape (samples, rows)
        By how much each row's campaign reads too thick. [m]
    unexplained_kg : ndarray, shape (samples, zones)
        Natural loss that the gaugings show beyond the records' at prior medians. [kg]
    disagreements : tuple of Disagreement
        Gaugings that the estimate did not foresee, the worst first.
    sweeps : int
        How many sweeps the samples were moved.
    mixed : bool
        Whether they had forgotten where they started.
    """

    factors: Factors
    before: Array
    measured: Measured | None
    predicted: Array
    wrong: Array
    bias: Array
    unexplained_kg: Array
    disagreements: tuple[Disagreement, ...]
    sweeps: int
    mixed: bool

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

    def moved(self, inputs: ModelInputs, history: LossHistory) -> LossHistory:
        """Return a history, or one of a what-if, as the gaugings say it went."""
        return moved(inputs, history, self.factors)


def calibrate(inputs: ModelInputs, history: LossHistory) -> Calibration:
    """Move every sample so that it meets the gaugings.

    Parameters
    ----------
    inputs : ModelInputs
        The ship with everything drawn.
    history : LossHistory
        What was lost, sample by sample, by the records alone.

    Returns
    -------
    Calibration
        A ship never gauged keeps the whole spread of her prior, the wander of the rates
        in it.
    """
    ship, draws = inputs.ship, inputs.draws
    rows = measured(ship) if ship.gaugings else None
    start = inputs.time_grid.start
    edges, known = knots(rows, start, float(history.moments[-1]))
    foreseen = exposure(inputs, history, edges)
    prior = foreseen.prior
    before, lasts = _start(inputs, foreseen, rows, known)
    unrecorded = _Unrecorded(foreseen, known, inputs.time_grid.as_of, lasts)
    factors = _factors(foreseen, before, before, unrecorded)
    alone = moved(inputs, history, factors)
    built = np.array([zone.built for zone in ship.zones])
    now = int(np.searchsorted(history.moments, inputs.time_grid.as_of))
    left = built * inputs.zones.rolled + factors.offset
    calibration = Calibration(
        factors=factors,
        before=np.maximum(left - alone.mean[:, now], 0.0),
        measured=rows,
        predicted=np.zeros((draws.samples, 0)),
        wrong=np.zeros(0),
        bias=np.zeros((draws.samples, 0)),
        unexplained_kg=np.zeros_like(alone.natural_sea_kg),
        disagreements=(),
        sweeps=0,
        mixed=True,
    )
    if rows is None:
        return calibration
    readings = foreseen.readings(rows, known, draws.assumptions)
    short = replace(before, zones=before.zones[..., : OWN + known])
    predicted = built[rows.zone] - readings.of_all(short, prior.until(known))
    rng = _generator(inputs)
    with np.errstate(over="ignore", under="ignore"):
        found = move_samples(rng, short, prior.until(known), readings)
    after = _whole(found, before, prior, known)
    factors = _factors(foreseen, before, after, unrecorded)
    shifted = moved(inputs, history, factors)
    at_median = history.natural_sea_kg / foreseen.unit()
    return replace(
        calibration,
        factors=factors,
        predicted=predicted,
        wrong=found.wrong,
        bias=found.state.bias[:, rows.campaign],
        unexplained_kg=shifted.natural_sea_kg - at_median,
        disagreements=disagreements(predicted, rows, ship),
        sweeps=found.sweeps,
        mixed=found.mixed,
    )


def _generator(inputs: ModelInputs) -> np.random.Generator:
    digest = hashlib.sha256(f"{inputs.draws.seed} calibration".encode()).digest()
    return np.random.default_rng(np.frombuffer(digest, dtype=np.uint32))


def _start(
    inputs: ModelInputs, foreseen: Exposure, rows: Measured | None, known: int
) -> tuple[RateState, BoolArray]:
    """Return the samples of the estimate as samples of the rate model's prior.

    And where an unrecorded cause goes on after the last gauging, (samples, zones).
    """
    from scipy.special import ndtri  # noqa: PLC0415 - importing corrosion stays light

    draws, prior = inputs.draws, foreseen.prior
    cause = np.zeros(foreseen.own.shape[:2], np.int64)
    lasts = np.zeros(cause.shape, np.bool_)
    normal = np.zeros((*cause.shape, OWN + prior.knots))
    knots = max(known, 1)
    for k, zone in enumerate(inputs.ship.zones):
        uniform = draws.block(f"wander {zone.zone}", prior.knots + 3)
        normal[:, k, WANDER] = ndtri(uniform[:, 3:])
        normal[:, k, EXTRA] = np.abs(ndtri(uniform[:, 1]))
        share = np.maximum(prior.extra_share, 1e-12)
        which = np.ceil(knots * uniform[:, 0] / share)
        cause[:, k] = np.where(which <= knots, which, 0)
        lasts[:, k] = uniform[:, 2] < draws.value("unrecorded_lasts")
    zones = prior.scaled(normal, slice(None))
    zones[..., :EXTRA] = foreseen.own
    campaigns = 0 if rows is None else len(rows.surfaces.chance)
    uniform = draws.block("campaigns", 2 * campaigns + 1)
    surface = np.zeros((draws.samples, campaigns), np.int64)
    bias = np.zeros((draws.samples, campaigns))
    if rows is not None:
        kinds = rows.surfaces
        reached = np.cumsum(kinds.chance, axis=1)
        drawn = uniform[:, 1 : campaigns + 1, None]
        surface = (reached < drawn).sum(axis=2).clip(0, kinds.mean.size - 1)
        score = ndtri(uniform[:, campaigns + 1 :])
        bias = kinds.mean[surface] + kinds.sd[surface] * score
    from scipy.special import betaincinv  # noqa: PLC0415 - importing stays light

    seen = draws.value("gauging_slip_seen")
    share = draws.value("gauging_slip_share")
    slips = betaincinv(share * seen, (1.0 - share) * seen, uniform[:, 0])
    state = RateState(
        shared=foreseen.scores,
        zones=zones,
        bias=bias,
        surface=surface,
        slips=np.asarray(slips).clip(1e-6, 1.0 - 1e-6),
        spread=np.ones((draws.samples, 3)),
        cause=cause,
    )
    return state, lasts


def _whole(found: Moved, before: RateState, prior: RatePrior, known: int) -> RateState:
    """Return the moved state over all knots, and for zones never gauged.

    What follows the last reading remembers it, with the noise that each sample had.
    """
    scale = before.wander_scale(prior)[..., None]
    noise = (before.zones[..., WANDER] / scale) @ np.linalg.inv(prior.root).T
    ahead = prior.ahead(
        found.state.zones[..., WANDER],
        noise[..., known:],
        found.state.wander_scale(prior),
    )
    zones = np.concatenate([found.state.zones[..., :OWN], ahead], axis=2)
    return replace(found.state, zones=zones)


@dataclass(frozen=True, slots=True)
class _Unrecorded:
    """When a cause that no record names takes how much of what it takes.

    Attributes
    ----------
    foreseen : Exposure
        Moments and knots.
    known : int
        Knots that readings tell of; 0: it acts from her building to ``now``.
    now : float
        Date of the estimate. [s]
    lasts : ndarray of bool, shape (samples, zones)
        Where one of the last knot goes on, and is forgotten as rates are.
    """

    foreseen: Exposure
    known: int
    now: float
    lasts: BoolArray

    def lost(self, state: RateState) -> Array:
        """Return what was lost by each moment, (samples, moments, zones) [m]."""
        prior, moments = self.foreseen.prior, self.foreseen.moments
        edges = prior.edges[: self.known + 1]
        if not self.known:
            edges = np.array([prior.edges[0], self.now])
        length = np.diff(edges)[:, None]
        share = np.clip((moments - edges[:-1, None]) / length, 0.0, 1.0)
        on = -np.expm1(-np.maximum(moments - edges[-1], 0.0) / prior.memory)
        more = self.lasts & (state.cause == len(length))
        table = np.vstack([0.0 * moments, share])[state.cause].transpose(0, 2, 1)
        goes_on = on[:, None] * prior.memory / length[-1] * more[:, None]
        return np.asarray((table + goes_on) * state.extra[:, None])


def _factors(
    foreseen: Exposure, before: RateState, after: RateState, unrecorded: _Unrecorded
) -> Factors:
    """Return by what the losses of the records are multiplied in a state."""
    prior = foreseen.prior
    rates = after.rates(prior) / foreseen.unit()[..., None]
    moments, zones = foreseen.moments, np.arange(rates.shape[1])
    weighted, lost = np.empty_like(foreseen.sea), np.zeros_like(rates[..., 0])
    begun = 0
    for knot, end in enumerate(prior.edges[1:]):
        rate = rates[..., knot]
        at_start = foreseen.at(foreseen.sea, prior.edges[knot] + 0.0 * zones, zones)
        last = knot == prior.knots - 1  # it takes what is left
        done = len(moments) if last else int(np.searchsorted(moments, end, "right"))
        for at in range(begun, done):
            whole = foreseen.sea[:, at]
            gone = lost + rate * np.maximum(whole - at_start, 0.0)
            weighted[:, at] = np.divide(
                gone, whole, out=rates[..., 0].copy(), where=whole > 0.0
            )
        begun = done
        at_end = foreseen.at(foreseen.sea, end + 0.0 * zones, zones)
        lost = lost + rate * np.maximum(at_end - at_start, 0.0)
    own = after.zones - before.zones
    inner = after.shared @ prior.inside_shared
    return Factors(
        moments=moments,
        rate=weighted,
        inside=np.exp(inner + after.zones[..., INSIDE] - foreseen.inner),
        pit=np.exp(own[..., PIT]),
        offset=own[..., OFFSET],
        extra=unrecorded.lost(after),
    )
