"""Dates as written: an interval of time, as wide as what was written.

``1994`` is some moment of that year, ``1994-06-03 14:20`` some moment of that
minute. Moments are seconds since 1970-01-01 00:00 of ship's time; where an offset
was written, of Coordinated Universal Time.
"""

import calendar
import re
from dataclasses import dataclass
from datetime import UTC, date, datetime, timedelta
from typing import Final

from corrosion.foundation.errors import InputError
from corrosion.foundation.units import DAY, MINUTE
from corrosion.records.said_dates import iso_dates

_FORM: Final = re.compile(
    r"(?P<year>\d{4})"
    r"(?:-(?P<month>\d{1,2})"
    r"(?:-(?P<day>\d{1,2})"
    r"(?:[ T](?P<hour>\d{1,2}):(?P<minute>\d{2})(?::(?P<second>\d{2}(?:\.\d+)?))?"
    r"\s*(?P<offset>Z|[+-]\d{2}:?\d{2})?)?)?)?",
    re.ASCII,
)
_DAY_NUMBER: Final = re.compile(r"[2-6]\d{4}(?:\.\d+)?", re.ASCII)
_SHORT: Final = re.compile(r"\d{1,2}[./-]\d{1,2}[./-]\d{2}", re.ASCII)
_EPOCH: Final = datetime(1970, 1, 1)  # noqa: DTZ001 - ship's time carries no zone


@dataclass(frozen=True, slots=True, kw_only=True)
class When:
    """A date as written, and the interval of time that it names."""

    text: str  # the date as written
    # earliest, latest: the interval, `earliest <= latest`, from 1970-01-01 00:00 [s]
    earliest: float
    latest: float

    def __post_init__(self) -> None:
        if not self.earliest <= self.latest:  # written so that NaN fails too
            msg = f"date {self.text!r}: its end lies before its beginning."
            raise InputError(msg)

    @property
    def width(self) -> float:
        """Length of the interval in seconds."""
        return self.latest - self.earliest

    @property
    def middle(self) -> float:
        """Middle of the interval, in seconds from 1970-01-01 00:00."""
        return 0.5 * (self.earliest + self.latest)


def as_written(text: str) -> When:
    """Read a date as written.

    The interval of time that the text names.

    ``text``: ``1994``, ``1994-06``, ``1994-06-03`` or ``1994-06-03 14:20`` (ISO 8601;
    seconds and an offset such as ``+01:00`` or ``Z`` may follow). Also what reads one
    way only: ``3 June 1994``, ``03.06.1994``, ``1990s``, ``1991 to 1994``; ``ca. 1991``
    is that year or the one before or after it.

    Raises InputError if the text is not such a date, or names a day that does not
    exist.

    References
    ----------
    .. [1] ISO 8601-1:2019, "Date and time - Representations for information
       interchange" (form of the calendar date, from memory).

    Examples
    --------
    >>> when = as_written("1994-06")
    >>> when.width / 86400.0
    30.0
    """
    match = _FORM.fullmatch(text.strip())
    if match is None:
        ends = iso_dates(text)
        if ends is None or not all(map(_FORM.fullmatch, ends)):
            msg = (
                f"{text!r} is not a date; write 1994, 1994-06, 1994-06-03 or "
                f"1994-06-03 14:20{_hint(text.strip())}"
            )
            raise InputError(msg)
        first, last = map(as_written, ends)
        if last.latest < first.earliest:
            msg = f"{text!r} ends before it begins; exchange the years"
            raise InputError(msg)
        return When(text=text.strip(), earliest=first.earliest, latest=last.latest)
    part = match.groupdict()
    year, month, day = (int(part[name] or 1) for name in ("year", "month", "day"))
    second = float(part["second"] or 0.0)
    try:
        start = datetime(  # noqa: DTZ001 - ship's time carries no zone
            year, month, day, int(part["hour"] or 0), int(part["minute"] or 0)
        )
        earliest = (start - _EPOCH).total_seconds() + second - _offset(part["offset"])
    except ValueError as error:
        msg = f"{text!r} is not a date that exists; {error}"
        raise InputError(msg) from None
    if second >= MINUTE:
        msg = f"{text!r} is not a time that exists; seconds run from 0 to 59"
        raise InputError(msg)
    return When(text=text.strip(), earliest=earliest, latest=earliest + _width(part))


def _hint(text: str) -> str:
    """Return what is probably wrong with what is no date."""
    if _DAY_NUMBER.fullmatch(text):
        return " (a spreadsheet's number of days: show the cells as dates there)"
    return " (all four figures of the year)" if _SHORT.fullmatch(text) else ""


def _offset(text: str | None) -> float:
    if text is None or text == "Z":
        return 0.0
    hours, minutes = int(text[1:3]), int(text[-2:])
    if hours >= 24 or minutes >= 60:
        msg = f"offset {text} is out of range"
        raise ValueError(msg)
    size = timedelta(hours=hours, minutes=minutes).total_seconds()
    return -size if text[0] == "-" else size


def _width(part: dict[str, str | None]) -> float:
    """Return the length of what was written: a year, month, day, minute or second."""
    year, month = int(part["year"] or 1), int(part["month"] or 1)
    if part["second"] is not None:
        return 1.0
    if part["hour"] is not None:
        return MINUTE
    if part["day"] is not None:
        return DAY
    if part["month"] is not None:
        return calendar.monthrange(year, month)[1] * DAY
    return (366 if calendar.isleap(year) else 365) * DAY


def moment_of(day: date) -> float:
    """Return midnight at the beginning of a day, in seconds from 1970-01-01."""
    return (datetime(day.year, day.month, day.day) - _EPOCH).total_seconds()  # noqa: DTZ001 - ship's time carries no zone


def day_of(moment: float) -> date:
    """Return the calendar day of a moment in seconds from 1970-01-01.

    Raises InputError if the moment lies outside the years 1 to 9999.
    """
    try:
        return (datetime.fromtimestamp(0, UTC) + timedelta(seconds=moment)).date()
    except (OverflowError, ValueError):
        msg = f"day_of: moment must lie in the years 1 to 9999, got {moment:g} s."
        raise InputError(msg) from None
