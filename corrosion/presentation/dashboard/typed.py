"""Fields that are looked at before they are saved: heads, preview, one button."""

from collections.abc import Callable, Mapping, Sequence

import pandas as pd
import streamlit as st

from corrosion.presentation.dashboard import entries, page_parts
from corrosion.presentation.dashboard.chosen_ship import Chosen
from corrosion.presentation.dashboard.grids import grid
from corrosion.presentation.dashboard.markdown import escape_markdown


def heads(chosen: Chosen, form: str, *, when: str = "When") -> dict[str, str]:
    """Draw when it was read and by whom; return them as cells."""
    left, middle, right = st.columns([1, 1, 2])
    return {
        "time": left.text_input(
            when,
            value=f"{chosen.as_of}",
            help=entries.DATES,
            key=entries.key(form, "time"),
        ),
        "by": middle.text_input("By", key=entries.key(form, "by")),
        "remark": right.text_input("Remark", key=entries.key(form, "remark")),
    }


def preview(
    form: str,
    rows: Mapping[str, Sequence[Mapping[str, str]]],
    problems: Sequence[str],
    save: Callable[[], None],
    *,
    done: str,
) -> None:
    """Show what will be written, by table, and save all of it at one press.

    Parameters
    ----------
    form : str
        Which fields; they are empty again once they are saved.
    rows : mapping of str to sequence of mapping
        New rows by table.
    problems : sequence of str
        Why nothing can be saved, in sentences.
    save : callable
        Saves them.
    done : str
        What to say once they are saved.
    """
    for text in problems:
        st.error(escape_markdown(text))
    some = {table: found for table, found in rows.items() if found}
    many = sum(len(found) for found in some.values())
    if many:
        files = " and ".join(f"{table}.csv" for table in some)
        with st.expander(f"What will be written: {many} rows of {files}"):
            for table, found in some.items():
                grid(pd.DataFrame(found), f"new rows of {table}")

    def saved() -> None:
        save()
        entries.done(form)

    if st.button("Save", type="primary", disabled=bool(problems) or not many):
        page_parts.attempt(saved, done)
