"""The whole job in order, from what the crew wrote down to what to do next."""

import warnings
from collections.abc import Callable
from contextlib import AbstractContextManager
from dataclasses import dataclass
from datetime import date
from typing import TYPE_CHECKING, Any

import numpy as np
from threadpoolctl import (  # type: ignore[import-untyped]  # it carries no types
    threadpool_limits,
)

from corrosion.foundation import assumptions
from corrosion.foundation.errors import InputError, ValidityWarning
from corrosion.foundation.sampling import Draws
from corrosion.foundation.units import YEAR
from corrosion.history.inputs import Books, Case, Clock, prepare
from corrosion.history.integrate import keep_books
from corrosion.history.linearity_report import interface_words
from corrosion.hull.geometry.panels import coverage
from corrosion.inspection.calibration.calibrate import Lesson, learn_from_gaugings
from corrosion.inspection.outlook import Outlook, look_ahead
from corrosion.inspection.sensitivity import Narrowing, narrowing
from corrosion.leakage.logged_currents import with_logs
from corrosion.records.as_of import end_of, known_by
from corrosion.records.dates import day_of
from corrosion.records.ship import Ship

if TYPE_CHECKING:
    import pandas as pd

__all__ = ["Estimate", "estimate", "restated", "set_clock"]

_PAST = 20  # recorded moments from the first record to the date of the estimate
_AHEAD = (0.5, 1.0, 2.0, 3.0, 4.0, 5.0, 7.0, 10.0, 15.0, 20.0, 30.0)  # [years]


@dataclass(frozen=True, slots=True, kw_only=True)
class Estimate:
    """What became of a ship's plating, sample by sample and summed up.

    Attributes
    ----------
    ship : Ship
        The ship, without what lies after the date of the estimate.
    as_of, horizon : date
        Date of the estimate, and next docking.
    samples, seed : int
        Number of samples and seed.
    warnings : tuple of str
        What is doubtful: in the records, between gaugings and model, in the model's
        ranges.
    zones : DataFrame
        One row a zone, in order of priority.
    faults : DataFrame
        One row a fault, in file order.
    totals : dict
        Sums over the ship, each with mean, p10, p50 and p90.
    case, books, lesson, outlook
        The samples behind the tables.
    """

    ship: Ship
    as_of: date
    horizon: date
    samples: int
    seed: int
    warnings: tuple[str, ...]
    zones: "pd.DataFrame"
    faults: "pd.DataFrame"
    totals: dict[str, dict[str, float]]
    case: Case
    books: Books
    lesson: Lesson
    outlook: Outlook

    def narrowing(self, zone: str) -> tuple[Narrowing, ...]:
        """Return which unknowns drive a zone's margin, and what would settle them.

        Raises
        ------
        LookupFailed
            If there is no such zone.
        """
        at = self.ship.zone_index(zone)
        return narrowing(self.case, self.books, self.lesson, self.outlook, at)

    def to_json(self) -> dict[str, Any]:
        """Return the estimate as the design's JSON object: numbers, text and None."""
        from corrosion.results import as_json  # noqa: PLC0415 - pandas stays lazy

        return as_json(self)


def estimate(
    ship: Ship,
    *,
    samples: int = 4096,
    seed: int = 1,
    as_of: date | None = None,
    tell: Callable[[float], None] | None = None,
) -> Estimate:
    """Estimate what stray currents and the sea have taken from a ship's hull.

    Crew's records become amperes that reach the hull; amperes cross the water where
    the return path lets them; what crosses out of bare steel dissolves it by Faraday's
    law, netted with the natural loss; gaugings correct the samples; and what is left
    is held against the limits at the next docking.

    Parameters
    ----------
    ship : Ship
        From :func:`corrosion.read_ship`.
    samples : int, optional
        Number of samples of the unknowns; a power of two is best. [-]
    seed : int, optional
        Seed of the random numbers; the same seed gives the same digits. [-]
    as_of : date, optional
        Date of the estimate; None: today. Later entries are left out.
    tell : callable, optional
        Is given the share of the walk through her records that is done, now and then;
        what it raises stops the estimate and is raised here. [-]

    Returns
    -------
    Estimate
        Ranked zones, faults and totals, and the samples behind them.

    Raises
    ------
    InputError
        If the ship has no zones, lies before her building date, or cannot be solved.
    """
    from corrosion.results import (  # noqa: PLC0415 - pandas stays lazy
        fault_table,
        totals,
        zone_table,
    )

    day = as_of or date.today()  # noqa: DTZ011 - ship's time carries no zone
    known, left_out = known_by(ship, day)
    with (
        restated(known),
        threadpool_limits(1, user_api="blas"),  # its threads would change last digits
        warnings.catch_warnings(record=True) as caught,
    ):
        warnings.simplefilter("always", ValidityWarning)
        clock = set_clock(known, day)
        known, logged = with_logs(known)
        case = prepare(known, Draws(samples, seed), clock)
        (books,) = keep_books(case, [case.faults.spans], tell=tell)
        lesson = learn_from_gaugings(case, books)
        outlook = look_ahead(case, books, lesson)
        interface = interface_words(case, books.bent)
    doubts = [*map(str, known.doubts), *coverage(known), *left_out, *logged]
    doubts += [*_lessons(lesson), interface]
    doubts += dict.fromkeys(str(warning.message) for warning in caught)
    return Estimate(
        ship=known,
        as_of=day,
        horizon=day_of(clock.horizon),
        samples=samples,
        seed=seed,
        warnings=tuple(doubts),
        zones=zone_table(case, books, lesson, outlook),
        faults=fault_table(case, books, lesson),
        totals=totals(case, books, lesson),
        case=case,
        books=books,
        lesson=lesson,
        outlook=outlook,
    )


def restated(ship: Ship) -> AbstractContextManager[None]:
    """Return a context in which the user's assumptions stand in for the table's."""
    return assumptions.stated(
        assumptions.restate(name, median=own.median, spread=own.spread, why=own.why)
        for name, own in ship.restated.items()
    )


def set_clock(ship: Ship, day: date) -> Clock:
    """Return the dates of an estimate.

    Raises
    ------
    InputError
        If the day lies before the ship was built.
    """
    start = ship.built.middle
    as_of = end_of(day)
    if as_of <= start:
        msg = (
            f"the estimate's date {day.isoformat()} must lie after the ship was built "
            f"({ship.built.text}). Choose a later --as-of."
        )
        raise InputError(msg)
    docking = ship.next_docking
    interval = assumptions.value("docking_interval_years") * YEAR
    horizon = as_of + interval if docking is None else docking.middle
    records_of = [f.found for f in ship.faults] + [g.date for g in ship.gaugings]
    first = min((when.middle for when in records_of), default=start)
    records = np.linspace(max(min(first, as_of), start), as_of, _PAST)
    ahead = as_of + YEAR * np.array(_AHEAD)
    known = [start + 1.0, *records, max(horizon, as_of), *ahead]
    moments = np.unique(np.round(np.clip(known, start + 1.0, None)))
    return Clock(
        start=start,
        as_of=as_of,
        horizon=float(np.round(max(horizon, as_of))),
        moments=moments,
    )


def _lessons(lesson: Lesson) -> list[str]:
    words = [one.words for one in lesson.disagreements]
    if lesson.tempered:
        least = int(lesson.effective.min())
        words.append(
            "the gaugings say more than the samples can follow: they were given less "
            f"weight, and at least {least} samples stand behind each zone; more "
            "--samples would follow them further"
        )
    return words
