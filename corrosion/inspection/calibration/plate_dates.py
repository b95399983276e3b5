"""Of which plate a gauging tells: beside a renewal, or one that nobody wrote."""

from typing import Final

import numpy as np

from corrosion.foundation.types import Array, IntArray
from corrosion.foundation.units import DAY
from corrosion.records.measured import Gauging
from corrosion.records.ship import Ship

WHOLE: Final = 0.99
"""Share of a zone from which its plate was renewed, not a part of it."""

_GROWN: Final = 3.0  # standard deviations by which a plate reads thicker than before
_NEW: Final = 2.0  # beyond which a plate reads thicker than any new one


def gauged_at(ship: Ship) -> Array:
    """Return when each gauging was taken, (gaugings,) [s].

    The middle of what was written. Where the plate was renewed in the same month or on
    the same day, a gauging was either what condemned the old plate or what the new one
    was accepted with: it is that whose thickness is nearer, the old plate's at its
    limit or the new one's, and stands before the renewal or after it.
    """
    when = np.array([row.date.middle for row in ship.gaugings])
    for work in ship.works:
        if work.work != "renewed" or work.share < WHOLE:
            continue
        for k, row in enumerate(ship.gaugings):
            apart = row.date.latest <= work.date.earliest
            apart |= row.date.earliest >= work.date.latest
            zone = ship.zones[ship.zone_index(row.zone)]
            if apart or not work.covers(zone):
                continue
            new = zone.built if work.thickness is None else work.thickness
            if _is_new(row, new, zone.limit):
                # a renewal is recorded before it and a day after
                when[k] = max(when[k], work.date.middle + DAY)
            else:
                when[k] = min(when[k], work.date.middle)
    return when


def _is_new(row: Gauging, new: float, limit: float) -> bool:
    return row.thickness > 0.5 * (new + limit)


def replaced_since(
    ship: Ship, rows: tuple[IntArray, Array], gone: Array, variance: Array
) -> Array:
    """Return the odds of readings to be of a plate that nobody wrote was renewed.

    Plates do not grow: where a later reading of a zone is thicker than errors of both
    allow, either slipped, or the plate was renewed between. The last reading before
    tells of such a plate by the chance that a renewal is not written; if it does, those
    before it do as well.

    Parameters
    ----------
    ship : Ship
        With her works.
    rows : tuple of ndarray, shape (rows,)
        Zone and moment [s] of each.
    gone : ndarray, shape (rows,)
        Thickness gone, the mean bias of the campaign counted in; NaN: a pit. [m]
    variance : ndarray, shape (rows,)
        Of each, with its campaign's bias. [m²]

    Returns
    -------
    ndarray, shape (rows,)
        0 where no later reading is thicker, or thicker than any new plate. [-]
    """
    zone, moment = rows
    chance = ship.assumptions.value("renewal_unwritten_chance")
    odds = np.zeros(zone.size)
    for at in np.unique(zone):
        own = np.flatnonzero((zone == at) & np.isfinite(gone))
        own = own[np.argsort(moment[own], kind="stable")]
        if own.size < 2:
            continue
        new = [
            work.date.middle
            for work in ship.works
            if work.work in ("renewed", "doubler") and work.covers(ship.zones[at])
        ]
        plate = np.searchsorted(np.sort(new), moment[own])  # the same: none between
        sure = np.sqrt(variance[own][:, None] + variance[own])
        grown = gone[own][:, None] - gone[own] > _GROWN * sure
        grown &= (moment[own][:, None] < moment[own]) & (plate[:, None] == plate)
        grown &= gone[own] > -_NEW * np.sqrt(variance[own])
        before = np.flatnonzero(grown.any(axis=1))
        if before.size:
            odds[own[: before[-1]]] = 1.0
            odds[own[before[-1]]] = chance / (1.0 - chance)
    return odds
