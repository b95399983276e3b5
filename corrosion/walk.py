"""The walk through time: slab by slab, from amperes to metal, sample by sample.

Time is cut at fixed dates into slabs, and each slab into the periods in which she lay
at one berth. Within a period of a slab the faults that may have stood are cut into
stretches of constant state. What a slab takes is booked before the next begins, so
that memory stays flat however long the records are. Samples are independent of one
another and are walked in blocks.
"""

import os
from collections.abc import Sequence
from concurrent.futures import ThreadPoolExecutor
from contextvars import copy_context
from dataclasses import dataclass, replace
from itertools import pairwise

import numpy as np
from threadpoolctl import (  # type: ignore[import-untyped]  # it carries no types
    threadpool_limits,
)

from corrosion import basis
from corrosion.books import Books, Case, blank_books
from corrosion.hull.injection import lamp_transfer, source_transfer
from corrosion.hull.paths import (
    Network,
    Transfer,
    contact_resistance,
    network,
    shore_loop,
    transfer,
)
from corrosion.leakage.amperes import Leak, leaks, returns_ashore
from corrosion.leakage.timeline import Spans, stretches
from corrosion.types import Array, BoolArray
from corrosion.units import MAINS, YEAR
from corrosion.wastage.ledger import Booking, Flow, book
from corrosion.wastage.metals import metal
from corrosion.wastage.natural import loss_depth
from corrosion.wastage.pits import localisation

__all__ = ["keep_books"]

_BLOCK = 512  # samples walked together: what fits a processor's cache
_COATING_EPOCH = 4.0 * YEAR  # the paths are solved anew for the breakdown of paint
_FAULTS_A_SLAB = 8


def keep_books(
    case: Case, scenarios: Sequence[Spans], moments: Array | None = None
) -> list[Books]:
    """Walk through time once for each scenario, sharing all that does not change.

    Parameters
    ----------
    case : Case
        The ship with everything drawn.
    scenarios : sequence of Spans
        When the faults stood: as they did, or as they would have.
    moments : ndarray, optional
        Which of the clock's moments are recorded; None: all. [s]

    Returns
    -------
    list of Books
        One a scenario, from the same random numbers, so that a scenario that changes
        nothing changes no digit.
    """
    samples = case.draws.samples
    recorded = case.clock.moments if moments is None else moments
    books = [blank_books(case, recorded) for _ in scenarios]
    cuts = _cuts(case)
    blocks = [slice(a, min(a + _BLOCK, samples)) for a in range(0, samples, _BLOCK)]
    with (
        threadpool_limits(1, user_api="blas"),
        ThreadPoolExecutor(min(len(blocks), os.cpu_count() or 1)) as pool,
    ):
        walks = [
            pool.submit(copy_context().run, _walk, case, scenarios, books, cuts, rows)
            for rows in blocks
        ]
        sums = [walk.result() for walk in walks]
    return [
        replace(kept, charged=np.sum([block[k] for block in sums], axis=0) / samples)
        for k, kept in enumerate(books)
    ]


def _coatings(case: Case) -> Array:
    """Return when a zone was painted, or the paths are due to be solved anew [s]."""
    start, end = case.clock.start, float(case.clock.moments[-1])
    painted = case.zones.painted
    painted = painted[(painted > start) & (painted < end)]
    return np.unique(np.append(painted, np.arange(start, end, _COATING_EPOCH)))


def _cuts(case: Case) -> Array:
    """Return the dates between slabs: few faults begin or end within one [s].

    No zone is painted within one, so that what follows a painting is counted from it.
    """
    clock = case.clock
    whens = [
        when.middle
        for fault in case.ship.faults
        for when in (fault.found, fault.cleared)
        if when is not None and clock.start < when.middle < clock.moments[-1]
    ]
    some = np.sort(whens)[:: 2 * _FAULTS_A_SLAB]
    return np.unique(np.concatenate([clock.moments, some, _coatings(case)]))


def _walk(
    case: Case,
    scenarios: Sequence[Spans],
    books: Sequence[Books],
    cuts: Array,
    rows: slice,
) -> list[Array]:
    """Walk a block of samples through time; return each scenario's ``charged`` sum."""
    paths = _Paths(case, rows)
    running = [
        _Running(case, spans, kept, rows)
        for spans, kept in zip(scenarios, books, strict=True)
    ]
    for a, b in pairwise(cuts):
        paths.turn_to(a, b)
        for number, period in enumerate(case.periods):
            start, end = (np.clip(t[rows], a, b) for t in (period.start, period.end))
            if (end > start).any():
                natural = _natural(case, start, end, rows)
                for account in running:
                    account.slab(paths, number, start, end, natural)
        for account in running:
            account.record(b, paths.bare)
    return [account.charged for account in running]


def _natural(case: Case, start: Array, end: Array, rows: slice) -> Array:
    """Return the natural charge of dissolution at bare steel, (samples, zones).

    The tabulated loss of steel, times the metal's ratio to steel. [C/m²]
    """
    born = case.clock.start
    depth = {
        exposure: loss_depth(exposure, (end - born) / YEAR)
        - loss_depth(exposure, (start - born) / YEAR)
        for exposure in {zone.exposure for zone in case.ship.zones}
    }
    tabulated = np.stack(
        [depth[z.exposure] * metal(z.metal).natural_ratio for z in case.ship.zones],
        axis=1,
    )
    return np.asarray(tabulated * case.zones.natural[rows] * case.dissolution)


