"""Dates as people say them, as the first and the last ISO date that they can mean.

Only what reads one way: ``03.06.1994`` is day first wherever dots are written, in
``25/12/1994`` 25 can only be the day. ``3/6/1994`` is left to its column.
"""

import re
from collections.abc import Iterable
from typing import Final, Literal

DayFirst = Literal["day", "month"]  # what is written first in a date of figures
_NAMES: Final = "jan jän|feb|mar mär|apr|may mai|jun|jul|aug|sep|oct okt|nov|dec dez"
_MONTHS: Final = {
    name: f"{k:02d}"
    for k, names in enumerate(_NAMES.split("|"), 1)
    for name in names.split()
}
_TIME: Final = r"(?P<time>[ T,]+\d{1,2}[:.]\d{2}.*)?"
_FIGURES: Final = re.compile(
    rf"(?P<a>\d{{1,2}})(?P<mark>[./-])(?P<b>\d{{1,2}})(?P=mark)(?P<year>\d{{4}}){_TIME}",
    re.ASCII,
)
_YEAR_FIRST: Final = re.compile(
    rf"(?P<year>\d{{4}})(?P<mark>[./])(?P<b>\d{{1,2}})"
    rf"(?:(?P=mark)(?P<a>\d{{1,2}}){_TIME})?",
    re.ASCII,
)
_JOINED: Final = re.compile(r"((?:1[5-9]|20|21)\d\d)(\d\d)(\d\d)", re.ASCII)
_MONTH_YEAR: Final = re.compile(r"(\d{1,2})[./](\d{4})", re.ASCII)
_NAMED: Final = re.compile(
    rf"(?:(?P<a>\d{{1,2}})(?:st|nd|rd|th)?\.?[ -]*)?(?P<month>[a-zäû]{{3,9}})\.?[ -]*"
    rf"(?:(?P<b>\d{{1,2}})(?:st|nd|rd|th)?,?[ -]+)?(?P<year>\d{{4}}){_TIME}",
    re.ASCII | re.IGNORECASE,
)
_DECADE: Final = re.compile(r"(\d{3})0['’]?s", re.ASCII)
_ABOUT: Final = re.compile(
    r"(?:ca?\.?|circa|about|~|≈)\s*(\d{4})|(\d{4})\s*\?", re.ASCII
)
_RANGE: Final = re.compile(r"(\d{4})\s*(?:-|–|—|/|to|until)\s*(\d{4})", re.ASCII)
_CLOCK: Final = re.compile(
    r"[ T,]+(?P<h>\d{1,2})[:.](?P<m>\d{2})(?P<s>:\d{2})?\s*(?P<half>[ap])\.?m\.?", re.I
)


def iso_dates(text: str, first: DayFirst | None = None) -> tuple[str, str] | None:
    """Return the first and last ISO date that a text means; None: it is no such date.

    ``text``: as it stands in a cell. ``first`` ({'day', 'month'}): what the column
    writes first, where a date of figures does not tell.

    Examples
    --------
    >>> iso_dates("3 June 1994"), iso_dates("1990s"), iso_dates("3/6/1994")
    (('1994-06-03', '1994-06-03'), ('1990', '1999'), None)
    """
    text = text.strip().lower()
    if match := _RANGE.fullmatch(text):
        return match[1], match[2]
    if match := _DECADE.fullmatch(text):
        return f"{match[1]}0", f"{match[1]}9"
    if match := _ABOUT.fullmatch(text):
        year = int(match[1] or match[2])
        return f"{year - 1:04d}", f"{year + 1:04d}"
    plain = _plain(text, first)
    return None if plain is None else (plain, plain)


def _plain(text: str, first: DayFirst | None) -> str | None:
    if match := _JOINED.fullmatch(text):
        return "-".join(match.groups())
    if match := _MONTH_YEAR.fullmatch(text):
        return f"{match[2]}-{match[1]:0>2}"
    if match := _YEAR_FIRST.fullmatch(text):
        day = f"-{match['a']:0>2}" if match["a"] else ""
        return f"{match['year']}-{match['b']:0>2}{day}{_time(match['time'])}"
    if match := _NAMED.fullmatch(text):
        month = _MONTHS.get(match["month"][:3])
        day = match["a"] or match["b"]
        if month is None or (match["a"] and match["b"]):
            return None
        ending = f"-{day:0>2}{_time(match['time'])}" if day else ""
        return f"{match['year']}-{month}{ending}"
    return _figures(text, first)


def _figures(text: str, first: DayFirst | None) -> str | None:
    match = _FIGURES.fullmatch(text)
    told = match and (_told(match) or first)
    if match is None or told is None:
        return None
    day, month = match["a"], match["b"]
    if told == "month":
        day, month = month, day
    return f"{match['year']}-{month:0>2}-{day:0>2}{_time(match['time'])}"


def _told(match: re.Match[str]) -> DayFirst | None:
    """Return what a date of figures itself says of its order."""
    a, b = int(match["a"]), int(match["b"])
    if match["mark"] == "." or a > 12 or a == b:
        return "day"
    return "month" if b > 12 else None


def _time(text: str | None) -> str:
    """Return a time of day as ISO writes it, with a blank before it."""
    if text is None:
        return ""
    match = _CLOCK.fullmatch(text)
    if match is None:
        return " " + text.lstrip(" t,").upper()
    hour = int(match["h"]) % 12 + 12 * (match["half"] == "p")
    return f" {hour:02d}:{match['m']}{match['s'] or ''}"


def day_first(cells: Iterable[str]) -> DayFirst | None:
    """Return what the dates of a column write first; None: none or both tell."""
    matches = (_FIGURES.fullmatch(cell.strip().lower()) for cell in cells)
    told = {
        _told(match)
        for match in matches
        if match and match["mark"] != "." and match["a"] != match["b"]
    } - {None}
    return told.pop() if len(told) == 1 else None


def rewritten(cell: str, first: DayFirst | None) -> str | None:
    """Return an ISO date for one that only its column can tell; None: no such date."""
    match = _FIGURES.fullmatch(cell.strip().lower())
    if match is None or _told(match) is not None:
        return None
    return _figures(cell.strip().lower(), first)
