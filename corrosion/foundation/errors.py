"""Errors and warnings that this package raises on purpose.

::

    CorrosionError
    ├── InputError    (also ValueError)   a value given to a function is impossible
    ├── LookupFailed  (also LookupError)  no such metal, zone, system or assumption
    └── RecordError   (also ValueError)   a ship folder has problems: all of them
    ValidityWarning   (also UserWarning)  a model is used outside its source's range
"""

from collections.abc import Iterable
from dataclasses import dataclass
from typing import Self


class CorrosionError(Exception):
    """Base class: ``except CorrosionError`` catches everything raised here."""


class InputError(CorrosionError, ValueError):
    """A value given by the caller is impossible or contradictory."""


class LookupFailed(CorrosionError, LookupError):
    """A name is not in its table; the message offers the nearest valid one."""

    @classmethod
    def among(cls, what: str, name: str, known: Iterable[str]) -> Self:
        """Return the error for a name that is not among the known ones."""
        names = list(known)
        import difflib  # noqa: PLC0415 - only for what is wrong

        near = difflib.get_close_matches(name, names, n=1, cutoff=0.4)
        hint = f"did you mean {near[0]!r}? " if near else ""
        return cls(f"no {what} {name!r}; {hint}known: {', '.join(names) or 'none'}")


@dataclass(frozen=True, slots=True)
class Problem:
    """One thing wrong, or doubtful, in a user's file."""

    file: str  # file name relative to the ship folder
    # line in that file, counted from 1; None where the whole file is meant
    line: int | None
    column: str  # column or key; empty where the whole line is meant
    found: str  # what stands there
    expected: str  # what was expected, and what to do
    # of a doubt: 3 changes an answer many times over (a slip of unit or date), 2 moves
    # it, 1 does not
    weight: int = 1

    def __str__(self) -> str:
        """Return ``file:line: column: found; expected``."""
        where = self.file if self.line is None else f"{self.file}:{self.line}"
        column = f" {self.column}:" if self.column else ""
        return f"{where}:{column} {self.found}; {self.expected}"


class RecordError(CorrosionError, ValueError):
    """A ship folder has problems; ``problems`` holds every one of them."""

    def __init__(self, problems: Iterable[Problem]) -> None:
        self.problems = tuple(problems)
        super().__init__("\n".join(map(str, self.problems)))


class ValidityWarning(UserWarning):
    """A model is used outside the range that its source states."""