class _Paths:
    """The current paths of a block of samples, solved anew for berth and coating."""

    def __init__(self, case: Case, rows: slice) -> None:
        self.case = case
        self.rows = rows
        self.unknowns = case.paths.rows(rows)
        self.entry = case.entry[rows]
        self.wet = case.hull.body.zones
        self.floods: Array = np.array(
            [
                basis.value("tidal_immersed_share") if z.exposure == "tidal" else 1.0
                for z in case.ship.zones
            ]
        )[self.wet]
        self._edges = np.append(_coatings(case), case.clock.moments[-1])
        self._networks: dict[float, tuple[int, Network]] = {}
        self._kept: dict[tuple[int, float], tuple[int, Transfer]] = {}
        self._ashore = [returns_ashore(case.ship, p.berth) for p in case.periods]

    def turn_to(self, a: float, b: float) -> None:
        """Move on to the slab between two dates."""
        self.early, self.late = a, b
        self.epoch = int(np.searchsorted(self._edges, a, side="right"))
        self.bare = self.case.zones.bare(0.5 * (a + b), self.rows)

    def contact(self, hertz: float, bare: Array) -> Array:
        """Return the resistance of each wetted zone to its water [Ω]."""
        area = self.case.hull.body.area[self.wet] * self.floods
        return contact_resistance(
            bare[:, self.wet],
            area,
            self.unknowns.interface_at(hertz),
            self.unknowns.coating,
        )

    def solved(self, number: int, hertz: float) -> Transfer:
        """Return the transfer at a berth and a frequency."""
        kept = self._kept.get((number, hertz))
        if kept is not None and kept[0] == self.epoch:
            return kept[1]
        berth = self.case.periods[number].berth
        loop = shore_loop(self.case.hull, berth, self.unknowns, hertz=hertz)
        fresh = transfer(self._network(hertz), loop)
        self._kept[number, hertz] = (self.epoch, fresh)
        return fresh

    def _network(self, hertz: float) -> Network:
        """Return steel, interfaces and water, with the paint midway in this epoch."""
        kept = self._networks.get(hertz)
        if kept is not None and kept[0] == self.epoch:
            return kept[1]
        midway = float(self._edges[self.epoch - 1 : self.epoch + 1].mean())
        fresh = network(
            self.case.hull,
            self.contact(hertz, self.case.zones.bare(midway, self.rows)),
            hertz=hertz,
            structure=self.unknowns.structure,
        )
        self._networks[hertz] = (self.epoch, fresh)
        return fresh

    def flow(self, number: int, leak: Leak) -> Flow:
        """Return where the currents of one system leave the steel."""
        case, solved = self.case, self.solved(number, leak.hertz)
        routes = source_transfer(
            solved,
            self.entry[:, leak.faults],
            self._ashore[number][leak.faults],
            case.cables,
        )
        amps = leak.amps
        if leak.lamps is not None and leak.system is not None:
            board = leak.system.switchboard_zone
            at = case.hull.reference if board is None else case.ship.zone_index(board)
            lamps = lamp_transfer(solved, at, case.cables)
            routes = np.concatenate([routes, lamps], axis=1)
            amps = np.concatenate([amps, leak.lamps[:, :, None]], axis=2)
        return Flow(
            amps=amps,
            transfer=routes,
            faults=leak.faults,
            density=self.density(leak.hertz),
        )

    def at_holidays(self, booked: Booking) -> Array:
        """Return the stray charge at small holidays, (samples, wetted) [C/m²].

        They draw more than the mean of all bare steel, the more so the less the
        interface resists, as it does for alternating current.
        """
        rho = self.case.hull.body.resistivity
        direct, alternating = (
            localisation(rho, interface=self.unknowns.interface_at(hertz))[:, None]
            for hertz in (0.0, MAINS)
        )
        rest = booked.stray - booked.alternating
        return rest * direct + booked.alternating * alternating

    def density(self, hertz: float) -> Array:
        """Return density at bare steel per ampere leaving each zone [1/m²]."""
        interface = self.unknowns.interface_at(hertz)[:, None]
        return self.contact(hertz, self.bare) * self.floods / interface


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

    def at_spots(self, outer: Array, inner: Array, *, fresh: BoolArray) -> None:
        """Add the loss of a slab at small bare spots, when the mean has had its."""
        self.worn = np.where(fresh, self.worn + inner, self.mean)
        self.since = np.where(fresh, self.since + outer, 0.0)


