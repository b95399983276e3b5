"""The docking list: what the yard is to renew, gauge, paint and fit."""

from collections.abc import Mapping
from typing import Any, Final

import streamlit as st
from streamlit.delta_generator import DeltaGenerator

from corrosion.inspection.cautions import ENCLOSED, ESTIMATE, WELDING
from corrosion.presentation.answers.docking import docking_result
from corrosion.presentation.dashboard import components, page_parts
from corrosion.presentation.dashboard.chosen_ship import Chosen
from corrosion.presentation.dashboard.sheets import LINE, box, paper
from corrosion.presentation.sentences import docking_sentence
from corrosion.presentation.tables import upkeep
from corrosion.presentation.tables.table import REPORT, Table
from corrosion.results import Estimate

_CAUTIONS: Final = (ESTIMATE, ENCLOSED, WELDING)
_MOST: Final = 14  # rows of one list on the sheet


def docking(chosen: Chosen, first_line: DeltaGenerator) -> None:
    """Draw the lists for the yard, and the sheet."""
    result = page_parts.estimate(chosen)
    found = docking_result(result)
    page_parts.say(docking_sentence(found, page_parts.units()), first_line)
    for text in _CAUTIONS:
        page_parts.caution(text)
    components.print_button("Print the list", 200)
    for table in upkeep.docking(found).values():
        if table.rows:
            st.header(table.caption, anchor=False)
            page_parts.table(table)
    st.html(docking_sheet(result, found))


def docking_sheet(result: Estimate, found: Mapping[str, Any]) -> str:
    """Return the list for paper, with boxes for what the yard finds and does."""
    tables = upkeep.docking(found).values()
    lists = [
        (
            (*_heads(table), "found", ""),
            [[*cells, box(), "□"] for cells in _cells(table)],
        )
        for table in tables
        if table.rows
    ]
    words = (
        f"Docking of {result.horizon}, list made {result.as_of} by {LINE}. Plates "
        "are whole zones as built: the yard's gauging says which plates of a zone."
    )
    return paper(f"{result.ship.name}: docking list", words, lists, _CAUTIONS)


def _heads(table: Table) -> list[str]:
    """Return the heads of a list, its caption over the first column."""
    heads = [column.title() for column in table.on(REPORT)]
    more = len(table.rows) - _MOST
    rest = f" ({more} more on the screen)" if more > 0 else ""
    return [f"{table.caption}{rest}. {heads[0]}", *heads[1:]]


def _cells(table: Table) -> list[list[str]]:
    return [[cell.text for cell in row] for row in table.cells(REPORT)[:_MOST]]
