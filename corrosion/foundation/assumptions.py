"""Assumptions: every constant and unknown of the model, with spread and source.

The rows are in ``assumptions.csv`` beside this file; the dashboard, the report and the
documentation print that table. A quantity with a spread is lognormal: its median, a
geometric standard deviation, and the limits at which it is cut off. A geometric
standard deviation of 1 is a fixed value.

A ship carries her own :class:`Assumptions`, the table with her own entries laid over
it, and hands them down: which numbers hold is never a matter of where a call is made.
"""

from collections.abc import Iterator, Mapping
from dataclasses import dataclass, field, replace
from functools import cache
from math import inf
from typing import Final, Literal, Self, cast, get_args

from corrosion.foundation.data_files import csv_rows
from corrosion.foundation.errors import InputError, LookupFailed

Status = Literal["published", "common practice", "judgement", "from memory", "user"]
_STATUSES: Final = frozenset(get_args(Status))


@dataclass(frozen=True, slots=True, kw_only=True)
class Assumption:
    """One row of the table of assumptions.

    Raises InputError if the median is not positive or lies outside its limits, or the
    geometric standard deviation is below 1.
    """

    name: str  # as in ``[assumption.NAME]`` of ship.toml
    median: float  # in ``unit``
    geometric_sd: float  # at least 1; 1: a fixed value [-]
    # low, high: limits at which the distribution is cut off, in ``unit``
    low: float
    high: float
    unit: str
    source: str  # where the value comes from
    status: Status  # ``from memory``: recalled and not read; ``user``: of ship.toml
    meaning: str  # what it stands for

    def __post_init__(self) -> None:
        if not (self.median > 0.0 and self.low <= self.median <= self.high < inf):
            msg = (
                f"{self.name}: median must be positive and lie between {self.low:g} "
                f"and {self.high:g} {self.unit}, got {self.median:g}"
            )
            raise InputError(msg)
        if not 1.0 <= self.geometric_sd < inf:
            msg = (
                f"{self.name}: spread is a geometric standard deviation and must be "
                f"1 (exact) or more, got {self.geometric_sd:g}"
            )
            raise InputError(msg)
        if not self.source or self.status not in _STATUSES:
            msg = f"{self.name}: needs a source, and one of {sorted(_STATUSES)}"
            raise InputError(msg)

    @property
    def overridden(self) -> bool:
        """Whether a ship states this entry herself."""
        return self.status == "user"


@dataclass(frozen=True, slots=True)
class Assumptions(Mapping[str, Assumption]):
    """The table of assumptions, with one ship's own entries laid over it.

    A frozen value: equal where all rows are equal, and usable as a key of a cache.

    Examples
    --------
    >>> own = default_assumptions().override("shore_earth_ohm", median=4.0, why="test")
    >>> own.value("shore_earth_ohm")
    4.0
    """

    rows: tuple[Assumption, ...]
    _by_name: dict[str, Assumption] = field(init=False, repr=False, compare=False)

    def __post_init__(self) -> None:
        by_name = {row.name: row for row in self.rows}
        object.__setattr__(self, "_by_name", by_name)

    def __getitem__(self, name: str) -> Assumption:
        """Return one row.

        Raises LookupFailed if the table has no such row.
        """
        try:
            return self._by_name[name]
        except KeyError:
            raise LookupFailed.among("assumption", name, self._by_name) from None

    def __iter__(self) -> Iterator[str]:
        return iter(self._by_name)

    def __len__(self) -> int:
        return len(self.rows)

    def value(self, name: str) -> float:
        """Return the median of one row, in its own unit.

        Raises LookupFailed if the table has no such row.

        Examples
        --------
        >>> default_assumptions().value("substantial_share")
        0.75
        """
        return self[name].median

    @property
    def overridden(self) -> tuple[Assumption, ...]:
        """The rows that the ship states herself, in the order of the table."""
        return tuple(row for row in self.rows if row.overridden)

    def override(
        self, name: str, *, median: float, spread: float = 1.0, why: str = ""
    ) -> Self:
        """Return the table with one row as the user states it, the user its source.

        Parameters
        ----------
        name : str
            Which row.
        median : float
            Median, in the row's unit.
        spread : float, optional
            Geometric standard deviation. [-]
        why : str, optional
            The user's reason.

        Raises
        ------
        LookupFailed
            If the table has no such row.
        InputError
            If the median leaves the row's limits or the spread is below 1.
        """
        own = replace(
            self[name],
            median=median,
            geometric_sd=spread,
            source=why or "restated in ship.toml, no reason written",
            status="user",
        )
        return replace(
            self, rows=tuple(own if row.name == name else row for row in self.rows)
        )


@cache
def default_assumptions() -> Assumptions:
    """Return the table as it stands in the file, in its order.

    Raises InputError if a row is given twice or is not sound.
    """
    rows: list[Assumption] = []
    for row in csv_rows(__file__, "assumptions.csv"):
        median = float(row["median"])
        fixed = float(row["geometric_sd"]) == 1.0
        if any(row["name"] == other.name for other in rows):
            msg = f"assumptions.csv: {row['name']} is given twice"
            raise InputError(msg)
        rows.append(
            Assumption(
                name=row["name"],
                median=median,
                geometric_sd=float(row["geometric_sd"]),
                low=float(row["low"] or (median / 100.0 if fixed else 0.0)),
                high=float(row["high"] or median * 100.0),
                unit=row["unit"],
                source=row["source"],
                status=cast("Status", row["status"]),
                meaning=row["meaning"],
            )
        )
    return Assumptions(tuple(rows))
