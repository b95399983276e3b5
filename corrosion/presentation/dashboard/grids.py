"""Tables that are read: a grid that sorts where there is room, cards on a telephone."""

from typing import Any, Final

import pandas as pd
import streamlit as st

from corrosion.presentation.dashboard import components
from corrosion.presentation.dashboard.markup import markup

_AT_FIRST: Final = 10  # cards; the rest are folded away


def grid(frame: pd.DataFrame, alt: str, *, key: str | None = None) -> None:
    """Show a table.

    ``frame``: text in every cell; each row is called by its first column of words.
    ``alt``: what it shows. ``key``: of the grid.
    """
    if components.narrow():
        st.html(cards(frame, alt))
    else:
        st.dataframe(frame, hide_index=True, alt=alt, key=key)


def cards(frame: pd.DataFrame, caption: str) -> str:
    """Return a table as cards, HTML: one a row, what is blank left out."""
    heads = [str(head) for head in frame]
    rows = [
        _card(dict(zip(heads, row, strict=True)))
        for row in frame.astype(str).to_numpy().tolist()
    ]
    return str(markup("cards", rows, caption, _AT_FIRST))


def _card(row: dict[str, str]) -> dict[str, Any]:
    """Return one row: its name, then heading and cell in pairs."""
    named = next((h for h, said in row.items() if not _is_number(said)), "")
    cells = [
        (head, said)
        for head, said in row.items()
        if head != named and said not in ("", "-", "nan", "None")
    ]
    return {"name": row.get(named, ""), "cells": cells}


def _is_number(said: str) -> bool:
    return said.replace(".", "", 1).isdecimal()
