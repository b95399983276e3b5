"""Rounds and hook-up: what to read each month, at the shore cable, and in dock."""

from typing import Final

import streamlit as st

from corrosion.presentation.dashboard import page_parts
from corrosion.presentation.dashboard.chosen_ship import Chosen
from corrosion.presentation.dashboard.docking_part import docking
from corrosion.presentation.dashboard.hook_up_part import hook_up
from corrosion.presentation.dashboard.importing import take_back
from corrosion.presentation.dashboard.round_part import monthly_round
from corrosion.presentation.dashboard.survey_part import survey

_PARTS: Final = {
    "Monthly round": monthly_round,
    "Shore hook-up": hook_up,
    "Insulation": survey,
    "Docking list": docking,
}


@page_parts.screen
def render(chosen: Chosen) -> None:
    """Draw one of the four: its answer, its fields, its sheet for paper."""
    first_line = st.container()
    part = page_parts.section(list(_PARTS), "round")
    _PARTS[part](chosen, first_line)
    take_back(chosen)
