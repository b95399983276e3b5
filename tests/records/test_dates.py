"""Tests of records.dates: laws, edges, errors."""

import contextlib
from datetime import UTC, date, datetime, timedelta
from itertools import pairwise

import pytest
from dateutil.parser import parse
from hypothesis import given, settings
from hypothesis import strategies as st

from corrosion.foundation.errors import InputError
from corrosion.records.dates import When, as_written, day_of, moment_of
from corrosion.records.said_dates import day_first, iso_dates

moments = st.datetimes(min_value=datetime(1800, 1, 1), max_value=datetime(2200, 1, 1))  # noqa: DTZ001 - ship's time carries no zone


@pytest.mark.parametrize(
    ("text", "days"),
    [
        ("1994", 365),
        ("1996", 366),
        ("1900", 365),
        ("1994-06", 30),
        ("1996-2", 29),
        ("1994-06-03", 1),
        ("1994-06-03 14:20", 1 / 1440),
        ("1994-06-03T14:20:05", 1 / 86400),
    ],
)
def test_is_as_wide_as_what_was_written(text: str, days: float) -> None:
    assert as_written(text).width == pytest.approx(days * 86400.0, rel=1e-12)


@settings(deadline=None)
@given(moments)
def test_less_exact_contains_more_exact(moment: datetime) -> None:
    forms = ["%Y", "%Y-%m", "%Y-%m-%d", "%Y-%m-%d %H:%M", "%Y-%m-%d %H:%M:%S"]
    whens = [as_written(moment.strftime(form)) for form in forms]
    exact = moment.replace(tzinfo=UTC).timestamp()
    for wide, narrow in pairwise(whens):
        assert wide.earliest <= narrow.earliest < narrow.latest <= wide.latest
        assert narrow.earliest <= exact < narrow.latest


@settings(deadline=None)
@given(st.dates(min_value=date(1000, 1, 1), max_value=date(9998, 12, 30)))
def test_neighbouring_days_meet_and_do_not_overlap(day: date) -> None:
    next_day = day + timedelta(days=1)
    today, tomorrow = as_written(day.isoformat()), as_written(next_day.isoformat())
    assert today.latest == tomorrow.earliest == moment_of(next_day)
    assert day_of(today.middle) == day


@settings(deadline=None)
@given(moments, st.integers(-23, 23), st.sampled_from([0, 30, 45]))
def test_an_offset_names_the_same_moment(at: datetime, hours: int, half: int) -> None:
    sign, size = ("-", -hours) if hours < 0 else ("+", hours)
    text = f"{at:%Y-%m-%d %H:%M}{sign}{size:02d}:{half:02d}"
    known = datetime.fromisoformat(text).timestamp()
    assert as_written(text).earliest == known


def test_middle_lies_in_the_middle() -> None:
    when = as_written(" 1994-06 ")
    assert when.text == "1994-06"
    assert day_of(when.middle) == date(1994, 6, 16)


@settings(deadline=None)
@given(st.text(max_size=25))
def test_any_text_is_a_date_or_an_input_error(text: str) -> None:
    with contextlib.suppress(InputError):
        assert as_written(text).width > 0.0


@pytest.mark.parametrize(
    "text", ["", "94", "3/6/1994", "3.6.94", "1994-06-03 14", "１９９４", "1994-W23"]
)
def test_says_how_to_write_a_date(text: str) -> None:
    with pytest.raises(InputError, match="is not a date; write 1994, 1994-06"):
        as_written(text)


@pytest.mark.parametrize(
    "text",
    ["1994-13", "1994-02-29", "1994-06-03 24:00", "0000", "1994-06-03 14:20+25:00"],
)
def test_refuses_days_that_do_not_exist(text: str) -> None:
    with pytest.raises(InputError, match="is not a date that exists; "):
        as_written(text)


def test_refuses_seconds_that_do_not_exist() -> None:
    with pytest.raises(InputError, match="not a time that exists; seconds run from 0"):
        as_written("1994-06-03 14:20:60")


def test_refuses_an_interval_that_ends_before_it_begins() -> None:
    with pytest.raises(InputError, match="its end lies before its beginning"):
        When(text="?", earliest=1.0, latest=0.0)


def test_refuses_days_beyond_the_calendar() -> None:
    with pytest.raises(InputError, match="years 1 to 9999, got 1e\\+18 s"):
        day_of(1e18)


NAMES = ("%d.%m.%Y", "%d %B %Y", "%d-%b-%Y", "%B %d, %Y", "%Y/%m/%d", "%Y%m%d")


@settings(deadline=None)
@given(st.dates(date(1900, 1, 1), date(2099, 12, 31)), st.sampled_from(NAMES))
def test_dates_as_said_agree_with_a_reference_parser(day: date, form: str) -> None:
    text = day.strftime(form)
    reference = parse(text, dayfirst="." in text).date()
    assert day_of(as_written(text).middle) == reference == day


@settings(deadline=None)
@given(
    st.lists(st.dates(date(1900, 1, 1), date(2099, 12, 31)), min_size=1, max_size=9),
    st.booleans(),
)
def test_columns_of_figures_agree_with_a_reference_parser(
    days: list[date], first: bool
) -> None:
    form = "%d/%m/%Y" if first else "%m/%d/%Y"
    texts = [day.strftime(form) for day in days]
    told = day_first(texts)
    for text, day in zip(texts, days, strict=True):
        ends = iso_dates(text, told)
        if ends is None:  # nothing in the column tells: it is asked, not guessed
            assert told is None
            assert day.day <= 12
        else:
            assert ends[0] == parse(text, dayfirst=first).date().isoformat()
