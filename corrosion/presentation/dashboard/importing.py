"""A spreadsheet taken into the log: matched, asked about, looked at, then saved."""

from collections.abc import Mapping, Sequence
from dataclasses import replace
from typing import Final

import pandas as pd
import streamlit as st

from corrosion.foundation.errors import Problem, RecordError
from corrosion.presentation.dashboard import page_parts, presses
from corrosion.presentation.dashboard.chosen_ship import Chosen
from corrosion.presentation.dashboard.grids import grid
from corrosion.presentation.dashboard.markup import escape_markdown
from corrosion.presentation.format import counted
from corrosion.records.folder.columns import TABLES
from corrosion.records.folder.kept import last_save, undo
from corrosion.records.folder.row import columns
from corrosion.records.imports.accept import save
from corrosion.records.imports.matching import (
    Match,
    header_row,
    match_headings,
    table_of,
)
from corrosion.records.imports.proposal import Proposal, propose
from corrosion.records.imports.workbook import RawTable, read_tables

Cells = dict[tuple[int, int], str]
"""What was put right: row of the sheet and place of the column, and the cell."""

_KEPT: Final = "cells put right in "
_BLANK: Final = "(leave blank)"
_TAKEN: Final = "spreadsheets taken in"
_UNITS: Final = ("", "in", "mm", "cm", "m", "ft", "kΩ", "MΩ", "mA", "mV", "V", "kV")


def take_in(chosen: Chosen) -> None:
    """Import a workbook or CSV: choose the table, match columns, look, then save."""
    left, right = st.columns(2)
    table = left.selectbox("Rows for", list(TABLES), key="import_to")
    file = right.file_uploader(
        "Workbook (.xlsx) or CSV",
        type=["xlsx", "csv"],
        key=f"sheet {st.session_state.get(_TAKEN, 0)}",  # once added, it is put away
    )
    if file is None:
        st.info("Nothing is saved before you have seen it, and a save can be undone.")
        return
    try:
        raw = _sheet(read_tables(file.getvalue(), file.name))
    except RecordError as error:
        page_parts.problems(error, "Nothing was added.", "in the spreadsheet")
        return
    matches = _matched(raw, table)
    cells: Cells = st.session_state.setdefault(f"{_KEPT}{file.file_id}", {})
    one = _proposed(chosen, corrected(raw, cells), table, matches)
    _fields(raw, matches, one.problems, cells)
    if one.problems:
        head = "Nothing was added. Put the cells right here, or in the spreadsheet."
        page_parts.problems(RecordError(one.problems), head, "in the spreadsheet")
        return
    _look(chosen, one)


def _proposed(
    chosen: Chosen, raw: RawTable, table: str, matches: Sequence[Match]
) -> Proposal:
    """Return what would be added, once the units that nobody wrote are told."""
    one = propose(chosen.folder, raw, table, matches, {})
    if not one.questions:
        return one
    return propose(chosen.folder, raw, table, matches, _units(one))


def _sheet(tables: Sequence[RawTable]) -> RawTable:
    if len(tables) == 1:
        return tables[0]
    names = [table.name for table in tables]
    name = st.selectbox("Sheet of the workbook", names, key="import_sheet")
    return tables[names.index(name)]


def _matched(raw: RawTable, table: str) -> list[Match]:
    """Let the columns be matched; say which of the spreadsheet's are left out."""
    likely = table_of(raw)
    if likely not in (None, table):
        st.info(f"By its name or headings this sheet looks like {likely}.")
    header = raw.rows[header_row(raw, table)][1]
    named = [name for name in header if name]
    guesses = {match.column: match for match in match_headings(header, table)}
    matches: list[Match] = []
    with st.expander("Which column is which", expanded=True):
        places = st.columns(3)
        for number, column in enumerate(columns(TABLES[table])):
            guess = guesses.get(column)
            options = [_BLANK, *named]
            heading = places[number % 3].selectbox(
                column,
                options,
                index=options.index(guess.heading if guess else _BLANK),
                key=f"map {column}",
            )
            if guess is not None and heading == guess.heading:
                matches.append(guess)
            elif heading != _BLANK:
                place = header.index(heading)
                matches.append(Match(column=column, place=place, heading=heading))
    return matches


def _units(one: Proposal) -> Mapping[str, str]:
    """Ask for the units that the spreadsheet does not tell."""
    told = {}
    for question in one.questions:
        unit = st.selectbox(
            escape_markdown(question.words),
            _UNITS,
            index=_UNITS.index(question.likely),
            key=f"unit {question.column}",
        )
        if unit:
            told[question.column] = unit
    return told


def _look(chosen: Chosen, one: Proposal) -> None:
    """Show the rows that would be added, and add them when that is asked for."""
    if one.left_out:
        words = f"Left out of the spreadsheet: {', '.join(one.left_out)}."
        st.warning(escape_markdown(words))
    if one.again:
        st.warning(
            f"{one.again} of them stand{'s' * (one.again == 1)} in {one.table}.csv "
            "already, word for word, and would count twice: left out."
        )
    if one.doubts:
        with st.expander(f"Doubts about these rows ({len(one.doubts)})"):
            st.markdown("\n".join(f"- {escape_markdown(str(d))}" for d in one.doubts))
    many = counted(len(one.rows), "row")
    st.markdown(f"**{many} would be added:**")
    grid(pd.DataFrame(one.rows), "rows to be added")
    ready = bool(one.rows) and not one.questions
    press = presses.button(
        "Add these rows", f"add to {one.table}", type="primary", disabled=not ready
    )
    if press:
        done = f"{many} added to {one.table}."
        page_parts.attempt(press, done, lambda: save(chosen.folder, [one]), _added)


def _added() -> None:
    st.session_state[_TAKEN] = st.session_state.get(_TAKEN, 0) + 1


def take_back(chosen: Chosen) -> None:
    """Offer to undo the last save of the folder, whoever made it."""
    saves = last_save(chosen.folder) if chosen.may_write else ()
    if not saves:
        return
    files = ", ".join(one.file for one in saves)
    when = f"{saves[0].time:%Y-%m-%d %H:%M} UTC"
    label = f"Undo the last save ({files}, {when})"
    press = presses.button(label, f"undo {saves[0].batch}")
    if press:
        done = f"The save of {when} is taken back: {files}."
        page_parts.attempt(press, done, lambda: undo(chosen.folder))


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


def _fields(
    raw: RawTable, matches: Sequence[Match], problems: Sequence[Problem], cells: Cells
) -> None:
    """Draw a field for each cell that is a problem or was one, a row of hers each."""
    places = {name: m.place for m in matches for name in (m.column, m.heading)}
    lines = dict(raw.rows)
    red = {
        (one.line, places[one.column]): one
        for one in problems
        if one.line is not None and one.line in lines and one.column in places
    }
    for line, at in sorted({*red, *cells}):
        name = next(m.heading for m in matches if m.place == at)
        problem = red.get((line, at))
        written = cells.get((line, at), lines[line][at])
        left, right = st.columns([1, 2], vertical_alignment="bottom")
        typed = left.text_input(
            f"Row {line}, {name}", value=written, key=f"right {raw.name} {line} {at}"
        )
        said = f"put right, was {lines[line][at]!r}"
        if problem is not None:
            said = f"{problem.found}; {problem.expected}"
        right.caption(escape_markdown(said))
        if typed != written:
            cells[line, at] = typed
            st.rerun()
