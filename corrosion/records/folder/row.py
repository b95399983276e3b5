"""One row as the crew wrote it: each cell checked, each problem in a sailor's words.

A row model names the columns of a file (or the keys of a table of ship.toml);
columns.csv has their units and ranges. Reading never stops at the first bad cell: what
cannot be read stands for *anything*, so that the checks across rows and files still run
and every problem is found in one pass.
"""

from collections.abc import Iterator, Mapping
from dataclasses import dataclass, field
from functools import cache
from math import inf, nan
from typing import Annotated, Any, ClassVar, Final, TypeVar, cast, get_args

from annotated_types import Ge, Gt, Le
from pydantic import (
    BaseModel,
    BeforeValidator,
    ConfigDict,
    PlainValidator,
    PrivateAttr,
    ValidationError,
    ValidationInfo,
    ValidatorFunctionWrapHandler,
    field_validator,
)
from pydantic.fields import FieldInfo

from corrosion.foundation.data_files import csv_rows
from corrosion.foundation.errors import Problem
from corrosion.records.dates import When, as_written
from corrosion.records.folder.cell_messages import (
    Unit,
    cell_words,
    choices,
    is_date,
    unit_of,
)

UNREADABLE: Final = object()
"""Stands for a cell whose problem has been reported already."""

UNREAD: Final = "\0"
"""What an unreadable text cell holds: no file has it, no check compares equal."""

_ANY_TIME: Final = When(text="?", earliest=-inf, latest=inf)


@dataclass(frozen=True, slots=True, kw_only=True)
class Spot:
    """Where a row stands."""

    file: str  # file name relative to the ship folder
    line: int | None  # line of the row, or of the table's heading
    # table of ship.toml, put before the key in messages; empty for a csv file
    table: str = ""
    # line of each key, where keys have lines of their own
    lines: Mapping[str, int] = field(default_factory=dict)

    def problem(
        self, column: str, found: str, expected: str, *, weight: int = 1
    ) -> Problem:
        """Return a problem, or a doubt of some weight, at one column of this row."""
        name = f"{self.table}.{column}".strip(".") if self.table else column
        line = self.lines.get(column, self.line)
        return Problem(self.file, line, name, found, expected, weight)


_Context = tuple[Spot, list[Problem]]


def _date(value: object) -> When:
    return as_written(str(value))


def _fold(value: object) -> object:
    return value.lower() if isinstance(value, str) else value


FOLD: Final = BeforeValidator(_fold)  # read a word in either case


def or_none(value: object, number: ValidatorFunctionWrapHandler) -> object:
    """Read a number, or the word none: no such conductor is infinitely many ohms."""
    none = isinstance(value, str) and value.lower() == "none"
    return inf if none else number(value)


Date = Annotated[When, PlainValidator(_date)]
MaybeDate = Annotated[When | None, PlainValidator(_date)]


@cache
def column_rows() -> Mapping[tuple[str, str], Mapping[str, str]]:
    """Return the rows of columns.csv by table and column."""
    rows = csv_rows(__file__, "columns.csv")
    return {(row["table"], row["column"]): row for row in rows}


