"""A sailor's words for what is wrong with a cell: its range, its unit, a way out."""

from collections.abc import Collection
from dataclasses import dataclass
from typing import Final, Literal, get_args, get_origin

from pydantic import ValidationError
from pydantic.fields import FieldInfo

from corrosion.records.dates import When

_DATE_FORM: Final = "a date as 1994, 1994-06, 1994-06-03 or 1994-06-03 14:20"
_OUTSIDE: Final = ("greater", "less")
_SHOWN: Final = 60
_LISTED: Final = 12
_COMPARED: Final = 300
_NO_LIMIT: Final = 1e9


@dataclass(frozen=True, slots=True)
class Unit:
    """Mark a column as a number, as columns.csv says."""

    unit: str  # as printed in messages; empty for a pure number
    slip: str  # what a number out of range most often is, and what to do
    factor: float  # SI value of one unit
    si: str  # the record's field


def shown(value: object) -> str:
    """Return a value as messages quote it, cut to a readable length."""
    if value is None:
        return "blank"
    text = repr(value) if isinstance(value, str) else str(value)
    return text if len(text) <= _SHOWN else f"{text[: _SHOWN - 3]}..."


def unknown(what: str, name: str, known: Collection[str]) -> tuple[str, str]:
    """Return what was found and what was expected for a name not in its list."""
    start = name[:1].casefold()
    alike = list(known)
    if len(alike) > _COMPARED:  # comparing each with each would take minutes
        alike = [row for row in alike if row[:1].casefold() == start][:_COMPARED]
    import difflib  # noqa: PLC0415 - only for what is wrong

    near = difflib.get_close_matches(name[:_SHOWN], alike, n=1, cutoff=0.6)
    if not near:
        near = [row for row in known if row.casefold().startswith(name.casefold())]
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

    ``value``: what stood there; None: blank. ``error``: why it could not be read.
    """
    first = error.errors(include_url=False)[0]
    if is_date(info) and value is not None:
        found, _, expected = str(first["ctx"]["error"]).partition("; ")
        return found, expected
    if is_date(info):
        return shown(value), _DATE_FORM
    if words := choices(info):
        import difflib  # noqa: PLC0415 - only for what is wrong

        near = difflib.get_close_matches(str(value).lower(), words, n=1, cutoff=0.5)
        hint = f"; did you mean {near[0]!r}?" if near else ""
        return shown(value), f"one of {', '.join(words)}{hint}"
    if unit := unit_of(info):
        return shown(value), _number_words(info, unit, value, first["type"])
    return shown(value), "true or false" if bool in _kinds(info) else "a name or words"


def _number_words(info: FieldInfo, unit: Unit, value: object, kind: str) -> str:
    """Return the range and unit of a number column, and what went wrong."""
    number = "a whole number" if int in _kinds(info) else "a number"
    expected = " ".join(
        part for part in (number, number_range(info), unit.unit) if part
    )
    if kind.startswith(_OUTSIDE):
        hint = unit.slip
    elif isinstance(value, str) and kind.endswith("_type"):
        hint = "write it without quotation marks"
    else:
        hint = _hint(str(value), kind, required=info.is_required())
    return f"{expected}; {hint}" if hint else expected


def number_range(info: FieldInfo) -> str:
    """Return the range of a number column; each has a lower and an upper bound."""
    bound = {type(mark).__name__: mark for mark in info.metadata}
    high = bound["Le"].le
    if "Gt" in bound:
        start = f"above {bound['Gt'].gt:g}"
        return start if high >= _NO_LIMIT else f"{start}, at most {high:g}"
    low = bound["Ge"].ge
    return f"at least {low:g}" if high >= _NO_LIMIT else f"from {low:g} to {high:g}"


def _hint(text: str, kind: str, *, required: bool) -> str:
    """Return what to do about the way in which a number is written."""
    if text.startswith("="):
        return "a formula is not read: write its value"
    if "," in text:
        return "write a point; decimal commas need semicolons between the columns"
    if kind == "float_parsing" and text[0].isdigit():
        return "write the number alone, without its unit"
    if kind == "float_parsing" and not required:
        return "leave it blank where it is not known"
    return ""


def choices(info: FieldInfo) -> tuple[str, ...]:
    """Return the words that a column knows; empty: it is not one of a closed list."""
    lists = (get_args(kind) for kind in _kinds(info) if get_origin(kind) is Literal)
    return next(lists, ())


def _kinds(info: FieldInfo) -> tuple[object, ...]:
    return (info.annotation, *get_args(info.annotation))
