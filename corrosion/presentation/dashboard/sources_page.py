"""Where the numbers come from: the basis table, the equations, the limits."""

from collections import Counter
from typing import Final

import streamlit as st

from corrosion.foundation.data_files import toml_tables
from corrosion.presentation.dashboard import page_parts
from corrosion.presentation.dashboard.chosen_ship import Chosen
from corrosion.presentation.dashboard.markup import WORDS, escape_markdown
from corrosion.presentation.sentences import LIMITS
from corrosion.presentation.tables.grounds import assumption_table

_PARTS: Final = ("Constants and assumptions", "Equations", "Limits of the model")


@page_parts.screen
def render(chosen: Chosen) -> None:
    """Show every constant and assumption, the equations and the limits."""
    page_parts.say(_sentence(chosen))
    part = page_parts.section(_PARTS, "basis")
    if part == _PARTS[0]:
        st.markdown(WORDS["sources spread"])
        page_parts.table(assumption_table(chosen.ship.assumptions))
    elif part == _PARTS[1]:
        for one in toml_tables(__file__, "equations.toml")["equation"]:
            st.markdown(f"**{one['title']}**")
            st.latex(one["symbols"])
            st.markdown(escape_markdown(one["words"]))
    else:
        st.markdown("\n".join(f"- {escape_markdown(one)}" for one in LIMITS))


def _sentence(chosen: Chosen) -> str:
    """Return on what the numbers rest, counted by how well it is known."""
    table = chosen.ship.assumptions
    known = Counter(table[name].status for name in table)
    told = ", ".join(f"{count} {status}" for status, count in known.most_common())
    own = len(table.overridden) or "none"
    return f"{len(table)} assumptions: {told}. This ship restates {own}."
