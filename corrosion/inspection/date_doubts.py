"""Doubts about the date of an estimate: after the docking, or with the plate gone."""

from datetime import date

import numpy as np

from corrosion.foundation.types import Array
from corrosion.records.dates import day_of
from corrosion.records.ship import Ship

_NAMED = 3  # zones


def date_doubts(ship: Ship, day: date, left: Array) -> list[str]:
    """Return what the date itself makes doubtful.

    Parameters
    ----------
    ship : Ship
        The ship.
    day : date
        Date of the estimate.
    left : ndarray
        Mean thickness left on that day, shape (samples, zones). [m]

    Returns
    -------
    list of str
        One sentence each.
    """
    found = []
    docking = ship.next_docking
    if docking is not None and docking.latest <= _start(day):
        found.append(
            f"the date of the estimate, {day.isoformat()}, lies after her docking of "
            f"{docking.text}: what was gauged, painted and renewed there is not known, "
            "and chances are those of the date itself; write the works and the next "
            "docking"
        )
    gone = np.flatnonzero(np.median(left, axis=0) <= 0.0)
    if gone.size:
        names = ", ".join(ship.zones[int(k)].zone for k in gone[:_NAMED])
        more = f" and {gone.size - _NAMED} more" if gone.size > _NAMED else ""
        found.append(
            f"in half the samples or more the plate of {names}{more} is gone on "
            f"{day.isoformat()}: loss is counted on, as if there were more of it; take "
            "an earlier date"
        )
    return found


def _start(day: date) -> float:
    return (day - day_of(0.0)).total_seconds()
