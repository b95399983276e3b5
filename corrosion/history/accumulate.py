"""The account of one scenario for a block of samples, while time goes on."""

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from corrosion.foundation.types import Array, BoolArray, IntArray
from corrosion.history.inputs import LossHistory, ModelInputs
from corrosion.history.nonlinear_states import nonlinear_states
from corrosion.history.paths import CurrentPaths
from corrosion.leakage.fault_currents import SystemCurrents, fault_currents
from corrosion.leakage.standing_times import FaultIntervals, constant_intervals
from corrosion.wastage.apportionment import CurrentSource, StepLoss, net_and_apportion
from corrosion.wastage.metals import metal

__all__ = ["LossAccumulator"]


@dataclass(slots=True)
class _Depth:
    """Loss of thickness on one account, shape (samples, zones) each [m].

    ``mean`` over the zone; at a bare spot, what was ``worn`` off evenly before the
    last painting and from the inner face, and the outer face's loss ``since`` then.
    """

    mean: Array
    worn: Array
    since: Array

    @classmethod
    def none(cls, shape: tuple[int, ...]) -> "_Depth":
        return cls(np.zeros(shape), np.zeros(shape), np.zeros(shape))

    def painted(self, zones: BoolArray) -> None:
        """Begin anew at the bare spots of zones, which paint has covered."""
        self.worn[:, zones] = self.mean[:, zones]
        self.since[:, zones] = 0.0

    def at_spots(self, outer: Array, inner: Array, *, fresh: BoolArray) -> None:
        """Add the loss of a slab at small bare spots, when the mean has had its."""
        self.worn = np.where(fresh, self.worn + inner, self.mean)
        self.since = np.where(fresh, self.since + outer, 0.0)


def _by_current(
    flows: Sequence[tuple[SystemCurrents, CurrentSource]],
) -> tuple[list[CurrentSource], list[CurrentSource]]:
    """Return direct flows, and alternating ones."""
    return (
        [flow for leak, flow in flows if leak.current == "dc"],
        [flow for leak, flow in flows if leak.current == "ac"],
    )


