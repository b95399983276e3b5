"""When the zones of a ship were painted, and how bare they are at a moment."""

from collections.abc import Callable
from dataclasses import dataclass, field, replace
from typing import Any

import numpy as np

from corrosion.foundation.types import Array, BoolArray, IntArray
from corrosion.wastage.coating import CoatingLaw, PaintState, coating_breakdown

_KEPT = 6  # moments whose paint is kept, as it is asked for again soon


@dataclass(frozen=True, slots=True, kw_only=True)
class PaintHistory:
    """Paintings of every zone, written and unwritten.

    Before the first painting that is written, a zone is taken to have been painted
    every ``interval`` since she was built: for its bare share and its pits alike.

    Arrays are of shape (paintings, zones) where no other is said.
    """

    law: CoatingLaw  # how new paint breaks down; its arrays are of shape (samples, 1)
    dates: Array  # written paintings, ascending; infinite: none [s]
    shares: Array  # share of the zone that each covered [-]
    left: Array  # bare share that each left; NaN: what new paint leaves [-]
    # which were not, but are supposed: what was seen of other paint says
    # nothing of theirs
    supposed: BoolArray
    # shape (samples, zones): bare share when it was seen; NaN where it never was [-]
    seen: Array
    seen_at: Array  # shape (zones,): when; NaN: never [s]
    never: BoolArray  # shape (zones,): which zones have no paint at all
    built: float  # when she was built [s]
    interval: Array  # shape (zones,): time between unwritten paintings [s]
    _known: dict[tuple[str, int, int], Any] = field(
        init=False,
        repr=False,
        compare=False,
        default_factory=dict,
        metadata={"scratch": True},  # made again when asked for: never kept on disk
    )

    def at(self, moment: float, rows: slice) -> PaintState:
        """Return the paint at a moment, shape (samples, zones)."""
        if moment < self.once("known", rows, lambda: self._first_known(rows)):
            moment = -np.inf  # a mean cycle, whenever it is
        states: dict[float, PaintState] = self.once("states", rows, dict)
        if moment not in states:
            for old in list(states)[:-_KEPT]:
                states.pop(old, None)
            count = (self.dates <= moment).sum(axis=0)
            state = self._after(count, moment, rows)
            states[moment] = PaintState(
                bare=np.where(self.never, 1.0, state.bare),
                since=np.where(self.never, self.built, state.since),
                first=np.where(self.never, 1.0, state.first),
            )
        return states[moment]

    def _after(self, count: IntArray, moment: float, rows: slice) -> PaintState:
        """Return the paint at a moment, when some paintings of each zone are done."""
        courses: dict[bytes, list[tuple[IntArray, dict[str, Any]]]] = self.once(
            "courses", rows, dict
        )
        key = count.tobytes()
        if key not in courses:
            for old in list(courses)[:-_KEPT]:
                courses.pop(old)
            courses[key] = self._courses(count, rows)
        bare, since, begun = np.empty((3, len(self.seen[rows]), len(count)))
        for at, course in courses[key]:
            state = coating_breakdown(moment, **course)
            bare[:, at], since[:, at] = state.bare, state.since
            begun[:, at] = state.first
        return PaintState(bare=bare, since=since, first=begun)

    def _courses(
        self, count: IntArray, rows: slice
    ) -> list[tuple[IntArray, dict[str, Any]]]:
        """Return which zones' paint goes on alike from then on, and how."""
        zone = np.arange(len(count))
        edges = np.vstack([np.full(len(zone), np.nan), self.dates])
        start = edges[count, zone]
        written = np.where(self.supposed, np.inf, self.dates)
        ends = np.minimum.accumulate(written[::-1], axis=0)[::-1]
        end = np.vstack([ends, np.full(len(zone), np.inf)])[count, zone]
        counts = (self.seen_at < end) & ~(self.seen_at < start)
        last = np.maximum(count - 1, 0)
        counts &= ~((count > 0) & self.supposed[last, zone])
        initial = np.broadcast_to(
            self._law(rows).initial, (len(self.seen[rows]), len(zone))
        )
        left = np.where(count > 0, self.left[last, zone], np.nan)
        covered = np.where(count > 0, self.shares[last, zone], 1.0)
        first = np.where(np.isnan(left), initial, left)
        partial = covered < 1.0
        if partial.any():  # what was not painted stays as bare as it was
            before = self._after(
                np.where(partial, count - 1, count), float(np.nanmax(start)), rows
            )
            first = np.where(
                partial, covered * first + (1.0 - covered) * before.bare, first
            )
        law = replace(self._law(rows), initial=first)
        seen, seen_at = self.seen[rows], self.seen_at
        cycle = self.once(
            "cycle", rows, lambda: self._law(rows).mean_until(self.interval)
        )
        counts &= ~np.isnan(seen).any(axis=0)
        found = []
        # one law, but each kind of zone needs but a part of it
        for kind in (counts, ~counts & (count > 0), ~counts & (count == 0)):
            at = np.flatnonzero(kind)
            if at.size:
                looked = counts[at[0]]
                course = {
                    "law": replace(law, initial=first[:, at]),
                    "bare_seen_share": seen[:, at] if looked else np.nan,
                    "seen_moment": seen_at[at] if looked else np.nan,
                    "painted": start[at],
                    "interval": float(self.interval[at[0]]),  # the cycle is known
                    "cycle": cycle[:, at],
                }
                found.append((at, course))
        return found

    def _law(self, rows: slice) -> CoatingLaw:
        law: CoatingLaw = self.once(
            "law",
            rows,
            lambda: replace(
                self.law,
                initial=np.asarray(self.law.initial)[rows],
                life=np.asarray(self.law.life)[rows],
            ),
        )
        return law

    def _first_known(self, rows: slice) -> float:
        """Return until when no painting of any zone is known in any sample [s]."""
        since = self.once("since", rows, lambda: self._before_records(rows))
        begun = since.min(where=~np.isnan(since), initial=np.inf)
        return float(min(begun, self.dates.min(initial=np.inf)))

    def _before_records(self, rows: slice) -> Array:
        """Return when what was seen began that no painting is written of [s]."""
        none = np.zeros(len(self.never), dtype=np.int64)
        return self._after(none, np.inf, rows).since

    def once(self, name: str, rows: slice, make: Callable[[], Any]) -> Any:
        """Return what is made once for some samples."""
        key = name, rows.start, rows.stop
        if key not in self._known:
            self._known[key] = make()
        return self._known[key]

    def painted_between(
        self, early: float, late: float, place: Array, rows: slice
    ) -> BoolArray:
        """Return what paint covered after one moment and until another.

        Parameters
        ----------
        early, late : float
            The moments. [s]
        place : ndarray, shape (samples, zones)
            Uniform numbers: a painting covers a place if they are below its share. [-]
        rows : slice
            Which samples.

        Returns
        -------
        ndarray of bool, shape (samples, zones)
            Written and unwritten paintings.
        """
        now = (self.dates > early) & (self.dates <= late)
        written = (now[:, None, :] & (place < self.shares[:, None, :])).any(axis=0)
        first = self.dates.min(axis=0, initial=np.inf)
        begun = np.full(place.shape, np.inf)
        if (late < first).any():  # NaN while nothing is known
            since = self.once("since", rows, lambda: self._before_records(rows))
            since = np.where(since <= late, since, np.nan)
            begun = np.where(late < first, since, np.inf)
        unwritten = (begun > early) & (begun <= late)
        cycles = [
            np.floor((np.minimum(t, first) - self.built) / self.interval)
            for t in (early, late)
        ]
        cycling = np.isnan(begun) & (cycles[1] > cycles[0])
        return np.asarray((written | unwritten | cycling) & ~self.never)

    def with_paint(self, zone: int, moment: float) -> "PaintHistory":
        """Return the same, with the whole of a zone painted at a moment as well.

        What is written of that moment already stands.
        """
        if (np.abs(self.dates[:, zone] - moment) < 1.0).any():
            return self
        width = self.dates.shape[1]
        dates = np.vstack([self.dates, np.full(width, np.inf)])
        dates[-1, zone] = moment
        shares = np.vstack([self.shares, np.ones(width)])
        left = np.vstack([self.left, np.full(width, np.nan)])
        supposed = np.vstack([self.supposed, np.arange(width) == zone])
        order = np.argsort(dates, axis=0, kind="stable")
        return replace(
            self,
            dates=np.take_along_axis(dates, order, axis=0),
            shares=np.take_along_axis(shares, order, axis=0),
            left=np.take_along_axis(left, order, axis=0),
            supposed=np.take_along_axis(supposed, order, axis=0),
        )

    @property
    def written(self) -> Array:
        """All moments at which a zone was painted as written [s]."""
        return self.dates[np.isfinite(self.dates)]

    def unwritten(self, until: float) -> Array:
        """Return the moments of unwritten paintings of any zone until another [s]."""
        first = np.minimum(self.dates.min(axis=0, initial=np.inf), until)
        found = [
            np.arange(self.built + every, last, every)
            for every, last in zip(self.interval, first, strict=True)
        ]
        used = [
            dates for dates, never in zip(found, self.never, strict=True) if not never
        ]
        return np.unique(np.concatenate([np.zeros(0), *used]))
