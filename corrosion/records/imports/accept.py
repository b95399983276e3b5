"""Proposed rows shown to whoever asked, and saved once they agree."""

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import replace
from pathlib import Path
from typing import Final

from corrosion.foundation.errors import InputError, Problem, RecordError
from corrosion.records.folder.save_table import save_tables
from corrosion.records.imports.proposal import Proposal

_SHOWN: Final = 5
_PROBLEMS: Final = 20


def save(folder: str | Path, proposals: Sequence[Proposal]) -> None:
    """Add the rows of proposals to the ship folder: all of them or none.

    Raises InputError if a question is open. Raises RecordError if a cell cannot be
    read, or the folder would have problems.
    """
    for one in proposals:
        for question in one.questions:
            msg = f"{one.sheet}: {question.words} Tell its unit; nothing was saved."
            raise InputError(msg)
    problems = [problem for one in proposals for problem in one.problems]
    if problems:
        raise RecordError(problems)
    added: dict[str, list[dict[str, str]]] = {}
    for one in proposals:
        added.setdefault(one.table, []).extend(one.rows)
    ends = {table: _last_line(Path(folder) / f"{table}.csv") for table in added}
    try:
        save_tables(folder, {table: rows for table, rows in added.items() if rows})
    except RecordError as error:
        places = {
            (f"{one.table}.csv", ends[one.table] + n): (one.sheet, line)
            for one in proposals
            for n, line in enumerate(one.lines, start=1)
        }
        raise RecordError(_in_her_sheet(error.problems, places)) from None


def _last_line(path: Path) -> int:
    """Return the last line of a table's file; a new one has its header there."""
    data = path.read_bytes() if path.exists() else b"\n"
    return data.count(b"\n") + (not data.endswith(b"\n"))


def _in_her_sheet(
    problems: Sequence[Problem], places: Mapping[tuple[str, int], tuple[str, int]]
) -> Iterator[Problem]:
    """Yield problems of new rows with the row numbers of the user's own sheet."""
    for problem in problems:
        sheet, line = places.get(
            (problem.file, problem.line or 0), (problem.file, problem.line)
        )
        yield replace(problem, file=sheet, line=line)


def preview(proposals: Sequence[Proposal]) -> Iterator[str]:
    """Yield what was understood, a line at a time."""
    for one in proposals:
        many = len(one.rows)
        yield f"{one.sheet}: {many} row{'s' * (many != 1)} for {one.table}.csv"
        for words in _understood(one):
            yield f"  {words}"


def _understood(one: Proposal) -> Iterator[str]:
    for match in one.matches:
        unit = f" in {match.unit}" if match.unit else ""
        yield f"{match.heading!r}{unit} is taken for {match.column}"
    if one.left_out:
        yield f"left out: {', '.join(map(repr, one.left_out))}"
    if one.again:
        yield f"{one.again} stand there already, word for word: left out"
    for line, row in list(zip(one.lines, one.rows, strict=True))[:_SHOWN]:
        yield f"row {line}: {', '.join(f'{k} {cell}' for k, cell in row.items())}"
    if len(one.rows) > _SHOWN:
        yield f"... and {len(one.rows) - _SHOWN} more"
    yield from (f"doubt: {doubt}" for doubt in one.doubts)
    yield from (f"problem: {problem}" for problem in one.problems[:_PROBLEMS])
    yield from (f"question: {question.words}" for question in one.questions)
