"""Ship: a new one from five questions; the tables that say what she is."""

import re
from collections.abc import Mapping, Sequence
from datetime import date
from typing import Any, Final

import pandas as pd
import streamlit as st

from corrosion.presentation.dashboard import page_parts, presses
from corrosion.presentation.dashboard.chosen_ship import Chosen, root
from corrosion.presentation.dashboard.editing import edit, edit_systems
from corrosion.presentation.dashboard.grids import grid
from corrosion.presentation.dashboard.markup import WORDS
from corrosion.presentation.dashboard.masthead import CHOOSE_NEXT
from corrosion.records.folder.column_docs import column_docs, columns_text
from corrosion.records.folder.columns import TABLES
from corrosion.records.folder.first_ship import KINDS, FirstAnswers, write_first_ship
from corrosion.records.folder.save_systems import read_systems
from corrosion.records.folder.save_table import read_table

_TABLES: Final = ("zones", "circuits", "works", "anodes", "berths")
_SYSTEMS: Final = "Systems"
_NEW: Final = "New ship"
_SIZES: Final[dict[str, tuple[str, float, float, float]]] = {
    "length": ("Length on the waterline [m]", 3.0, 500.0, 40.0),
    "beam": ("Beam [m]", 1.0, 80.0, 8.0),
    "draught": ("Draught [m]", 0.3, 30.0, 3.0),
}
_WHAT_BLANK_MEANS: Final = "What her blanks are taken as"


@page_parts.screen
def render(chosen: Chosen) -> None:
    """Draw the tables of the ship, or the five questions of a new one."""
    ship = chosen.ship
    page_parts.say(
        f"{ship.name}: {len(ship.zones)} zones, {len(ship.systems)} electrical "
        f"systems, {len(ship.circuits)} circuits, built {ship.built.text}."
    )
    names = [table.capitalize() for table in _TABLES if table in TABLES]
    part = page_parts.section((names[0], _SYSTEMS, *names[1:], _NEW), "table")
    if part == _NEW:
        _new_ship()
        return
    page_parts.refused(chosen)
    if part == _SYSTEMS:
        edit_systems(chosen)
        rows = read_systems(chosen.folder)[0]
        _blanks("system", [{**row, "lamps": row["lamps.volts"]} for row in rows])
        return
    edit(chosen, part.lower())
    _blanks(part.lower(), read_table(chosen.folder, part.lower())[0])


def _blanks(table: str, rows: Sequence[Mapping[str, str]]) -> None:
    """Show what each blank of hers is taken as; then what every column means."""
    blank = {
        doc.column: (sum(not row.get(doc.column) for row in rows), doc.blank)
        for doc in column_docs(table)
        if not doc.required
    }
    found = [
        {"column": name, "blank in": f"{many} of {len(rows)} rows", "taken as": words}
        for name, (many, words) in blank.items()
        if many
    ]
    if found:
        st.header(_WHAT_BLANK_MEANS, anchor=False)
        grid(pd.DataFrame(found), _WHAT_BLANK_MEANS)
    with st.expander("Every column"):
        st.markdown(columns_text(table))


def _new_ship() -> None:
    """Ask the five questions; write a folder that can be estimated at once."""
    with st.form("new ship"):
        told: dict[str, Any] = {"name": st.text_input("Name", max_chars=80)}
        told["kind"] = str(st.selectbox("Kind", list(KINDS)))
        *places, last = st.columns(4)
        for place, (what, size) in zip(places, _SIZES.items(), strict=True):
            label, least, most, usual = size
            told[what] = float(place.number_input(label, least, most, usual) or 0.0)
        built = last.number_input("Built", 1800, date.max.year, 1970, format="%d")
        told["built"] = int(built or 0)
        name, draw = "Propose her zones", st.form_submit_button
        press = presses.button(name, name, draw, type="primary")
    st.caption(WORDS["ship proposed"])
    if press:
        _write(told, press)


def _write(told: dict[str, Any], press: presses.Press) -> None:
    folder = re.sub(r"[^a-z0-9]+", "-", told["name"].lower()).strip("-") or "ship"
    with page_parts.in_words():
        press.write(lambda: write_first_ship(root() / folder, FirstAnswers(**told)))
        st.session_state[CHOOSE_NEXT] = folder
        st.rerun()