class _Running:
    """The books of one scenario for a block of samples, while time goes on."""

    def __init__(self, case: Case, spans: Spans, books: Books, rows: slice) -> None:
        self.case = case
        self.books = books
        self.rows = rows
        self.began, self.ended = spans.began[rows], spans.ended[rows]
        self.first, self.last = self.began.min(axis=0), self.ended.max(axis=0)
        shape = books.natural_kg[rows].shape
        self.natural = _Depth.none(shape)
        self.stray = _Depth.none(shape)
        self.charged = np.zeros_like(books.charged)
        stood = np.minimum(self.ended, case.clock.as_of) - self.began
        books.seconds[rows] = np.maximum(stood, 0.0)

    def slab(
        self, paths: _Paths, number: int, start: Array, end: Array, natural: Array
    ) -> None:
        """Book what one berth took from every zone during a slab."""
        case, wet = self.case, paths.wet
        berth = case.periods[number].berth
        standing = np.flatnonzero((self.first < paths.late) & (self.last > paths.early))
        duration, active = stretches(
            self.began[:, standing], self.ended[:, standing], start, end
        )
        leaking = leaks(
            case.ship,
            case.faults,
            berth,
            active=active,
            standing=standing,
            rows=self.rows,
            shore_earth=paths.unknowns.shore_earth_at(berth),
        )
        flows = [(leak, paths.flow(number, leak)) for leak in leaking]
        span = (end - start)[:, None]
        rate = np.divide(natural, span, out=np.zeros_like(natural), where=span > 0.0)
        couple = np.zeros((len(start), len(wet)))
        if berth.earth_cable is not None and not berth.galvanic_isolator:
            couple = paths.solved(number, 0.0).couple * paths.density(0.0)
        booked = book(
            duration,
            natural=rate[:, wet],
            protection=np.array([case.ship.zones[k].protection for k in wet]),
            couple=couple,
            flows=(
                [flow for leak, flow in flows if leak.current == "dc"],
                [flow for leak, flow in flows if leak.current == "ac"],
            ),
            fraction=case.zones.fraction[self.rows],
        )
        self._thin(paths, natural, booked, end - start)
        if paths.late <= case.clock.as_of:
            self._charge(paths, duration, flows, booked)

    def _thin(
        self, paths: _Paths, natural: Array, booked: Booking, seconds: Array
    ) -> None:
        """Take the loss of a slab off every zone."""
        by_nature, by_strays = natural.copy(), np.zeros_like(natural)
        by_nature[:, paths.wet] = booked.natural
        by_strays[:, paths.wet] = booked.stray
        at_holidays = by_strays.copy()
        at_holidays[:, paths.wet] = paths.at_holidays(booked)
        case, kept, rows = self.case, self.books, self.rows
        fresh = ~(0.5 * (paths.early + paths.late) < case.zones.painted)
        inner = case.zones.inner[rows] * seconds[:, None]
        counted = paths.late <= case.clock.as_of
        nothing = np.zeros_like(inner)
        for charge, local, within, depth, kg in (
            (by_nature, by_nature, inner, self.natural, kept.natural_kg),
            (by_strays, at_holidays, nothing, self.stray, kept.stray_kg),
        ):
            before = depth.mean.copy()
            depth.mean += charge / case.dissolution * paths.bare + within
            depth.at_spots(local / case.dissolution, within, fresh=fresh)
            if counted:
                lost = (depth.mean - before) * case.hull.body.area
                kg[rows] += lost * self._density()

    def _density(self) -> Array:
        return np.array([metal(z.metal).density for z in self.case.ship.zones])

    def _charge(
        self,
        paths: _Paths,
        duration: Array,
        flows: Sequence[tuple[Leak, Flow]],
        booked: Booking,
    ) -> None:
        """Charge the loss of a slab to faults and couple."""
        kept, rows, wet = self.books, self.rows, paths.wet
        area = paths.bare[:, wet] * self.case.hull.body.area[wet]
        to_kg = (self._density() / self.case.dissolution)[wet] * area
        kept.couple_kg[rows, wet] += booked.couple * to_kg
        kept.peak[rows, wet] = np.maximum(kept.peak[rows, wet], booked.peak)
        for faults, coulombs in booked.by_fault:
            kg = coulombs * to_kg[:, None, :]
            kept.fault_kg[rows, faults] += kg.sum(axis=2)
            self.charged[np.ix_(faults, wet)] += kg.sum(axis=0)
        for leak, flow in flows:
            charge = np.einsum("skf,sk->sf", np.abs(leak.amps), duration)
            crossing = np.maximum(flow.transfer, 0.0).sum(axis=2)
            kept.charge[rows, leak.faults] += charge
            kept.water_charge[rows, leak.faults] += (
                charge * crossing[:, : len(leak.faults)]
            )

    def record(self, moment: float, bare: Array) -> None:
        """Write down the state at a recorded moment."""
        at = np.flatnonzero(self.books.moments == moment)
        if not at.size:
            return
        kept, rows, k = self.books, self.rows, int(at[0])
        both = (self.natural, self.stray)
        kept.mean[rows, k] = sum(depth.mean for depth in both)
        kept.worn[rows, k] = sum(depth.worn for depth in both)
        kept.since[rows, k] = sum(depth.since for depth in both)
        kept.bare[rows, k] = bare
        if moment == self.case.clock.as_of:
            kept.natural_spot[rows] = self.natural.worn + self.natural.since
            kept.stray_spot[rows] = self.stray.worn + self.stray.since