class Row(BaseModel):
    """One row of a file; :func:`read_row` makes it.

    Unit and range of its numbers are those of columns.csv.
    """

    model_config = ConfigDict(
        allow_inf_nan=False,
        extra="forbid",
        defer_build=True,  # until the ranges are known
    )
    table: ClassVar[str] = ""  # as columns.csv names it
    _spot: Spot = PrivateAttr()

    @classmethod
    def __pydantic_init_subclass__(cls, **kwargs: Any) -> None:
        """Mark the columns that hold numbers."""
        super().__pydantic_init_subclass__(**kwargs)
        for name, info in cls.model_fields.items():
            told = column_rows().get((cls.table, info.alias or name), {})
            if low := told.get("low", ""):
                whole = int in (info.annotation, *get_args(info.annotation))
                number: type[int | float] = int if whole else float
                least = number(low.removeprefix(">"))
                factor, field = float(told["factor"] or 1.0), told["field"] or name
                info.metadata[:0] = [  # before what else it reads, such as none
                    Unit(told["unit"], told["slip"], factor, field),
                    Gt(least) if low.startswith(">") else Ge(least),
                    Le(number(told["high"])),
                ]

    @property
    def line(self) -> int:
        """Line of the row in its file."""
        return self._spot.line or 0

    def problem(
        self, column: str, found: str, expected: str, *, weight: int = 1
    ) -> Problem:
        """Return a problem, or a doubt of some weight, at one column of this row."""
        return self._spot.problem(column, found, expected, weight=weight)

    def finding(self, check: str, /, **more: object) -> Problem:
        """Return a problem or doubt in the words of checks.csv.

        They name cells of this row, and what else they need.
        """
        words, cells = _checks()[check], {**self.__dict__, **more}
        column, found, expected = (
            words[part].format_map(cells) for part in ("column", "found", "expected")
        )
        return self.problem(column, found, expected, weight=int(words["weight"] or 1))

    def findings(
        self, wrong: Mapping[str, object], /, **more: object
    ) -> Iterator[Problem]:
        """Yield a finding for each check that is true."""
        for check, holds in wrong.items():
            if holds:
                yield self.finding(check, **more)

    @field_validator("*", mode="wrap")
    @classmethod
    def _read(
        cls, value: object, handler: ValidatorFunctionWrapHandler, info: ValidationInfo
    ) -> object:
        name = info.field_name or ""
        if value is UNREADABLE:
            return _anything(cls.model_fields[name])
        if isinstance(value, str) and (known := _words(cls, name)):
            value = known.get(value.casefold(), value)
        try:
            return handler(value)
        except ValidationError as error:
            spot, problems = cast("_Context", info.context)
            column = cls.model_fields[name]
            words = cell_words(column, value, error)
            problems.append(spot.problem(column.alias or name, *words))
            return _anything(column)


R = TypeVar("R", bound=Row)


@cache
def _words(model: type[Row], name: str) -> Mapping[str, str]:
    """Return the words that a column knows, by how they read in small letters."""
    return {word.casefold(): word for word in choices(model.model_fields[name])}


@cache
def _checks() -> Mapping[str, Mapping[str, str]]:
    """Return column, weight and words of each check."""
    return {row["check"]: row for row in csv_rows(__file__, "checks.csv")}


def read_row(
    model: type[R], values: Mapping[str, object], spot: Spot, problems: list[Problem]
) -> R:
    """Read one row; what cannot be read is added to the problems.

    Only to be used beyond checks where no problem was added.

    ``values``: cells by column, blank cells left out, no unknown column. ``problems``:
    is extended.
    """
    blank: dict[str, object] = dict.fromkeys(required_columns(model))
    row = model.model_validate({**blank, **values}, context=(spot, problems))
    row._spot = spot
    return row


@cache
def columns(model: type[Row]) -> tuple[str, ...]:
    """Return the column names of a model, in the order of the design."""
    return tuple(info.alias or name for name, info in model.model_fields.items())


def column_field(model: type[Row], column: str) -> FieldInfo:
    """Return what a model says of one of its columns."""
    fields = model.model_fields.items()
    return next(info for name, info in fields if column in (name, info.alias))


@cache
def required_columns(model: type[Row]) -> tuple[str, ...]:
    """Return the columns that may not be blank."""
    fields = model.model_fields.items()
    return tuple(info.alias or name for name, info in fields if info.is_required())


@cache
def date_fields(model: type[Row]) -> tuple[tuple[str, str], ...]:
    """Return field and column name of each date as written."""
    fields = model.model_fields.items()
    return tuple((name, info.alias or name) for name, info in fields if is_date(info))


def _anything(info: FieldInfo) -> object:
    """Return a value on which no later check can trip."""
    if is_date(info):
        return _ANY_TIME
    return nan if unit_of(info) else UNREAD
