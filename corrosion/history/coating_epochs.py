"""When the current paths are solved anew because the paint has changed."""

from collections.abc import Callable
from itertools import pairwise

import numpy as np

from corrosion.foundation.types import Array
from corrosion.foundation.units import DAY, YEAR
from corrosion.history.inputs import ModelInputs
from corrosion.hull.network import contact_resistance

_FACTOR = 2.0  # by which a zone's contact changes before the paths are solved anew
_LOOK = 0.25 * YEAR  # how often it is looked where a step changes it by so much
_SOME = 1.03  # the same at a date of which something is written: steps end there anyway
_SOON = 30 * DAY  # what is painted within it is painted at once
_BEFORE = 1.0  # paint that is put on at a date is not yet on before it [s]
_ROWS = 64  # samples whose medians tell


def coating_epochs(
    inputs: ModelInputs, *, factor: float = _FACTOR, look: float = _LOOK
) -> Array:
    """Return when the paths are solved anew for other paint [s].

    At the date of a painting, docking or look at the paint where the contact of any
    wetted zone with the water jumps by 3 % or has changed as much since, unless
    paths were solved within the month before; elsewhere where it has changed by a
    factor of 2 either way; and at the date of the estimate, so that no painting to
    come moves what has been.
    """
    start, end = inputs.time_grid.start, float(inputs.time_grid.moments[-1])
    zones, ship, today = inputs.zones, inputs.ship, inputs.time_grid.as_of
    dated = [ship.last_docking, *(work.date for work in ship.works)]
    known = np.concatenate(
        [
            zones.paint.written,
            zones.paint.seen_at,
            [when.middle for when in dated if when is not None],
            [today],
        ]
    )
    known = known[(known > start) & (known < end)]
    others = [inputs.time_grid.moments, zones.paint.unwritten(end)]
    fixed = np.unique(np.concatenate([[start], known, *others]))
    contact = median_contact(inputs)
    edges, last = [start], contact(start)
    for a, b in pairwise(fixed[(start <= fixed) & (fixed <= end)].tolist()):
        jumps = b in known
        late = contact(b - _BEFORE) if jumps else contact(b)
        if far_apart(last, late, factor):
            for date in np.append(np.arange(a + look, b, look), b if b < end else []):
                now = contact(date)
                if far_apart(last, now, factor):
                    edges.append(date)
                    last = now
        if jumps:
            now = contact(b)
            soon = b - edges[-1] < _SOON
            moved = far_apart(last, now, _SOME) or far_apart(late, now, _SOME)
            if b == today or (moved and not soon):
                edges.append(b)
            if soon or edges[-1] == b:
                last = now
    return np.array(edges)


def median_contact(inputs: ModelInputs) -> Callable[[float], Array]:
    """Return what gives each wetted zone's median contact at a date [Ω]."""
    wet, rows, of = inputs.hull.body.zones, slice(0, _ROWS), (inputs.hull, inputs.paths)
    paths = inputs.paths.rows(rows)
    # what-ifs of one ship ask for the same dates; she is held, so that ids stay hers
    by_ship: dict[tuple[int, int], tuple[object, dict[float, Array]]]
    by_ship = inputs.zones.paint.once("contacts", rows, dict)
    _, known = by_ship.setdefault((id(of[0]), id(of[1])), (of, {}))

    def at(date: float) -> Array:
        if date not in known:
            bare = inputs.zones.bare(date, rows)[:, wet]
            ohms = contact_resistance(
                bare, inputs.hull.contact_area, paths.interface, paths.coating
            )
            known[date] = np.asarray(np.median(ohms, axis=0))
        return known[date]

    return at


def far_apart(one: Array, other: Array, factor: float) -> bool:
    """Return whether any zone's resistance is another by a factor, either way."""
    return bool(np.abs(np.log(one / other)).max(initial=0.0) > np.log(factor))
