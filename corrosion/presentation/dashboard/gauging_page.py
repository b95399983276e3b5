"""Gaugings against the estimate: predicted, measured, and what they changed."""

from typing import Final

import streamlit as st

from corrosion.presentation.answers import history
from corrosion.presentation.dashboard import links, page_parts
from corrosion.presentation.dashboard.chosen_ship import Chosen
from corrosion.presentation.dashboard.markup import WORDS, escape_markdown
from corrosion.presentation.figures.gauged import gauged_against_predicted
from corrosion.presentation.format import capital, whole
from corrosion.presentation.tables import planning
from corrosion.results import Estimate

_PARTS: Final = ("Measured and predicted", "What the gaugings changed")


@page_parts.screen
def render(chosen: Chosen) -> None:
    """Show predicted against measured thickness, and what the gaugings changed."""
    result = page_parts.estimate(chosen)
    rows = history.gaugings(result)
    if rows.empty:
        page_parts.say(WORDS["gauging never"])
        links.link("log", "Add a gauging to the log", log="Gaugings")
        return
    found = result.calibration
    said = [
        f"{capital(one.words)}."
        for one in (found.conflict, found.left_out)
        if one is not None
    ]
    page_parts.say(said[0] if said else f"{len(rows)} gaugings against the estimate.")
    for words in said[1:]:
        page_parts.ahead(words)
    part = page_parts.section(_PARTS, "gauged")
    if part == _PARTS[0]:
        page_parts.chart(
            gauged_against_predicted(rows, page_parts.units(), page_parts.width()),
            rows,
            "measured and predicted",
        )
        if found.disagreements:
            st.header("Far from the estimate", anchor=False)
            far = (escape_markdown(capital(one.words)) for one in found.disagreements)
            st.markdown("\n".join(f"- {words}." for words in far))
        page_parts.table(planning.gaugings(rows))
    else:
        _changed(result)


def _changed(result: Estimate) -> None:
    table = history.calibrated_thickness(result)
    st.markdown(
        "Mean thickness of each gauged zone as of the date of the estimate: from the "
        "records alone, and with the gaugings. The last column says how many of the "
        f"{whole(result.samples)} samples still stand behind the zone; few means that "
        "the gaugings said more than the records had predicted."
    )
    page_parts.table(planning.calibrated_thickness(table))
