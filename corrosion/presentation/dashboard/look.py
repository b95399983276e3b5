"""The dashboard's look: one stylesheet for both themes, and its palette for figures."""

import re
from functools import cache
from typing import Final

import streamlit as st

from corrosion.foundation.data_files import text_beside
from corrosion.presentation.figures.theme import Mode, translucent

_BAND: Final[dict[Mode, float]] = {"light": 0.16, "dark": 0.22}
"""Opacity of an interval's band."""


@cache
def _stylesheet() -> str:
    return text_beside(__file__, "look.css")


def apply_look() -> None:
    """Put the stylesheet on the page; the browser picks its light or dark side."""
    st.html(f"<style>{_stylesheet()}</style>")


def mode() -> Mode:
    """Return which theme the browser shows."""
    return "dark" if st.context.theme.type == "dark" else "light"


def palette(shown: Mode) -> dict[str, str]:
    """Return the stylesheet's colours for a drawn figure, which cannot read it."""
    pairs = re.findall(r"--(\w+): light-dark\((#\w+), (#\w+)\)", _stylesheet())
    colours = {name: dark if shown == "dark" else light for name, light, dark in pairs}
    return colours | {"band": translucent(colours["accent"], _BAND[shown])}
