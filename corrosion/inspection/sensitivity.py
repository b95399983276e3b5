"""What to measure next: which unknown drives a zone's result, and how to settle it."""

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Final

import numpy as np

from corrosion.foundation.types import Array
from corrosion.history.inputs import Books, Case
from corrosion.inspection.calibration.calibrate import Lesson
from corrosion.inspection.drivers import drivers
from corrosion.inspection.outlook import Outlook

__all__ = ["Narrowing", "narrowing", "to_measure"]

_FAULTS = 5  # the faults that took most from the zone


@dataclass(frozen=True, slots=True, kw_only=True)
class Narrowing:
    """One unknown that drives a zone's margin, and what would settle it.

    Attributes
    ----------
    unknown : str
        What is not known, in words.
    share : float
        Share of the spread of the zone's margin that goes with it. [-]
    measure : str
        What to measure or to write down.
    """

    unknown: str
    share: float
    measure: str


_GAUGE: Final = "gauge the zone: the mean of several readings"
_PIT: Final = "look for its deepest pit, and measure it with a pit gauge"
_PAINT: Final = "look at its paint, and write down the bare per cent and the date"
_CLAMP: Final = "measure the direct current in the shore's protective conductor"


def narrowing(
    case: Case, books: Books, lesson: Lesson, outlook: Outlook, zone: int
) -> tuple[Narrowing, ...]:
    """Return the unknowns that drive a zone's margin at the horizon.

    Parameters
    ----------
    case, books, lesson, outlook
        The samples of an estimate.
    zone : int
        Position of the zone.

    Returns
    -------
    tuple of Narrowing
        The greatest share first, by squared rank correlation with the lesser of the
        two margins (mean thickness and deepest pit over their limits).
    """
    row = case.ship.zones[zone]
    left = outlook.left_ahead[:, zone] - row.limit
    under = outlook.under_pit_ahead[:, zone] - row.pit_limit
    unknowns = _of_zone(case, zone) | _of_ship(case) | _of_faults(case, books, zone)
    picks = lesson.picks[:, zone]
    found = drivers(
        {name: values[picks] for name, (values, _) in unknowns.items()},
        np.minimum(left, under),
    )
    return tuple(
        Narrowing(unknown=one.name, share=one.share, measure=unknowns[one.name][1])
        for one in found
    )


def to_measure(found: Sequence[Narrowing]) -> list[tuple[str, float]]:
    """Return what to measure, each with the share of the spread it would settle.

    Parameters
    ----------
    found : sequence of Narrowing
        The unknowns that drive a zone's margin.

    Returns
    -------
    list of (str, float)
        Measurement and share [-], the greatest first; unknowns that one measurement
        settles are counted together.

    Examples
    --------
    >>> rows = [Narrowing(unknown=u, share=0.25, measure="gauge") for u in "ab"]
    >>> to_measure(rows)
    [('gauge', 0.5)]
    """
    shares: dict[str, float] = {}
    for one in found:
        shares[one.measure] = shares.get(one.measure, 0.0) + one.share
    return sorted(shares.items(), key=lambda item: -item[1])


def _of_zone(case: Case, zone: int) -> dict[str, tuple[Array, str]]:
    unknowns = case.zones
    bare = unknowns.bare(case.clock.as_of, slice(None))[:, zone]
    own = unknowns.natural[:, zone] / unknowns.natural_ship
    return {
        "how much of the zone is bare": (bare, _PAINT),
        "how fast the zone corrodes by nature": (own, _GAUGE),
        "what its inner face has lost": (unknowns.inner[:, zone], _GAUGE),
        "how thick it was rolled": (unknowns.rolled[:, zone], _GAUGE),
        "how unevenly it pits": (unknowns.pitting[:, zone], _PIT),
        "its deepest pit": (unknowns.deepest[:, zone], _PIT),
        "what the model leaves out of it": (unknowns.departure[:, zone], _GAUGE),
    }


def _of_ship(case: Case) -> dict[str, tuple[Array, str]]:
    zones, paths = case.zones, case.paths
    anywhere = "gauge zones anywhere on the ship: each teaches the others"
    return {
        "how fast the ship corrodes by nature": (zones.natural_ship, anywhere),
        "how fast her paint breaks down": (zones.rate[:, 0], _PAINT),
        "the shore earth's resistance": (
            paths.shore_earth * paths.earth_factor,
            "have the shore supply's earth electrode measured",
        ),
        "the couple with the shore earth": (paths.couple * paths.couple_factor, _CLAMP),
        "how much steel an alternating current dissolves": (
            zones.fraction,
            "nothing aboard settles it; clear alternating faults as if it were high",
        ),
    }


def _of_faults(case: Case, books: Books, zone: int) -> dict[str, tuple[Array, str]]:
    took = books.charged[:, zone]
    worst = [k for k in np.argsort(-took)[:_FAULTS] if took[k] > 0.0]
    names = {int(k): case.ship.faults[int(k)].fault for k in worst}
    return {
        f"the charge of fault {name}": (
            books.charge[:, k],
            f"measure the hull current of {name}, or find out when it began",
        )
        for k, name in names.items()
    }
