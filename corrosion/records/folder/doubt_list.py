"""One list of doubts: the worst first, and many alike said once."""

import re
from collections.abc import Iterable
from dataclasses import replace
from typing import Final

from corrosion.foundation.errors import Problem

__all__ = ["grouped"]

_ALONE: Final = 3  # so many alike are still said one by one
_LINES: Final = 5  # named of a group
_MOST: Final = 200  # of a list
_VARYING: Final = re.compile(r"'[^']*'|\"[^\"]*\"|-?\d[\d.,:e+-]*")


def grouped(doubts: Iterable[Problem]) -> tuple[Problem, ...]:
    """Return doubts with the worst first, those that differ in figures alone as one.

    Parameters
    ----------
    doubts : iterable of Problem
        In the order of files and lines.

    Returns
    -------
    tuple of Problem
        A group stands at its first line and names how many and which.
    """
    groups: dict[tuple[object, ...], list[Problem]] = {}
    for doubt in dict.fromkeys(doubts):
        shape = _VARYING.sub("#", doubt.found), _VARYING.sub("#", doubt.expected)
        key = (doubt.file, doubt.column, doubt.weight, *shape)
        groups.setdefault(key, []).append(doubt)
    said: list[Problem] = []
    for alike in groups.values():
        said += [_one(alike)] if len(alike) > _ALONE else alike
    said.sort(key=lambda doubt: -doubt.weight)
    if len(said) > _MOST:
        found = f"{len(said) - _MOST} further doubts"
        expected = "those above looked into first; then check again"
        rest = Problem(file="", line=None, column="", found=found, expected=expected)
        said = [*said[:_MOST], rest]
    return tuple(said)


def _one(alike: list[Problem]) -> Problem:
    first = alike[0]
    lines = [str(doubt.line) for doubt in alike if doubt.line is not None]
    named = ", ".join(lines[:_LINES]) + (", ..." if len(lines) > _LINES else "")
    where = f" (lines {named})" if lines else ""
    return replace(
        first,
        found=f"in {len(alike)} rows{where} the same question, first: {first.found}",
    )
