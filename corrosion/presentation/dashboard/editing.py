"""Tables of the log as tables on the page: amended, and never lost."""

from collections.abc import Callable, Mapping, Sequence
from typing import Any, Final

import pandas as pd
import streamlit as st

from corrosion.presentation.dashboard import components, page_parts, presses
from corrosion.presentation.dashboard.chosen_ship import Chosen
from corrosion.presentation.dashboard.grids import grid
from corrosion.presentation.dashboard.markup import WORDS
from corrosion.presentation.format import capital
from corrosion.records.folder.cell_messages import choices
from corrosion.records.folder.column_docs import ColumnDoc, column_docs
from corrosion.records.folder.columns import TABLES
from corrosion.records.folder.row import columns
from corrosion.records.folder.save_systems import (
    SYSTEM_COLUMNS,
    read_systems,
    write_systems,
)
from corrosion.records.folder.save_table import digest, read_table, write_table

_NEW: Final = "a new row"

Cells = Mapping[str, str]
Base = tuple[tuple[dict[str, str], ...], str]


def edit(chosen: Chosen, table: str) -> None:
    """Show a table to be amended; nothing is saved before the button is pressed."""
    name = f"{page_parts.BASE}{chosen.folder} {table}"
    rows, seen = _base(name, lambda: read_table(chosen.folder, table))
    if digest(chosen.folder, table) != seen and st.button("Show it as it stands now"):
        del st.session_state[name]
        st.rerun()
    frame = pd.DataFrame(rows, columns=list(columns(TABLES[table])), dtype=str)
    docs = {doc.column: doc for doc in column_docs(table)}
    ready, edited = _amended(chosen, f"{table} {seen}", frame, docs)
    st.caption(WORDS["log dates"])
    if ready:
        _save(chosen, table, ready, rows, edited)


def _base(name: str, read: Callable[[], Base]) -> Base:
    """Return the table from which this session began to edit, and its digest."""
    if name not in st.session_state:
        st.session_state[name] = read()
    base: Base = st.session_state[name]
    return base


def _amended(
    chosen: Chosen, key: str, rows: pd.DataFrame, docs: Mapping[str, ColumnDoc]
) -> tuple[presses.Press | None, pd.DataFrame]:
    """Show a table in fields; return the press that saves it, and its rows.

    A grid needs a wide screen: on a telephone one row is amended at a time.
    """
    frame, name = rows.fillna(""), key.partition(" ")[0]
    lists: dict[str, tuple[str, ...]] = {}
    if name in TABLES:
        fields = TABLES[name].model_fields.items()
        lists = {info.alias or c: choices(info) for c, info in fields}
        lists |= {"system": tuple(system.name for system in chosen.ship.systems)}
        if name != "zones":
            lists |= {"zone": tuple(zone.zone for zone in chosen.ship.zones)}
    # What stands there already can stay, whether it is in the list or not.
    shown = {
        c: list(dict.fromkeys(("", *lists[c], *frame[c]))) if lists.get(c) else None
        for c in map(str, frame)
    }
    if components.narrow():
        return _one_row(chosen, key, frame, shown, docs)
    with st.form(f"edit {name}"):
        edited = st.data_editor(
            frame,
            num_rows="dynamic",
            hide_index=True,
            disabled=not chosen.may_write,
            column_config={
                column: st.column_config.TextColumn(column, help=_told(docs[column]))
                if words is None
                else st.column_config.SelectboxColumn(
                    column, options=words, help=_told(docs[column])
                )
                for column, words in shown.items()
            },
            key=f"editor {key}",
            placeholder="",
            alt=f"{name}, to be amended",
        )
        ready = _save_button(chosen, key, st.form_submit_button)
    return ready, edited


def _save_button(
    chosen: Chosen, key: str, draw: Callable[..., object]
) -> presses.Press | None:
    return presses.button(
        "Save",
        f"save {key}",
        draw,
        type="primary",
        disabled=not chosen.may_write,
    )


