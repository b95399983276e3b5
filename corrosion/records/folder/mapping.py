"""From a row as written to an SI record, and back: one mapping for every table.

A column goes to the field of its SI name: its own without the unit's suffix, or the
one that its :class:`Unit` tells. A blank leaves the record's own default, yes and no
become a truth value.
"""

from collections.abc import Hashable, Iterator
from dataclasses import MISSING, fields
from functools import cache
from typing import TYPE_CHECKING, Any, Literal, TypeVar, cast, get_args

from pydantic.fields import FieldInfo

from corrosion.records.dates import When
from corrosion.records.folder.cell_messages import choices, unit_of
from corrosion.records.folder.row import Row

if TYPE_CHECKING:
    from _typeshed import DataclassInstance

YesNo = Literal["yes", "no"]
Value = str | float | When | bool | None
"""What may stand in a cell."""

T = TypeVar("T", bound="DataclassInstance")


@cache
def _pairs(model: type[Row], kind: Hashable) -> tuple[tuple[str, str, str], ...]:
    """Return field, column and SI name of each column that the record has."""
    known = {one.name for one in fields(cast("type[DataclassInstance]", kind))}
    found = (
        (name, info.alias or name, _si_name(name, info))
        for name, info in model.model_fields.items()
    )
    return tuple(each for each in found if each[2] in known)


def _si_name(name: str, info: FieldInfo) -> str:
    unit = unit_of(info)
    if unit is None:
        return name
    return unit.si or name.removesuffix(unit.suffix)


def record_of(row: Row, kind: type[T], **more: Any) -> T:
    """Return the SI record of a row.

    ``more``: fields that are not those of one column.
    """
    known = {one.name: one for one in fields(kind)}
    values: dict[str, Any] = {"line": row.line} if "line" in known else {}
    for name, _, si in _pairs(type(row), kind):
        info, value = type(row).model_fields[name], getattr(row, name)
        if si in more or (value is None and known[si].default is not MISSING):
            continue
        unit = unit_of(info)
        if unit is not None and unit.factor != 1.0:
            value *= unit.factor
        elif choices(info) == get_args(YesNo):
            value = value == "yes"
        values[si] = value
    return kind(**values, **more)


def cells_of(model: type[Row], record: "DataclassInstance") -> dict[str, Value]:
    """Return what stands in the columns of a record's row."""
    return dict(_cells(model, record))


def _cells(model: type[Row], record: Any) -> Iterator[tuple[str, Value]]:
    for name, column, si in _pairs(model, record.__class__):
        info, value = model.model_fields[name], getattr(record, si)
        unit = unit_of(info)
        if unit is not None and value is not None and unit.factor != 1.0:
            value /= unit.factor
        elif isinstance(value, bool) and choices(info):
            value = "yes" if value else "no"
        yield column, value
