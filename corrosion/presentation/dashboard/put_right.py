"""Cells of a spreadsheet put right on the page: its file stays as it is."""

from collections.abc import Sequence
from dataclasses import replace

import streamlit as st

from corrosion.foundation.errors import Problem
from corrosion.presentation.dashboard.markdown import escape_markdown
from corrosion.records.imports.matching import Match
from corrosion.records.imports.workbook import RawTable

Cells = dict[tuple[int, int], str]
"""What was put right: row of the sheet and place of the column, and the cell."""

_KEPT = "cells put right in "


def cells_of(file: str) -> Cells:
    """Return what was put right in a file so far, kept for this session."""
    kept: Cells = st.session_state.setdefault(f"{_KEPT}{file}", {})
    return kept


def corrected(raw: RawTable, cells: Cells) -> RawTable:
    """Return the sheet with the cells that were put right.

    Examples
    --------
    >>> raw = RawTable(name="a", rows=((1, ("zone", "mm")), (2, ("A", "9.x"))))
    >>> corrected(raw, {(2, 1): "9.1"}).rows[1]
    (2, ('A', '9.1'))
    """
    rows = tuple(
        (line, tuple(cells.get((line, at), cell) for at, cell in enumerate(row)))
        for line, row in raw.rows
    )
    return replace(raw, rows=rows)


def fields(
    raw: RawTable, matches: Sequence[Match], problems: Sequence[Problem], cells: Cells
) -> None:
    """Draw a field for each cell that is a problem or was one, a row of hers each."""
    places = {name: m.place for m in matches for name in (m.column, m.heading)}
    lines = dict(raw.rows)
    red = {
        (problem.line, places[problem.column]): problem
        for problem in problems
        if problem.line is not None
        and problem.line in lines
        and problem.column in places
    }
    for line, at in sorted({*red, *cells}):
        name = next(m.heading for m in matches if m.place == at)
        problem = red.get((line, at))
        written = cells.get((line, at), lines[line][at])
        left, right = st.columns([1, 2], vertical_alignment="bottom")
        typed = left.text_input(
            f"Row {line}, {name}", value=written, key=f"right {raw.name} {line} {at}"
        )
        said = (
            f"put right, was {lines[line][at]!r}"
            if problem is None
            else f"{problem.found}; {problem.expected}"
        )
        right.caption(escape_markdown(said))
        if typed != written:
            cells[line, at] = typed
            st.rerun()
