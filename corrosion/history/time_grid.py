"""The dates of an estimate: from her building to well beyond the next docking."""

from dataclasses import dataclass
from datetime import date

import numpy as np

from corrosion.foundation.errors import InputError
from corrosion.foundation.types import Array
from corrosion.foundation.units import DAY, YEAR
from corrosion.records.as_of import end_of_day
from corrosion.records.ship import Ship
from corrosion.wastage.works import plate_works

_BEFORE = 6  # recorded moments from her building to the first record
_PAST = 20  # recorded moments from the first record to the date of the estimate
_NEAR = 0.35  # of what lies between two: how far they are moved to where paint changes
_AHEAD = (0.5, 1.0, 2.0, 3.0, 4.0, 5.0, 7.0, 10.0, 15.0, 20.0, 30.0)  # [years]


@dataclass(frozen=True, slots=True, kw_only=True)
class TimeGrid:
    """The dates of an estimate, in seconds from 1970-01-01."""

    # start, as_of, horizon: when she was built, the date of the estimate,
    # the next docking
    start: float
    as_of: float
    horizon: float
    # shape (moments,): dates at which the loss is recorded, ascending; ``as_of`` and
    # ``horizon`` are among them
    moments: Array


def time_grid_of(ship: Ship, day: date) -> TimeGrid:
    """Return the dates of an estimate.

    Raises
    ------
    InputError
        If the day lies before the ship was built.
    """
    start = ship.built.middle
    as_of = end_of_day(day)
    if as_of <= start:
        msg = (
            f"the estimate's date {day.isoformat()} must lie after the ship was built "
            f"({ship.built.text}). Choose a later --as-of."
        )
        raise InputError(msg)
    docking = ship.next_docking
    interval = ship.assumptions.value("docking_interval_years") * YEAR
    horizon = as_of + interval if docking is None else docking.middle
    # not by gaugings: what is recorded by the records alone serves every new one
    looks = [zone.bare_seen for zone in ship.zones] + [ship.last_docking]
    works_of = [w.date for w in ship.works]
    painted = [when.middle for when in [*works_of, *looks] if when is not None]
    found_of = [fault.found.middle for fault in ship.faults]
    written = painted + found_of
    first = min((when for when in written if when <= as_of), default=start)
    first = max(min(first, as_of), start)
    before = np.linspace(start, first, _BEFORE)  # for what was gauged before the log
    steps = _paint_dates(ship, painted, as_of)
    records = _moved(np.linspace(first, as_of, _PAST), steps)
    ahead = as_of + YEAR * np.array(_AHEAD)
    # a renewal is recorded before and after: what adds up begins anew at it
    works = plate_works(ship)
    new, welded = (
        moments[(moments > start) & (moments < ahead[-1])]
        for moments in (
            np.array([one.moment for one in works if one.renewed.any()]),
            np.array([one.moment for one in works if one.work == "pits welded"]),
        )
    )
    known = [start + 1.0, *before, *records, max(horizon, as_of), *ahead]
    known += [*np.floor(new), *(new + DAY), *np.floor(welded[welded <= as_of])]
    moments = np.unique(np.round(np.clip(known, start + 1.0, None)))
    return TimeGrid(
        start=start,
        as_of=as_of,
        horizon=float(np.round(max(horizon, as_of))),
        moments=moments,
    )


def _paint_dates(ship: Ship, written: list[float], as_of: float) -> Array:
    """Return when paint may change: an integration's steps end there anyway [s]."""
    every = YEAR * ship.assumptions.value("repaint_interval_years")
    return np.unique([*written, *np.arange(ship.built.middle, as_of, every)])


def _moved(moments: Array, steps: Array) -> Array:
    """Return moments but the first and last at the nearest steps, if near [s]."""
    reach = _NEAR * float(moments[1] - moments[0])
    after = np.clip(np.searchsorted(steps, moments), 1, max(len(steps) - 1, 1))
    near = [steps[np.minimum(after - k, len(steps) - 1)] for k in (1, 0)]
    nearest = np.where(np.abs(near[0] - moments) < np.abs(near[1] - moments), *near)
    found = np.where(np.abs(nearest - moments) < reach, nearest, moments)
    found[[0, -1]] = moments[[0, -1]]
    return np.asarray(found)
