"""The dashboard's look: one stylesheet for both themes, and its palette for figures."""

from importlib.resources import files
from typing import Final, Literal

import streamlit as st

Mode = Literal["light", "dark"]

_PALETTES: Final[dict[Mode, dict[str, str]]] = {
    "light": {
        "ink": "#17222b",
        "quiet": "#52616b",
        "line": "#d3dad6",
        "accent": "#0a5c6b",
        "alarm": "#97400f",
        "card": "#ffffff",
        "paper": "#f4f6f3",
        "band": "rgba(10,92,107,.16)",
        "steel": "#b9c4c9",
        "grey": "#87949b",
    },
    "dark": {
        "ink": "#e6edef",
        "quiet": "#a5b4bb",
        "line": "#33424b",
        "accent": "#79c7d4",
        "alarm": "#f3aa76",
        "card": "#19242b",
        "paper": "#10181d",
        "band": "rgba(121,199,212,.22)",
        "steel": "#45555f",
        "grey": "#71838e",
    },
}


def apply_look() -> None:
    """Put the stylesheet on the page; the browser picks its light or dark side."""
    css = (files(__package__ or "") / "look.css").read_text(encoding="utf-8")
    st.html(f"<style>{css}</style>")


def mode() -> Mode:
    """Return which theme the browser shows."""
    return "dark" if st.context.theme.type == "dark" else "light"


def palette(shown: Mode) -> dict[str, str]:
    """Return the stylesheet's colours for a drawn figure, which cannot read it."""
    return _PALETTES[shown]
