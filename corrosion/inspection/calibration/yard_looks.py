"""When a yard that put plates right looked at others and found nothing to do."""

import numpy as np

from corrosion.foundation.types import Array
from corrosion.foundation.units import DAY
from corrosion.history.inputs import ModelInputs

_ONE_DOCKING = 60.0 * DAY
_PUT_RIGHT = ("pits welded", "renewed")


def last_sound(inputs: ModelInputs) -> Array:
    """Return when each zone was last found to need no weld, (zones,) [s]; NaN: never.

    It was painted at a docking, up to the date of the estimate, at which pits of other
    zones were welded, or other plates renewed, as is written; of it nothing is, nor of
    any weld before: what that left would be about as deep.
    """
    paint, as_of = inputs.zones.paint, inputs.time_grid.as_of
    works = [w for w in inputs.zones.works if w.work in _PUT_RIGHT]
    works = [work for work in works if work.moment <= as_of]
    found = np.full(len(inputs.ship.zones), np.nan)
    if not works:
        return found
    moments = np.array([work.moment for work in works])
    done = np.array([work.zones & (work.share > 0.0) for work in works])
    for zone, dates in enumerate(np.where(paint.supposed, np.inf, paint.dates).T):
        for date in dates[dates <= as_of]:
            beside = np.abs(moments - date) < _ONE_DOCKING
            before = moments < date + _ONE_DOCKING
            if beside.any() and not done[before, zone].any():
                found[zone] = date
    return found
