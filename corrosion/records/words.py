"""A sailor's words for what is wrong with a cell: its range, its unit, a way out."""

import difflib
from collections.abc import Collection
from dataclasses import dataclass
from math import inf
from typing import Final, Literal, get_args, get_origin

from pydantic import ValidationError
from pydantic.fields import FieldInfo

from corrosion.records.dates import When

__all__ = ["Unit", "cell_words", "is_date", "shown", "unit_of", "unknown"]

_DATE_FORM: Final = "a date as 1994, 1994-06, 1994-06-03 or 1994-06-03 14:20"
_OUTSIDE: Final = ("greater", "less")
_SHOWN: Final = 60
_LISTED: Final = 12
_NO_LIMIT: Final = 1e9


@dataclass(frozen=True, slots=True)
class Unit:
    """Mark a column as a number.

    Attributes
    ----------
    unit : str
        Unit as printed in messages; empty for a pure number.
    slip : str
        What a number out of range most often is, and what to do.
    """

    unit: str = ""
    slip: str = ""


def shown(value: object) -> str:
    """Return a value as messages quote it, cut to a readable length."""
    if value is None:
        return "blank"
    text = repr(value) if isinstance(value, str) else str(value)
    return text if len(text) <= _SHOWN else f"{text[: _SHOWN - 3]}..."


def unknown(what: str, name: str, known: Collection[str]) -> tuple[str, str]:
    """Return what was found and what was expected for a name not in its list."""
    near = difflib.get_close_matches(name, known, n=1, cutoff=0.5)
    if not near:
        near = [row for row in known if row.casefold() == name.casefold()]
    listed = ", ".join(list(known)[:_LISTED]) + (" ..." if len(known) > _LISTED else "")
    hint = f"did you mean {near[0]!r}?" if near else f"known: {listed or 'none'}"
    return f"no {what} {shown(name)}", hint


def unit_of(info: FieldInfo) -> Unit | None:
    """Return the unit of a number column; None: it holds no number."""
    return next((mark for mark in info.metadata if isinstance(mark, Unit)), None)


def is_date(info: FieldInfo) -> bool:
    """Return whether a column holds a date as written."""
    return When in _kinds(info)


def cell_words(
    info: FieldInfo, value: object, error: ValidationError
) -> tuple[str, str]:
    """Return what stood in a cell, and what was expected with a way to put it right.

    Parameters
    ----------
    info : FieldInfo
        The column.
    value : object
        What stood there; None: blank.
    error : ValidationError
        Why it could not be read.

    Returns
    -------
    tuple of str
        Found, and expected.
    """
    first = error.errors(include_url=False)[0]
    if is_date(info) and value is not None:
        found, _, expected = str(first["ctx"]["error"]).partition("; ")
        return found, expected
    if is_date(info):
        return shown(value), _DATE_FORM
    if choices := _choices(info):
        near = difflib.get_close_matches(str(value).lower(), choices, n=1, cutoff=0.5)
        hint = f"; did you mean {near[0]!r}?" if near else ""
        return shown(value), f"one of {', '.join(choices)}{hint}"
    if unit := unit_of(info):
        return shown(value), _number_words(info, unit, value, first["type"])
    return shown(value), "true or false" if bool in _kinds(info) else "a name or words"


def _number_words(info: FieldInfo, unit: Unit, value: object, kind: str) -> str:
    """Return the range and unit of a number column, and what went wrong."""
    number = "a whole number" if int in _kinds(info) else "a number"
    expected = " ".join(part for part in (number, _range(info), unit.unit) if part)
    hint = unit.slip if kind.startswith(_OUTSIDE) else _hint(value)
    if not hint and kind.endswith("_parsing") and not info.is_required():
        hint = "leave it blank where it is not known"
    if isinstance(value, str) and kind.endswith("_type"):
        hint = "write it without quotation marks"
    return f"{expected}; {hint}" if hint else expected


def _range(info: FieldInfo) -> str:
    bound = {type(mark).__name__: mark for mark in info.metadata}
    low = bound["Ge"].ge if "Ge" in bound else None
    above = bound["Gt"].gt if "Gt" in bound else None
    high = bound["Le"].le if "Le" in bound else inf
    start = f"from {low:g}" if low is not None else f"above {above:g}"
    if low is None and above is None:
        return ""
    if high >= _NO_LIMIT:
        return start.replace("from", "at least")
    return f"{start} to {high:g}" if low is not None else f"{start}, at most {high:g}"


def _hint(value: object) -> str:
    """Return what to do about the way in which a number is written."""
    text = str(value)
    if text.startswith("="):
        return "a formula is not read: write its value"
    if "," in text:
        return "write a point; a decimal comma needs columns parted by semicolons"
    return ""


def _choices(info: FieldInfo) -> tuple[str, ...]:
    lists = (get_args(kind) for kind in _kinds(info) if get_origin(kind) is Literal)
    return next(lists, ())


def _kinds(info: FieldInfo) -> tuple[object, ...]:
    return (info.annotation, *get_args(info.annotation))