def _one_row(
    chosen: Chosen,
    key: str,
    frame: pd.DataFrame,
    shown: Mapping[str, list[str] | None],
    docs: Mapping[str, ColumnDoc],
) -> tuple[presses.Press | None, pd.DataFrame]:
    """Show one row as fields, and all as cards."""
    new, before = len(frame), frame.copy()
    called = [*frame.iloc[:, :2].agg(" ".join, axis=1).str.strip(), _NEW]
    place = st.selectbox(
        "Row to amend", range(new + 1), format_func=called.__getitem__, key=f"row {key}"
    )
    with st.form(f"edit {key} {place}"):
        row = dict.fromkeys(shown, "") if place == new else frame.loc[place].to_dict()
        for column, words in shown.items():
            asked: dict[str, Any] = {"key": f"cell {key} {place} {column}"}
            asked["help"], cell = _told(docs[column]), str(row[column])
            if words is None:
                row[column] = st.text_input(column, cell, **asked)
            else:
                at = words.index(cell) if cell in words else 0
                row[column] = st.selectbox(column, words, at, **asked)
        left, right = st.columns(2)
        ready = _save_button(chosen, f"{key} {place}", left.form_submit_button)
        gone = presses.button(
            "Remove this row",
            f"remove {key} {place}",
            right.form_submit_button,
            disabled=not chosen.may_write or place == new,
        )
    grid(before, f"{key.partition(' ')[0]}, as they stand")
    if gone:
        return gone, frame.drop(index=place)
    if any(row.values()):
        frame.loc[place] = row
    return ready, frame


def _told(doc: ColumnDoc) -> str:
    """Return what a column's head says when it is pointed at."""
    return f"{doc.meaning} Blank: {doc.blank}. {capital(doc.form)}."


def edit_systems(chosen: Chosen) -> None:
    """Show the systems of ship.toml to be amended; the rest of it stays as written."""
    name = f"{page_parts.BASE}{chosen.folder} systems"
    rows, seen = _base(name, lambda: read_systems(chosen.folder))
    docs = {doc.column: doc for doc in column_docs("system")}
    docs |= {f"lamps.{doc.column}": doc for doc in column_docs("lamps")}
    frame = pd.DataFrame(rows, columns=list(SYSTEM_COLUMNS), dtype=str)
    ready, edited = _amended(chosen, f"systems {seen}", frame, docs)
    st.caption(
        "A blank is taken as its column's head says. The version before is kept."
    )
    if ready:
        page_parts.attempt(
            ready,
            "The systems are saved in ship.toml.",
            lambda: write_systems(chosen.folder, _cells(edited), seen),
        )


def _cells(edited: pd.DataFrame) -> dict[int, dict[str, str]]:
    """Return amended rows by their place in the table that was shown."""
    rows = zip(edited.index, edited.fillna("").to_dict("records"), strict=True)
    return {
        int(place): {str(c): str(cell).strip() for c, cell in row.items()}
        for place, row in rows
    }


def _save(
    chosen: Chosen,
    table: str,
    press: presses.Press,
    rows: tuple[dict[str, str], ...],
    edited: pd.DataFrame,
) -> None:
    """Save amended rows; where somebody else saved meanwhile, show it and keep both."""
    mine = _cells(edited)
    theirs, now = read_table(chosen.folder, table)
    # Read again at the press of the button and not when the page was drawn: what
    # others saved in between is merged, and the digest guards what comes after.
    both, contested = merged(rows, mine, theirs)
    news = [row for row in theirs if row not in rows]
    words = f"{table}.csv is saved."
    if theirs != rows:
        words += " Somebody else had saved it meanwhile: both are kept."
    if contested:
        words += f" You both changed {', '.join(contested)}: theirs stands."
    page_parts.attempt(
        press,
        words,
        lambda: write_table(chosen.folder, table, both, now),
        news=pd.DataFrame(news),
    )


def merged(
    base: Sequence[Cells], mine: Mapping[int, Cells], theirs: Sequence[Cells]
) -> tuple[list[Cells], list[str]]:
    """Lay one person's changes over the table as another has saved it since.

    Parameters
    ----------
    base : sequence of mapping of str to str
        The table from which both began.
    mine : mapping of int to mapping of str to str
        My rows by their place in ``base``; further places are new rows, places that
        are missing were removed.
    theirs : sequence of mapping of str to str
        The table as it stands.

    Returns
    -------
    rows : list of mapping of str to str
        Their rows in their order with my changes, my new rows at the end.
    contested : list of str
        First cells of the rows that both changed; the other person's stand.
    """
    rows: list[Cells] = list(theirs)
    contested = []
    # Rows have no id that holds for every table: a row is known by its old content.
    # One that is no longer there was amended or removed by the other person.
    for place, old in enumerate(base):
        new = _filled(mine.get(place), old)
        if new == old:
            continue
        if old not in rows:
            contested.append(next(iter(old.values()), ""))
            continue
        at = rows.index(old)
        rows[at : at + 1] = [] if new is None else [new]
    added = (_filled(row, {}) for place, row in mine.items() if place >= len(base))
    rows += [row for row in added if row]
    return rows, contested


def _filled(row: Cells | None, old: Cells) -> Cells | None:
    """Return a row with the columns that it had or that hold something."""
    if row is None or not any(row.values()):
        return None
    return {c: cell for c, cell in row.items() if cell or c in old}
