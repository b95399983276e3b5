"""What the records foresee, laid out by knot of time: the rate model's coefficients."""

from dataclasses import dataclass
from typing import Final

import numpy as np

from corrosion.foundation.assumptions import Assumptions
from corrosion.foundation.types import Array, IntArray
from corrosion.foundation.units import MM, YEAR
from corrosion.history.inputs import ModelInputs
from corrosion.history.loss import LossHistory
from corrosion.inspection.calibration.measurements import Measured
from corrosion.inspection.calibration.rate_model import RatePrior, cause_shares
from corrosion.inspection.calibration.readings import Readings
from corrosion.inspection.calibration.slopes import (
    centred,
    lean_of,
    slopes_of,
    standard,
)
from corrosion.inspection.calibration.spots import beside_pits, met_by_spots
from corrosion.inspection.outlook import inside_loss
from corrosion.inspection.pit_parts import deepest
from corrosion.wastage.apportionment import MULTIPLIERS
from corrosion.wastage.metals import metal
from corrosion.wastage.pits import deepest_pit
from corrosion.wastage.works import (
    PlateWork,
    in_plate,
    left_by_welds,
    of_all_plates,
    plate_age,
    plate_gain,
    plate_spans,
)

_LEAST: Final = 1e-9  # a standard deviation of what does not vary
_STEADY: Final = 1e-3  # wander of a rate that is stated not to wander [-]
_GROSS: Final = 3.0  # standard deviations of a slip beyond which none lies


