"""Of which plate a gauging tells where a renewal bears the same date."""

from typing import Final

import numpy as np

from corrosion.foundation.types import Array
from corrosion.foundation.units import DAY
from corrosion.records.measured import Gauging
from corrosion.records.ship import Ship

WHOLE: Final = 0.99
"""Share of a zone from which its plate was renewed, not a part of it."""


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
