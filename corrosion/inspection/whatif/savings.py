"""What measures would have kept: the books again, on the same random numbers."""

from collections.abc import Callable, Sequence
from dataclasses import dataclass

import numpy as np

from corrosion.foundation.types import Array
from corrosion.foundation.units import HOUR
from corrosion.history.inputs import Books, Case, ceilings
from corrosion.history.integrate import keep_books
from corrosion.inspection.calibration.calibrate import Lesson
from corrosion.inspection.outlook import look_ahead
from corrosion.inspection.whatif.measures import Measure

__all__ = ["Saved", "what_if"]


@dataclass(frozen=True, slots=True, kw_only=True)
class Saved:
    """What one measure would have kept, sample by sample.

    Attributes
    ----------
    measure : Measure
        What is changed.
    books : Books
        The books as they would have been.
    stray_kg, saved_kg, saved_ceiling_kg : ndarray, shape (samples,)
        Stray loss of the ship with the measure, what it saves of it, and what a
        naive reckoning would say that it saves. [kg]
    saved_depth : ndarray, shape (samples, zones)
        Depth at bare steel kept in each zone. [m]
    fault_hours : ndarray, shape (samples,)
        Hours for which faults would not have stood. [h]
    chance_below : ndarray, shape (zones,)
        Chance of each zone to be below a limit at the horizon. [-]
    """

    measure: Measure
    books: Books
    stray_kg: Array
    saved_kg: Array
    saved_ceiling_kg: Array
    saved_depth: Array
    fault_hours: Array
    chance_below: Array


def what_if(
    case: Case,
    base: Books,
    lesson: Lesson,
    measures: Sequence[Measure],
    *,
    tell: Callable[[float], None] | None = None,
) -> list[Saved]:
    """Keep the books again with each measure, on the base's random numbers.

    Parameters
    ----------
    case : Case
        The ship as she was, with everything drawn.
    base : Books
        Her books.
    lesson : Lesson
        What her gaugings taught; it stands for every measure.
    measures : sequence of Measure
        What to change, one at a time.
    tell : callable, optional
        Is given the share of each walk that is done; what it raises stops them. [-]

    Returns
    -------
    list of Saved
        One a measure, in order. Measures that only change when faults stood share
        one walk through time.
    """
    moments = np.array(sorted({case.clock.as_of, case.clock.horizon}))
    cases = [measure.case(case) for measure in measures]
    kept: dict[int, Books] = {}
    for other in {id(one): one for one in cases}.values():
        mine = [k for k, one in enumerate(cases) if one is other]
        spans = [measures[k].spans(other, other.faults.spans) for k in mine]
        kept |= zip(mine, keep_books(other, spans, moments, tell=tell), strict=True)
    return [
        _saved(measure, cases[k], base, kept[k], lesson)
        for k, measure in enumerate(measures)
    ]


def _saved(
    measure: Measure, case: Case, base: Books, books: Books, lesson: Lesson
) -> Saved:
    ceiling, ceiling_before = (
        ceilings(case, kept)[0].sum(axis=1)[lesson.shared] for kept in (books, base)
    )
    spot, spot_before = lesson.pick(books.stray_spot), lesson.pick(base.stray_spot)
    hours = (base.seconds - books.seconds).sum(axis=1)[lesson.shared] / HOUR
    return Saved(
        measure=measure,
        books=books,
        stray_kg=lesson.total(books.stray_kg),
        saved_kg=lesson.total(base.stray_kg - books.stray_kg),
        saved_ceiling_kg=ceiling_before - ceiling,
        saved_depth=spot_before - spot,
        fault_hours=hours,
        chance_below=look_ahead(case, books, lesson).chance_ahead,
    )
