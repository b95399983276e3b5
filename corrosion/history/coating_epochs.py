"""When the current paths are solved anew because the paint has changed."""

import numpy as np

from corrosion.foundation.types import Array
from corrosion.foundation.units import YEAR
from corrosion.history.inputs import ModelInputs
from corrosion.hull.water_currents import contact_resistance

__all__ = ["coating_epochs"]

_FACTOR = 1.4  # by which a zone's contact changes before the paths are solved anew
_LOOK = 0.25 * YEAR  # how often it is looked whether they are due
_ROWS = 64  # samples whose medians tell


def coating_epochs(inputs: ModelInputs) -> Array:
    """Return when the paths are solved anew for other paint [s].

    At the date of every painting, docking and look at the paint, where it may jump;
    wherever the contact of any wetted zone with the water has changed by a factor of
    1.4 either way since; and at the date of the estimate, so that no painting to come
    moves what has been.
    """
    start, end = inputs.time_grid.start, float(inputs.time_grid.moments[-1])
    zones, ship = inputs.zones, inputs.ship
    dated = [ship.last_docking, *(work.date for work in ship.works)]
    known = np.concatenate(
        [
            zones.paint.written,
            zones.paint.seen_at,
            [when.middle for when in dated if when is not None],
            [inputs.time_grid.as_of],
        ]
    )
    begun = np.append(known[(known > start) & (known < end)], start)
    dates = np.unique(np.append(begun, np.arange(start, end, _LOOK)))
    wet, rows = inputs.hull.body.zones, slice(0, _ROWS)
    paths = inputs.paths.rows(rows)
    edges: list[float] = []
    last = np.ones(len(wet))
    for date in dates:
        bare = zones.bare(date, rows)[:, wet]
        ohms = contact_resistance(
            bare, inputs.hull.contact_area, paths.interface, paths.coating
        )
        now = np.median(ohms, axis=0)
        changed = np.abs(np.log(now / last)).max(initial=0.0)
        if date in begun or changed > np.log(_FACTOR):
            edges.append(float(date))
            last = now
    return np.array(edges)
