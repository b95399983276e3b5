"""From a row as written to an SI record: one mapping for every table.

A column goes to the field that columns.csv names, or that of its own name. A blank
leaves the record's own default, yes and no become a truth value.
"""

from collections.abc import Hashable
from dataclasses import MISSING, fields
from functools import cache
from typing import TYPE_CHECKING, Any, Literal, TypeVar, cast, get_args

from corrosion.records.folder.cell_messages import choices, unit_of
from corrosion.records.folder.row import Row

if TYPE_CHECKING:
    from _typeshed import DataclassInstance

YesNo = Literal["yes", "no"]
T = TypeVar("T", bound="DataclassInstance")


@cache
def si_columns(model: type[Row], kind: Hashable) -> tuple[tuple[str, str, str], ...]:
    """Return field, column and SI name of each column that the record has."""
    known = {one.name for one in fields(cast("type[DataclassInstance]", kind))}
    found = (
        (name, info.alias or name, unit.si if (unit := unit_of(info)) else name)
        for name, info in model.model_fields.items()
    )
    return tuple(each for each in found if each[2] in known)


def record_of(row: Row, kind: type[T], **more: Any) -> T:
    """Return the SI record of a row.

    ``more``: fields that are not those of one column.
    """
    values: dict[str, Any] = {}
    if any(one.name == "line" for one in fields(kind)):
        values["line"] = row.line
    for name, si, factor, may_miss in _ways(type(row), kind):
        value = getattr(row, name)
        if si in more or (value is None and may_miss):
            continue
        if factor is None:
            value = value == "yes"
        elif factor != 1.0:
            value *= factor
        values[si] = value
    return kind(**values, **more)


@cache
def _ways(
    model: type[Row], kind: Hashable
) -> tuple[tuple[str, str, float | None, bool], ...]:
    """Return field, SI name, factor (None: yes or no) and whether a blank may stay."""
    known = {one.name: one for one in fields(cast("type[DataclassInstance]", kind))}
    ways = []
    for name, _, si in si_columns(model, kind):
        info = model.model_fields[name]
        unit = unit_of(info)
        yes_or_no = choices(info) == get_args(YesNo)
        factor = None if yes_or_no else 1.0 if unit is None else unit.factor
        ways.append((name, si, factor, known[si].default is not MISSING))
    return tuple(ways)