@dataclass(frozen=True, slots=True, kw_only=True)
class Exposure:
    """A ship's loss without gaugings, by what may move it.

    Arrays are of shape (samples, zones) where no other is said.
    """

    moments: Array  # shape (moments,): when the history was recorded [s]
    works: tuple[PlateWork, ...]  # what was done to plates
    # shape (samples, moments, zones): natural loss of the sea side up to each, at the
    # sample's own rate, of plates that were renewed as well [m]
    sea: Array
    # shape (samples, moments, zones): all other loss of the sea side of the plate that
    # is there: taken less spared [m]
    other: Array
    inside: Array  # loss of the inner face at the sample's own rate [m/s]
    inner: Array  # its logarithm about the mean of the samples [-]
    # shape (samples, moments, zones): depth of the deepest pit, beside the dates at
    # which one was read [m]
    pit: Array
    # its logarithm at the date of the estimate about what ``lean`` foresees [-]
    deeper: Array
    # logarithm of the loss at the least of some readings over that at the deepest pit;
    # 0 where the pit itself was gauged [-]
    met: Array
    # shape (shared + 1, zones): how that logarithm goes with the unknowns that zones
    # share and with the zone's level: where more steel is bare more metal is lost, but
    # no pit is deeper [-]
    lean: Array
    # shape (samples, shared): normal scores of the unknowns that zones share
    scores: Array
    # shape (samples, zones, 4): each zone's level, inner face, thickness as rolled and
    # pit, as in `RateState`
    own: Array
    prior: RatePrior  # their prior

    def at(self, values: Array, moments: Array, zones: IntArray) -> Array:
        """Return values of zones at other moments, linear between, (samples, n)."""
        when = np.clip(moments, self.moments[0], self.moments[-1])
        after = np.clip(np.searchsorted(self.moments, when), 1, len(self.moments) - 1)
        length = self.moments[after] - self.moments[after - 1]
        part = (when - self.moments[after - 1]) / length
        early, late = values[:, after - 1, zones], values[:, after, zones]
        return np.asarray(early + part * (late - early))

    def by_knot(self, moments: Array, zones: IntArray, knots: int) -> Array:
        """Return the sea side's natural loss up to moments, (samples, n, knots) [m].

        Of the plate that is there then.
        """
        ends = np.minimum(moments[:, None], self.prior.edges[1 : knots + 1])
        ends[:, -1] = moments  # the last knot takes what is left
        starts = np.minimum(moments[:, None], self.prior.edges[:knots])
        zone = np.repeat(zones, knots)
        lost = np.zeros((len(self.sea), len(moments), knots))
        for early, late, share in plate_spans(self.works, moments, zones):
            spans = [
                self.at(self.sea, np.clip(t.ravel(), early, late), zone)
                for t in (starts, ends)
            ]
            gone = np.maximum(spans[1] - spans[0], 0.0).reshape(lost.shape)
            lost += share[:, None] * gone
        return lost

    def elapsed(self, moments: Array, zones: IntArray, knots: int) -> Array:
        """Return the share of each knot that plates saw until moments, (knots, n)."""
        edges = self.prior.edges[: knots + 1, None]
        seen = np.zeros((knots, len(moments)))
        for early, late, share in plate_spans(self.works, moments, zones):
            until = np.clip(moments, early, late)
            spans = np.clip(edges[1:], early, until) - np.clip(edges[:-1], early, until)
            seen += share * np.maximum(spans, 0.0)
        return np.asarray(seen / (edges[1:] - edges[:-1]))

    def unit(self) -> Array:
        """Return the factor of each sample's own rate, (samples, zones) [-]."""
        return np.asarray(np.exp(self.scores @ self.prior.shared + self.own[..., 0]))

    def readings(self, rows: Measured, knots: int, given: Assumptions) -> Readings:
        """Return the rows with what the records foresee for each."""
        share = given.value("gauging_slip_share")
        seen = given.value("gauging_slip_seen")
        zone, when = rows.zone, rows.moment
        own = self.unit()[:, zone]
        own_inside = np.exp(self.inner[:, zone])
        sea = self.by_knot(when, zone, knots)
        fixed = self.at(self.other, when, zone)
        age = plate_age(when, self.prior.edges[0], self.sea.shape[2], self.works)
        inside = self.inside[:, zone] * age[np.arange(len(when)), zone]
        pit = self.at(self.pit, when, zone)
        whole = sea.sum(axis=2) + fixed
        deeper = np.divide(
            pit - inside, whole, out=np.ones_like(pit), where=whole > _LEAST
        )
        deeper = np.where(rows.pitted, np.maximum(deeper, 1.0), 1.0)
        off = self.met[:, zone] - self.own[:, zone, 3]
        deeper = deeper * np.where(rows.pitted, np.exp(off), 1.0)
        shares = cause_shares(self.prior.edges[: knots + 1])
        # a wrong one may be off by any amount: gross ones are not to pull the others
        beyond = np.abs(rows.gone - np.median(whole * deeper + inside, axis=0))
        slip = given.value("gauging_slip_mm") * MM
        return Readings(
            zone=zone,
            campaign=rows.campaign,
            gone=rows.gone,
            sd=rows.sd,
            times=rows.times,
            backed=rows.backed,
            replaced=rows.replaced,
            slip_sd=np.maximum(slip, beyond / _GROSS),
            slip_prior=(share * seen, (1.0 - share) * seen),
            sea=sea * (deeper / own)[..., None],
            inside=inside / own_inside,
            fixed=fixed * deeper,
            caused=self.elapsed(when, zone, knots).T @ shares.T,
            pitted=rows.pitted,
            surfaces=rows.surfaces,
        )


