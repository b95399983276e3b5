"""Tests of wastage.paint: which paintings cover what, written or not."""

from dataclasses import replace
from typing import Any

import numpy as np
import pytest

from corrosion.foundation.types import Array
from corrosion.foundation.units import YEAR
from corrosion.wastage.coating import CoatingLaw
from corrosion.wastage.paint import PaintHistory

EVERY = slice(None)


def history(dates: list[list[float]], **known: Any) -> PaintHistory:
    """Return two samples of some zones, built in year 0; dates in years."""
    table = np.array(dates, dtype=np.float64) * YEAR
    zones = table.shape[1]
    whole = PaintHistory(
        law=CoatingLaw(
            initial=np.full((2, 1), 0.02),
            life=np.array([[20.0], [40.0]]) * YEAR,
            exponent=2.0,
            least=1e-6,
        ),
        dates=table,
        shares=np.ones_like(table),
        left=np.full_like(table, np.nan),
        supposed=np.zeros(table.shape, dtype=np.bool_),
        seen=np.full((2, zones), np.nan),
        seen_at=np.full(zones, np.nan),
        never=np.zeros(zones, dtype=np.bool_),
        built=0.0,
        interval=np.full(zones, 5.0 * YEAR),
    )
    return replace(whole, **known)


def between(
    paint: PaintHistory, early: float, late: float, place: float = 0.5
) -> Array:
    where = np.full((2, paint.dates.shape[1]), place)
    return np.asarray(paint.painted_between(early * YEAR, late * YEAR, where, EVERY)[0])


def test_written_and_unwritten_paintings_cover_the_zones() -> None:
    paint = history([[12.0, np.inf]])
    assert between(paint, 4.0, 6.0).tolist() == [True, True]  # every five years
    assert between(paint, 6.0, 9.0).tolist() == [False, False]
    assert between(paint, 11.0, 13.0).tolist() == [True, False]
    assert between(paint, 14.0, 16.0).tolist() == [False, True]  # written ends it
    assert (paint.unwritten(31.0 * YEAR) / YEAR).tolist() == [5, 10, 15, 20, 25, 30]


def test_a_painting_in_part_covers_the_places_of_its_share() -> None:
    paint = replace(history([[12.0]]), shares=np.array([[0.4]]))
    assert between(paint, 11.0, 13.0, 0.3).all()
    assert not between(paint, 11.0, 13.0, 0.5).any()


def test_each_painting_begins_anew() -> None:
    paint = history([[10.0], [20.0]])
    bare = [paint.at(t * YEAR, EVERY).bare[0, 0] for t in (10.0, 19.99, 20.0, 25.0)]
    aged = 1.0 - 0.98 * np.exp(-((9.99 / 20.0) ** 2))
    grown = 1.0 - 0.98 * np.exp(-(0.25**2))
    assert bare == pytest.approx([0.02, aged, 0.02, grown])
    assert paint.at(25.0 * YEAR, EVERY).since[0, 0] == 20.0 * YEAR
    assert np.isnan(paint.at(5.0 * YEAR, EVERY).since).all()


def test_what_was_seen_speaks_of_the_paint_that_was_on() -> None:
    paint = history(
        [[10.0], [20.0]], seen=np.full((2, 1), 0.4), seen_at=np.array([15.0]) * YEAR
    )
    assert paint.at(15.0 * YEAR, EVERY).bare == pytest.approx(np.full((2, 1), 0.4))
    assert paint.at(20.0 * YEAR, EVERY).bare == pytest.approx(np.full((2, 1), 0.02))
    assert paint.at(19.0 * YEAR, EVERY).bare[0, 0] > 0.4


def test_paint_that_is_supposed_hides_what_was_seen_until_the_next_written() -> None:
    paint = history(
        [[10.0], [20.0]], seen=np.full((2, 1), 0.4), seen_at=np.array([15.0]) * YEAR
    )
    more = paint.with_paint(0, 14.0 * YEAR)
    for year in (12.0, 20.0, 23.0):
        same = paint.at(year * YEAR, EVERY).bare
        assert more.at(year * YEAR, EVERY).bare == pytest.approx(same)
    assert (more.at(15.0 * YEAR, EVERY).bare < 0.05).all()
    assert paint.with_paint(0, 10.0 * YEAR) is paint


def test_a_work_says_what_it_left_bare() -> None:
    paint = history([[10.0]], left=np.array([[0.1]]))
    assert paint.at(10.0 * YEAR, EVERY).bare == pytest.approx(np.full((2, 1), 0.1))


def test_a_zone_without_paint_is_bare_since_she_was_built() -> None:
    paint = replace(history([[np.inf]]), never=np.array([True]))
    state = paint.at(7.0 * YEAR, EVERY)
    assert (state.bare == 1.0).all()
    assert (state.since == 0.0).all()
    assert not between(paint, 4.0, 6.0).any()
