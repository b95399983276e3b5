"""Tests of the periods in corrosion.leakage.standing_times: how she lay meanwhile."""

from dataclasses import replace
from itertools import pairwise

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from ships import berth, ship

from corrosion.foundation.assumptions import default_assumptions
from corrosion.foundation.sampling import Draws
from corrosion.foundation.units import DAY, MINUTE, YEAR
from corrosion.leakage.time_intervals import Stay, as_before, periods
from corrosion.records.dates import as_written
from corrosion.records.ship import Ship


def moment_of_text(text: str) -> float:
    return as_written(text).earliest


START, END = moment_of_text("2000"), moment_of_text("2010")
texts = st.sampled_from(
    ["1999", "2001", "2002", "2002-07", "2003-01-05 10:00", "2005", "2012"]
)


def of_berths(one: Ship, samples: int = 64) -> list[Stay]:
    return periods(one, Draws(samples, 1, default_assumptions()), start=START, end=END)


@given(rows=st.lists(st.tuples(st.none() | texts, st.none() | texts), max_size=4))
@settings(deadline=None, max_examples=60)
def test_periods_follow_one_another_and_cover_everything(
    rows: list[tuple[str | None, str | None]],
) -> None:
    found = of_berths(ship(berths=tuple(berth(a, b) for a, b in rows)))
    edge = np.full(64, START)
    for period in found:
        assert (period.start >= edge).all()
        assert (period.end >= period.start).all()
        edge = np.maximum(edge, period.end)
    assert sum(p.end - p.start for p in found) == pytest.approx(END - START, rel=1e-12)


def test_she_lies_at_the_berth_that_is_written() -> None:
    quay = berth("2003-01-05 10:00", "2005-02-01 12:00", "shore earthed")
    before, at, after = of_berths(ship(berths=(quay,)))
    assert (before.berth.supply, after.berth.supply) == ("own", "own")
    assert at.berth == quay
    assert at.start == pytest.approx(moment_of_text("2003-01-05 10:00"), abs=MINUTE)
    assert at.end == pytest.approx(moment_of_text("2005-02-01 12:00"), abs=MINUTE)


def test_an_open_berth_lasts() -> None:
    (only,) = of_berths(ship(berths=(berth(None, None),)))
    assert (only.start == START).all()
    assert (only.end == END).all()


def test_she_goes_from_one_berth_to_the_next_at_one_moment() -> None:
    one, two = berth(None, "2003"), berth("2003", None, "shore earthed")
    found = of_berths(ship(berths=(one, two)))
    assert [p.berth for p in found] == [one, two]
    assert (found[0].end == found[1].start).all()
    assert found[0].end.std() == pytest.approx(365.0 * DAY / np.sqrt(12.0), rel=0.05)


def test_where_berths_overlap_the_earlier_one_is_left_first() -> None:
    one = berth(None, "2003-06-02")
    two = berth("2003-06-01", None, "shore earthed")
    found = of_berths(ship(berths=(one, replace(two))))
    assert [p.berth for p in found] == [one, two]
    assert (found[0].end >= moment_of_text("2003-06-02")).all()


def test_no_berth_is_afloat() -> None:
    (only,) = of_berths(ship(berths=()))
    assert only.berth.supply == "own"


def ahead(*rows: tuple[str | None, str | None, str, str]) -> list[tuple[str, int]]:
    """Return where she lies from 2006 on, and until when [days], one sample's."""
    berths = tuple(
        replace(berth(a, b, supply), berth=name) for a, b, name, supply in rows
    )
    now = moment_of_text("2006")
    found = as_before(of_berths(ship(berths=berths)), now, 5.0 * YEAR, np.zeros(0))
    edge = np.full(64, START)
    for one in found:
        assert one.start == pytest.approx(edge)
        edge = one.end
    assert (edge == END).all()
    later = [one for one in found if one.end[0] > now]
    return [(one.berth.berth, round((one.end[0] - now) / DAY)) for one in later]


QUAY, SEA = "shore earthed", "own"


def test_a_ship_that_comes_and_goes_does_so_again() -> None:
    found = ahead(
        ("2000", "2003-01-01", "quay", QUAY),
        ("2003-01-01", "2005-01-01", "sea", SEA),
        ("2005-01-01", None, "quay", QUAY),
    )
    # as from 2001 on
    assert found == [("quay", 730), ("sea", 1461)]
    docked = (("2000-01-01", "2005-01-01", "sea", SEA), ("2005-01-01", None, "d", SEA))
    assert ahead(*docked) == [("d", 1461)]


def test_once_her_years_have_come_again_she_lies_at_each_berth_for_its_share() -> None:
    now, end = moment_of_text("2003"), END + 10.0 * YEAR
    dates = "2000-01-01", "2000-12-30", "2002-01-01", "2002-07-02", "2002-10-01", None
    lies = ("quay", QUAY), ("sea", SEA), ("quay", QUAY), ("sea", SEA), ("quay", QUAY)
    berths = tuple(
        replace(berth(a, b, supply), berth=name)
        for (a, b), (name, supply) in zip(pairwise(dates), lies, strict=True)
    )
    draws = Draws(64, 1, default_assumptions())
    lain = periods(ship(berths=berths), draws, start=START, end=end)
    marks = now + YEAR * np.array([0.5, 2.0, 6.0])
    again = as_before(lain, now, 2.0 * YEAR, marks)
    found = [one for one in again if one.start[0] >= now]
    known = [one for one in found if one.end[0] <= now + 2.0 * YEAR + 1.0]
    assert [one.berth.berth for one in known] == ["sea", "quay", "sea", "quay"]
    at_sea = (365.5 + 91.0) / 730.5
    later = found[len(known) :]
    assert [one.berth.berth for one in later] == ["sea", "quay"] * 2
    edge = now + 2.0 * YEAR
    for (sea, quay), mark in zip((later[:2], later[2:]), (marks[2], end), strict=True):
        assert sea.start == pytest.approx(edge)
        assert quay.end == pytest.approx(mark, abs=0.0)
        share = (sea.end - sea.start) / (mark - edge)
        assert share == pytest.approx(at_sea, abs=2e-3)
        edge = mark


def test_a_ship_at_a_new_berth_stays_there_and_plans_are_followed() -> None:
    new = ahead(("2001", "2004-01-01", "quay", QUAY), ("2004-01-01", None, "b", SEA))
    assert new == [("b", 1461)]
    isolated = ahead(
        ("2001", "2004-01-01", "quay", QUAY), ("2004-01-01", None, "quay", SEA)
    )
    assert isolated == [("quay", 1461)]
    plans = (("2005-01-01", "2008-01-01", "quay", QUAY), ("2008-01-01", None, "b", SEA))
    assert [name for name, _ in ahead(*plans)] == ["quay", "b"]
