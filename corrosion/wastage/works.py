"""Works on plates: pits filled or welded, plates renewed, doublers."""

from dataclasses import dataclass

import numpy as np

from corrosion.foundation.types import Array, BoolArray
from corrosion.records.ship import Ship, WorkKind

__all__ = ["PlateWork", "plate_works"]

_KINDS = ("pits filled", "pits welded", "renewed", "doubler")


@dataclass(frozen=True, slots=True, kw_only=True)
class PlateWork:
    """One row of works.csv that changes plates or pits.

    Attributes
    ----------
    moment : float
        When. [s]
    work : str
        ``pits filled``, ``pits welded``, ``renewed`` or ``doubler``.
    zones : ndarray of bool, shape (zones,)
        Which zones.
    share : float
        Share of each that was worked on. [-]
    gain : ndarray, shape (zones,)
        Thickness of new plate less that of the plate as built, or of a doubler that
        counts. [m]
    """

    moment: float
    work: WorkKind
    zones: BoolArray
    share: float
    gain: Array


def plate_works(ship: Ship) -> tuple[PlateWork, ...]:
    """Return the works on her plates in order of time; what only paints is not one.

    A doubler that does not count for the limit changes nothing: the plate beneath it
    goes on as before.
    """
    built = np.array([zone.built for zone in ship.zones])
    found = []
    for work in ship.works:
        if work.work not in _KINDS or (work.work == "doubler" and not work.counts):
            continue
        thick = built if work.thickness is None else np.full_like(built, work.thickness)
        found.append(
            PlateWork(
                moment=work.date.middle,
                work=work.work,
                zones=np.array([work.covers(z) for z in ship.zones], dtype=np.bool_),
                share=work.share,
                gain=thick if work.work == "doubler" else thick - built,
            )
        )
    return tuple(sorted(found, key=lambda work: work.moment))
