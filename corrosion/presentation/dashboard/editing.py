"""Tables of the log as tables on the page: amended, and never lost."""

from typing import Final, get_args

import pandas as pd
import streamlit as st

from corrosion.presentation.dashboard import components, page_parts
from corrosion.presentation.dashboard.chosen_ship import Chosen
from corrosion.presentation.dashboard.grids import grid
from corrosion.presentation.dashboard.merging import merged
from corrosion.records import ship as si
from corrosion.records.folder.columns import TABLES
from corrosion.records.folder.row import columns
from corrosion.records.folder.save_table import digest, read_table, write_table

__all__ = ["edit"]

_CHOICES: Final = {
    "source": get_args(si.Source),
    "return": get_args(si.Return),
    "current": get_args(si.Current),
    "lamp_a": get_args(si.LampSeen),
    "lamp_b": get_args(si.LampSeen),
    "lamp_c": get_args(si.LampSeen),
    "supply": get_args(si.Supply),
    "galvanic_isolator": ("yes", "no"),
    "shore_side": get_args(si.Side),
    "kind": ("mean", "least"),
}

_NEW: Final = "a new row"

Base = tuple[tuple[dict[str, str], ...], str]


def edit(chosen: Chosen, table: str) -> None:
    """Show a table to be amended; nothing is saved before the button is pressed."""
    name = f"{page_parts.BASE}{chosen.folder} {table}"
    rows, seen = _base(chosen, table, name)
    if digest(chosen.folder, table) != seen and st.button("Show it as it stands now"):
        del st.session_state[name]
        st.rerun()
    frame = pd.DataFrame(rows, columns=list(columns(TABLES[table])), dtype=str)
    lists = _lists(chosen, table)
    if components.narrow():
        ready, edited = _one_row(chosen, table, frame.fillna(""), lists)
    else:
        with st.form(f"edit {table}"):
            edited = st.data_editor(
                frame.fillna(""),
                num_rows="dynamic",
                hide_index=True,
                disabled=not chosen.may_write,
                column_config={
                    column: st.column_config.SelectboxColumn(column, options=words)
                    for column, words in lists.items()
                },
                key=f"editor {table} {seen}",
                placeholder="",
                alt=f"{table}, to be amended",
            )
            ready = st.form_submit_button(
                "Save", type="primary", disabled=not chosen.may_write
            )
    st.caption(
        "Write dates as exact as you know them: 2026, 2026-11, 2026-11-25 or "
        "2026-11-25 14:20. Empty means not known. The version before is kept."
    )
    if ready:
        _save(chosen, table, rows, edited)


def _base(chosen: Chosen, table: str, name: str) -> Base:
    """Return the table from which this session began to edit, and its digest."""
    if name not in st.session_state:
        st.session_state[name] = read_table(chosen.folder, table)
    base: Base = st.session_state[name]
    return base


def _lists(chosen: Chosen, table: str) -> dict[str, list[str]]:
    """Return the words that a column allows, of those that allow only some."""
    lists: dict[str, tuple[str, ...]] = dict(_CHOICES)
    lists["zone"] = tuple(zone.zone for zone in chosen.ship.zones)
    lists["system"] = tuple(system.name for system in chosen.ship.systems)
    some = [column for column in columns(TABLES[table]) if column in lists]
    return {column: ["", *lists[column]] for column in some}


def _one_row(
    chosen: Chosen, table: str, frame: pd.DataFrame, lists: dict[str, list[str]]
) -> tuple[bool, pd.DataFrame]:
    """Show the rows as cards and one of them as fields; a grid needs a wide screen."""
    new = len(frame)
    called = [*frame.iloc[:, :2].agg(" ".join, axis=1).str.strip(), _NEW]
    place = st.selectbox(
        "Row to amend",
        range(new + 1),
        format_func=called.__getitem__,
        key=f"row {table}",
    )
    with st.form(f"edit {table} {place}"):
        row = dict.fromkeys(frame, "") if place == new else frame.loc[place].to_dict()
        for column, cell in row.items():
            key = f"cell {table} {place} {column}"
            words = lists.get(str(column))
            if words is None:
                row[column] = st.text_input(str(column), str(cell), key=key)
            else:
                at = {word: k for k, word in enumerate(words)}
                row[column] = st.selectbox(
                    str(column), words, index=at.get(str(cell), 0), key=key
                )
        left, right = st.columns(2)
        ready = left.form_submit_button(
            "Save", type="primary", disabled=not chosen.may_write
        )
        gone = right.form_submit_button(
            "Remove this row", disabled=not chosen.may_write or place == new
        )
    if any(row.values()) and not gone:
        frame.loc[place] = row
    grid(frame.iloc[:new], f"{table}, as they stand")
    return ready or gone, frame.drop(index=place) if gone else frame


def _save(
    chosen: Chosen,
    table: str,
    rows: tuple[dict[str, str], ...],
    edited: pd.DataFrame,
) -> None:
    """Save amended rows; where somebody else saved meanwhile, show it and keep both."""
    mine = {
        place: {str(c): str(cell).strip() for c, cell in row.items()}
        for place, row in zip(
            edited.index.astype(int).tolist(),
            edited.fillna("").to_dict("records"),
            strict=True,
        )
    }
    theirs, now = read_table(chosen.folder, table)
    both = merged(rows, mine, theirs)
    news = [row for row in theirs if row not in rows]
    words = f"{table}.csv is saved."
    if theirs != rows:
        words += " Somebody else had saved it meanwhile: both are kept."
    if both.contested:
        words += f" You both changed {', '.join(both.contested)}: theirs stands."
    page_parts.attempt(
        lambda: write_table(chosen.folder, table, both.rows, now),
        words,
        pd.DataFrame(news),
    )