class LossAccumulator:
    """The losses of one scenario for a block of samples, while time goes on."""

    def __init__(
        self,
        inputs: ModelInputs,
        spans: FaultIntervals,
        history: LossHistory,
        rows: slice,
    ) -> None:
        self.inputs = inputs
        self.history = history
        self.rows = rows
        self.began, self.ended = spans.began[rows], spans.ended[rows]
        self.first, self.last = self.began.min(axis=0), self.ended.max(axis=0)
        shape = history.natural_kg[rows].shape
        self.natural = _Depth.none(shape)
        self.stray = _Depth.none(shape)
        self.charged = np.zeros_like(history.charged)
        stood = np.minimum(self.ended, inputs.time_grid.as_of) - self.began
        history.seconds[rows] = np.maximum(stood, 0.0)

    def turn_to(self, moment: float) -> None:
        """Begin a slab at a moment: zones that are painted then, are."""
        zones = (self.inputs.zones.paintings == moment).any(axis=0)
        for depth in (self.natural, self.stray):
            depth.painted(zones)

    def slab(
        self,
        routes: CurrentPaths,
        number: int,
        start: Array,
        end: Array,
        natural: Array,
    ) -> None:
        """Book what one berth took from every zone during a slab."""
        inputs, wet = self.inputs, routes.wet
        berth = inputs.periods[number].berth
        standing = np.flatnonzero(
            (self.first < routes.late) & (self.last > routes.early)
        )
        duration, active = constant_intervals(
            self.began[:, standing], self.ended[:, standing], start, end
        )
        leaking = fault_currents(
            inputs.ship,
            inputs.faults,
            berth,
            active=active,
            standing=standing,
            rows=self.rows,
            shore_earth=routes.unknowns.shore_earth_at(berth),
        )
        flows = [(leak, routes.flow(number, leak)) for leak in leaking]
        span = (end - start)[:, None]
        rate = np.divide(natural, span, out=np.zeros_like(natural), where=span > 0.0)
        couple = np.zeros((len(start), len(wet)))
        if berth.earth_cable is not None and not berth.galvanic_isolator:
            couple = routes.solved(number, 0.0).couple * routes.density(0.0)
        protection = np.array([inputs.ship.zones[k].protection for k in wet])
        fraction = inputs.zones.fraction[self.rows]
        direct, alternating = routes.total_over_bare_current()
        bent = nonlinear_states(routes, number, duration, flows)
        straight = duration.copy() if bent else duration
        for states in bent:
            straight[states.sample, states.stretch] = 0.0
        booked = net_and_apportion(
            straight,
            natural=rate[:, wet],
            protection=protection,
            couple=couple,
            flows=_by_current(flows),
            fraction=fraction,
            through=(direct, alternating),
        )
        counted = routes.late <= inputs.time_grid.as_of
        if counted:
            self._cross(straight, flows, np.arange(len(start)))
        for states in bent:
            seconds = duration[states.sample, states.stretch][:, None]
            added = net_and_apportion(
                seconds,
                natural=rate[states.sample][:, wet],
                protection=protection,
                couple=states.couple * states.density,
                flows=_by_current(states.flows),
                fraction=fraction[states.sample],
                through=(states.through, alternating[states.sample]),
            )
            booked.add_rows(added, states.sample)
            if counted:
                self._cross(seconds, states.flows, states.sample)
                np.add.at(
                    self.history.nonlinear_seconds[self.rows, number],
                    states.sample,
                    seconds[:, 0],
                )
        self._thin(routes, natural, booked, end - start)
        if counted:
            self._charge(routes, booked)

    def _thin(
        self, routes: CurrentPaths, natural: Array, booked: StepLoss, seconds: Array
    ) -> None:
        """Take the loss of a slab off every zone."""
        by_nature = natural.copy()
        by_nature[:, routes.wet] = booked.natural
        by_strays, at_holidays = np.zeros((2, *natural.shape))
        by_strays[:, routes.wet] = booked.metal
        at_holidays[:, routes.wet] = routes.at_holidays(booked)
        inputs, kept, rows = self.inputs, self.history, self.rows
        fresh = inputs.zones.bare_since(0.5 * (routes.early + routes.late))
        inner = inputs.zones.inner[rows] * seconds[:, None]
        counted = routes.late <= inputs.time_grid.as_of
        nothing = np.zeros_like(inner)
        for charge, local, within, depth, kg in (
            (by_nature, by_nature, inner, self.natural, kept.natural_kg),
            (by_strays, at_holidays, nothing, self.stray, kept.stray_kg),
        ):
            before = depth.mean.copy()
            depth.mean += charge / inputs.dissolution * routes.bare + within
            depth.at_spots(local / inputs.dissolution, within, fresh=fresh)
            if counted:
                lost = (depth.mean - before) * inputs.hull.body.area
                kg[rows] += lost * self._density()

    def _density(self) -> Array:
        return np.array([metal(z.metal).density for z in self.inputs.ship.zones])

    def _charge(self, routes: CurrentPaths, booked: StepLoss) -> None:
        """Charge the loss of a slab to faults and couple."""
        kept, rows, wet = self.history, self.rows, routes.wet
        area = routes.bare[:, wet] * self.inputs.hull.body.area[wet]
        to_kg = (self._density() / self.inputs.dissolution)[wet] * area
        kept.couple_kg[rows, wet] += booked.couple * to_kg
        kept.peak[rows, wet] = np.maximum(kept.peak[rows, wet], booked.peak)
        for faults, coulombs in booked.by_fault:
            kg = coulombs * to_kg[:, None, :]
            kept.fault_kg[rows, faults] += kg.sum(axis=2)
            self.charged[np.ix_(faults, wet)] += kg.sum(axis=0)

    def _cross(
        self,
        duration: Array,
        flows: Sequence[tuple[SystemCurrents, CurrentSource]],
        sample: IntArray,
    ) -> None:
        """Count the charge of each fault, and what of it crosses the water.

        Of the samples (one may come more than once) to which the rows belong.
        """
        kept, rows = self.history, self.rows
        for leak, flow in flows:
            charge = np.einsum("skf,sk->sf", np.abs(leak.amps), duration)
            crossing = np.maximum(flow.transfer, 0.0).sum(axis=2)
            crossed = charge * crossing[:, : len(leak.faults)]
            at = np.ix_(sample, leak.faults)
            np.add.at(kept.charge[rows], at, charge)
            np.add.at(kept.water_charge[rows], at, crossed)

    def record(self, moment: float, bare: Array) -> None:
        """Write down the state at a recorded moment."""
        at = np.flatnonzero(self.history.moments == moment)
        if not at.size:
            return
        kept, rows, k = self.history, self.rows, int(at[0])
        both = (self.natural, self.stray)
        kept.mean[rows, k] = sum(depth.mean for depth in both)
        kept.worn[rows, k] = sum(depth.worn for depth in both)
        kept.since[rows, k] = sum(depth.since for depth in both)
        kept.bare[rows, k] = bare
        if moment == self.inputs.time_grid.as_of:
            kept.natural_spot[rows] = self.natural.worn + self.natural.since
            kept.stray_spot[rows] = self.stray.worn + self.stray.since