def exposure(
    inputs: ModelInputs, history: LossHistory, edges: Array, rows: Measured | None
) -> Exposure:
    """Return the loss without gaugings, by what may move it.

    How strongly a shared unknown moves each zone's natural loss is told by the samples
    themselves, by least squares of its logarithm on the unknowns' normal scores; what
    that leaves is the zone's own. What is drawn for the zone alone stands beside the
    scores: else their slopes, which all samples share, err by as much as chances do.
    """
    from scipy.special import ndtri  # noqa: PLC0415 - importing corrosion stays light

    given, zones = inputs.draws.assumptions, inputs.zones
    half, twice = (history.multiplied[MULTIPLIERS.index(m)] for m in (0.5, 2.0))
    present = (twice - half).astype(np.float64) / 1.5
    whole_life = np.maximum.accumulate(
        of_all_plates(present, history.moments, zones.works), axis=1
    )
    sea = in_plate(whole_life, history.moments, zones.works)
    inside, lost_inside = zones.inner, inside_loss(inputs, history.moments)
    now = int(np.searchsorted(history.moments, inputs.time_grid.as_of))
    # gross: what protection leaves of it says little of the rate, and scatters widely
    whole = np.log(np.maximum(history.natural_sea_kg, _LEAST))
    law, seen = zones.paint.law, zones.paint.seen
    judged = seen[:, ~np.isnan(seen).any(axis=0)]
    eye = np.log(np.maximum(judged, 1e-6)).mean(axis=1) if judged.size else np.zeros(1)
    common = ndtri(inputs.draws.block("inside of the ship", 1)[:, 0])
    scores = standard(
        np.stack(
            [
                zones.natural_normal,
                np.broadcast_to(eye, zones.natural_normal.shape),
                np.log(np.asarray(law.life)[:, 0]),
                np.log(np.asarray(law.initial)[:, 0]),
                common,
            ],
            axis=1,
        )
    )
    about = whole - whole.mean(axis=0)
    unseen = np.isnan(seen).any(axis=0)
    own_seen = np.log(np.maximum(np.where(unseen, 1.0, seen), 1e-6)) - eye[:, None]
    drawn = [np.log(zones.natural), np.where(unseen, 0.0, own_seen)]
    loading = slopes_of(scores, drawn, about)[: scores.shape[1]]
    pit = history.mean.copy()
    for at in {now} | beside_pits(history.moments, rows):
        pit[:, at] = np.maximum(pit[:, at], deepest(inputs, history, at))
    gain = plate_gain(history.moments, sea.shape[2], zones.works)
    outer, deeper = (
        np.maximum(depth[:, now] + gain[now] - lost_inside[:, now], _LEAST)
        for depth in (history.mean, pit)
    )
    # a weld leaves what goes with the plate: there the law is of what pits grow by
    today = float(history.moments[now])
    welded = left_by_welds(zones.pit_left, zones.works, today)[0] > 0.0
    by_loss = deepest_pit(
        1.0,
        factor=zones.pitting,
        bare_area=history.bare[:, now] * inputs.hull.body.area,
        reference_area=given.value("pit_reference_m2"),
        uniform=zones.deepest,
        scale=given.value("pit_gumbel_scale"),
    )
    power = given.value("pit_depth_power")
    deeper = np.log(np.where(welded, by_loss, deeper / outer**power))
    spot = np.maximum(history.spot - lost_inside[:, now], _LEAST) / outer
    spot = power * centred(np.log(np.where(welded, 1.0, spot)))
    loading[-1] = 0.0  # the inside has no part in the sea side
    inner = centred(np.log(np.maximum(inside, 1e-30)))
    share = given.value("inside_shared_share")
    shared_inside = np.zeros_like(loading)
    shared_inside[-1] = np.sqrt(share) * inner.std(axis=0)
    level, deeper = about - scores @ loading, centred(deeper)
    lean = lean_of(scores, level, zones, deeper, spot)
    met = met_by_spots(inputs, history, rows)
    own = np.stack(
        [
            level,
            np.sqrt(1.0 - share) * inner,
            centred(zones.rolled * np.array([z.built for z in inputs.ship.zones])),
            deeper + centred(met),
        ],
        axis=2,
    )
    deviations = np.maximum(own.std(axis=0), _LEAST)
    wander = given["natural_wander"]
    ratio = np.array([metal(z.metal).natural_ratio for z in inputs.ship.zones])
    other = history.mean + gain  # large: in place
    other -= sea
    other -= lost_inside
    return Exposure(
        moments=history.moments,
        works=zones.works,
        sea=whole_life,
        other=other,
        inside=inside,
        inner=inner,
        pit=pit,
        deeper=deeper - scores @ lean[:-1] - level * lean[-1],
        met=met,
        lean=lean,
        scores=scores,
        own=own,
        prior=RatePrior(
            shared=loading,
            zone=deviations[:, 0],
            inside=deviations[:, 1],
            inside_shared=shared_inside,
            offset=deviations[:, 2],
            pit=deviations[:, 3],
            wander=max(float(np.log(wander.geometric_sd)), _STEADY),
            # steel's, and of other metals as nature takes less of them
            extra=given.value("unrecorded_loss_mm") * MM * np.maximum(ratio, 1e-6),
            extra_share=given.value("unrecorded_share"),
            extra_lasts=given.value("unrecorded_lasts"),
            edges=edges,
            memory=given.value("natural_memory_years") * YEAR,
            learned=float(np.log(given["natural_spread_factor"].geometric_sd)),
        ),
    )
