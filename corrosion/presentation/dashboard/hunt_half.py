"""Halving on the screen: several breakers opened together, where the rules let them."""

from collections.abc import Mapping
from typing import Any

import streamlit as st

from corrosion.inspection.fault_finding.progress import TOGETHER, Progress
from corrosion.presentation.dashboard import hunt_step
from corrosion.presentation.dashboard.chosen_ship import Chosen
from corrosion.presentation.dashboard.markup import draw as draw_markup
from corrosion.presentation.format import number


def offered(progress: Progress, answer: Mapping[str, Any]) -> bool:
    """Offer halving where the rules of the sheet allow it; return whether it is taken.

    What either is expected to take is said: it is seldom the quicker one.
    """
    halving = answer["halving"]
    if answer["next"]["act"] != "open" or halving is None:
        return False
    if len(halving["first"]) < 2:
        return False
    return st.toggle(
        f"Open half of what is left together: {number(halving['expected_minutes'])} "
        f"min expected, for {number(answer['expected_minutes'])} one by one",
        key=f"half {progress.hunt}",
    )


def draw(chosen: Chosen, progress: Progress, answer: Mapping[str, Any]) -> None:
    """Draw the half as one step, and what may be answered."""
    names = answer["halving"]["first"]
    stops = sorted(
        {
            name
            for row in answer["order"]
            if row["circuit"] in names
            for name in row.get("also_stops") or ()
        }.difference(names)
    )
    who, caution = answer["halving"]["permission"], answer["cautions"]["open"]
    draw_markup("hunt_half", names, stops, who, caution)
    with st.container(key="thumbs", horizontal=True):
        for label in ("Stayed", "Went"):
            results = [*[TOGETHER] * (len(names) - 1), label.lower()]
            hunt_step.button(
                chosen,
                progress,
                label,
                *(
                    ("opened", name, result)
                    for name, result in zip(names, results, strict=True)
                ),
                kind="primary" if label == "Went" else "secondary",
                key=label.lower(),
            )
