"""When yards looked at plates and found nothing to do, and when pits were welded."""

from collections.abc import Sequence
from typing import Final

import numpy as np

from corrosion.foundation.types import Array
from corrosion.foundation.units import DAY, YEAR
from corrosion.records.dates import When
from corrosion.records.ship import Berth, Ship
from corrosion.wastage.paint import PaintHistory
from corrosion.wastage.works import PlateWork, left_by_welds

_ONE_DOCKING: Final = 60.0 * DAY
_PUT_RIGHT: Final = ("pits welded", "renewed")


def looks(works: Sequence[PlateWork], paint: PaintHistory, as_of: float) -> Array:
    """Return when yards looked at zones and found nothing to do.

    A zone was painted, up to the date of the estimate, at a docking at which pits of
    others were welded, or other plates renewed, as is written; of it nothing is.

    Parameters
    ----------
    works : sequence of PlateWork
        What was done.
    paint : PaintHistory
        When zones were painted.
    as_of : float
        Later works are plans. [s]

    Returns
    -------
    ndarray, shape (paintings, zones)
        Dates; infinite: none. [s]
    """
    dates = np.where(paint.supposed | (paint.dates > as_of), np.inf, paint.dates)
    beside = np.zeros(dates.shape, np.bool_)
    own = np.zeros(dates.shape, np.bool_)
    for work in works:
        if work.work in _PUT_RIGHT and work.moment <= as_of and work.share > 0.0:
            then = np.abs(work.moment - dates) < _ONE_DOCKING
            beside |= then
            own |= then & work.zones
    return np.where(beside & ~own, dates, np.inf)


def last_sound(works: Sequence[PlateWork], paint: PaintHistory, as_of: float) -> Array:
    """Return when each zone was last found to need no weld, (zones,) [s]; NaN: never.

    Only where nothing was put right before: of others see :func:`with_looks`.

    Parameters
    ----------
    works : sequence of PlateWork
        What was done, in order of time.
    paint : PaintHistory
        When zones were painted.
    as_of : float
        Later works are plans. [s]

    Returns
    -------
    ndarray, shape (zones,)
        Dates; NaN: never. [s]
    """
    seen = looks(works, paint, as_of)
    for work in works:
        if work.work in _PUT_RIGHT and work.share > 0.0:
            seen[(seen > work.moment) & work.zones] = np.inf
    last = np.where(np.isfinite(seen), seen, -np.inf).max(axis=0)
    return np.where(np.isfinite(last), last, np.nan)


def first_weld(works: Sequence[PlateWork], zones: int, before: float) -> Array:
    """Return when pits of each zone were first welded, (zones,) [s]; NaN: never.

    Of a plate that was renewed, nothing: whatever was known of it went with it.

    Parameters
    ----------
    works : sequence of PlateWork
        What was done, in order of time.
    zones : int
        How many there are.
    before : float
        Later works do not count. [s]

    Returns
    -------
    ndarray, shape (zones,)
        Dates; NaN: never. [s]
    """
    found = np.full(zones, np.nan)
    for work in works:
        if work.moment > before:
            continue
        found = np.where(work.renewed >= 1.0, np.inf, found)
        new = np.isnan(found) & work.zones & (work.work == "pits welded")
        found = np.where(new & (work.share > 0.0), work.moment, found)
    return np.where(np.isfinite(found), found, np.nan)


def welds_by_place(ship: Ship, before: float) -> tuple[Array, Array]:
    """Return when pits of each zone were last welded afloat, and each time in dock.

    Nobody welds pits afloat before they leak. Afloat was she where her dockings of
    those years are on record and none lies near; where none is on record, nothing is
    said, nor by rows about all zones at once. What was known of a plate went with it
    when it was renewed.

    Parameters
    ----------
    ship : Ship
        With her works and berths.
    before : float
        Later works do not count. [s]

    Returns
    -------
    afloat : ndarray, shape (zones,)
        Dates; NaN: never. [s]
    docked : ndarray, shape (works, zones)
        Dates; NaN: not this zone. [s]
    """
    interval = ship.assumptions.value("docking_interval_years") * YEAR
    docks = [berth for berth in ship.berths if not berth.afloat]
    rows = sorted(ship.works, key=lambda one: one.date.middle)
    afloat = np.full(len(ship.zones), np.nan)
    docked = np.full((len(rows), len(ship.zones)), np.nan)
    for row, work in enumerate(rows):
        if work.date.middle > before or work.zone in ("all", "underwater"):
            continue
        at = ship.zone_index(work.zone)
        if work.work == "renewed" and work.share >= 1.0:
            afloat[at], docked[:, at] = np.nan, np.nan
        if work.work != "pits welded" or work.share <= 0.0:
            continue
        away = min((_apart(work.date, one) for one in docks), default=np.inf)
        if away < _ONE_DOCKING:
            docked[row, at] = work.date.middle
        elif away < interval:
            afloat[at] = work.date.middle
    return afloat, docked[np.isfinite(docked).any(axis=1)]


def _apart(date: When, berth: Berth) -> float:
    """Return how long before or after a stay a date lies, at least [s]."""
    begins = -np.inf if berth.start is None else berth.start.earliest
    ends = np.inf if berth.end is None else berth.end.latest
    return max(begins - date.latest, date.earliest - ends)


def with_looks(
    works: Sequence[PlateWork], paint: PaintHistory, as_of: float
) -> tuple[PlateWork, ...]:
    """Return works, and looks at plates that were welded before and then left.

    Of plates that never were, calibration holds it against their whole growth.

    Parameters
    ----------
    works : sequence of PlateWork
        What was done, in order of time.
    paint : PaintHistory
        When zones were painted.
    as_of : float
        Later works are plans. [s]

    Returns
    -------
    tuple of PlateWork
        In order of time.
    """
    seen = looks(works, paint, as_of)
    found = list(works)
    for date in np.unique(seen[np.isfinite(seen)]):
        mine = (seen == date).any(axis=0)
        mine &= left_by_welds(np.ones((1, mine.size)), works, float(date))[0] > 0.0
        if mine.any():
            left = PlateWork(
                moment=float(date),
                work="pits left",
                zones=mine,
                share=1.0,
                gain=np.zeros(mine.shape),
            )
            found.append(left)
    return tuple(sorted(found, key=lambda work: work.moment))
