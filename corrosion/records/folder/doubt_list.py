"""One list of doubts: the worst first, and many alike said once."""

import re
from collections.abc import Iterable, Mapping
from dataclasses import replace
from types import MappingProxyType
from typing import Final

from corrosion.foundation.errors import Problem
from corrosion.records.folder.files import TABLES

_ALONE: Final = 3  # so many alike are still said one by one
_LINES: Final = 5  # named of a group
_MOST: Final = 200  # of a list
_VARYING: Final = re.compile(r"'[^']*'|\"[^\"]*\"|-?\d[\d.,:e+-]*")
Places = Mapping[tuple[str, int | None], str]
"""From file and line to what rows are told apart by, such as a campaign's month."""


def grouped(
    doubts: Iterable[Problem], told_apart: Places = MappingProxyType({})
) -> tuple[Problem, ...]:
    """Return doubts with the worst first, those that differ in figures alone as one.

    A group stands at its first line and names how many and which.

    ``doubts``: in the order of files and lines. ``told_apart``: groups are made within
    these, and named by them: "38 gaugings of 2021-06".
    """
    groups: dict[tuple[str, tuple[object, ...]], list[Problem]] = {}
    for doubt in dict.fromkeys(doubts):
        shape = _VARYING.sub("#", doubt.found), _VARYING.sub("#", doubt.expected)
        within = told_apart.get((doubt.file, doubt.line), "")
        key = (doubt.file, doubt.column, doubt.weight, *shape)
        groups.setdefault((within, key), []).append(doubt)
    said: list[Problem] = []
    for (within, _), alike in groups.items():
        of = f" of {within}" if within else ""
        said += [_one(alike, of)] if len(alike) > _ALONE else alike
    said.sort(key=lambda doubt: -doubt.weight)
    if len(said) > _MOST:
        found = f"there are {len(said) - _MOST} further doubts"
        expected = "look into those above first, then check again"
        said = [*said[:_MOST], Problem("", None, "", found, expected)]
    return tuple(said)


def _one(alike: list[Problem], of: str) -> Problem:
    first = alike[0]
    lines = [str(doubt.line) for doubt in alike if doubt.line is not None]
    named = ", ".join(lines[:_LINES]) + (", ..." if len(lines) > _LINES else "")
    where = f" (lines {named})" if lines else ""
    table = first.file.removesuffix(".csv")
    noun = table if table in TABLES else "rows"
    found = f"{len(alike)} {noun}{of}{where} are alike, the first: {first.found}"
    return replace(first, found=found)


def worst_first(weighed: Iterable[tuple[int, Iterable[str]]]) -> tuple[str, ...]:
    """Return sentences with the worst first, those that differ in figures alone as one.

    ``weighed``: sentences with their weight, as a problem has it.
    """
    groups: dict[tuple[int, str], list[str]] = {}
    for weight, words in weighed:
        for one in words:
            alike = groups.setdefault((weight, _VARYING.sub("#", one)), [])
            if one not in alike:
                alike.append(one)
    said: list[str] = []
    for _, alike in sorted(groups.items(), key=lambda group: -group[0][0]):
        few = len(alike) <= _ALONE
        said += alike if few else [f"{len(alike)} are alike, the first: {alike[0]}"]
    return tuple(said)
