"""Where the numbers come from: the basis table, the equations, the limits."""

from collections import Counter
from typing import Final

import streamlit as st

from corrosion.presentation.dashboard import page_parts
from corrosion.presentation.dashboard.chosen_ship import Chosen
from corrosion.presentation.dashboard.escaping import escape_markdown
from corrosion.presentation.sentences import LIMITS
from corrosion.presentation.tables.grounds import assumption_table

EQUATIONS: Final = (
    (
        "A fault's current",
        r"I = \frac{V Y}{1 + Y R}, \quad Y = n\left(\frac{1}{R_0} + j\omega C_0\right)",
        "Volts V from conductor to star point, fault resistance R, and what the other "
        "conductors let back: insulation R₀ and capacitance C₀ of each of n of them. "
        "Lamps, meters, further faults and an earthed shore supply join the network.",
    ),
    (
        "What crosses the water",
        r"\left(W + P + C\right) i = u",
        "The currents i that leave the wetted zones are solved from resistances: W "
        "through the water (boundary elements on the hull's own form), P along the "
        "plating, C between steel and water at bare spots and through paint; u is what "
        "faults, shore earth and their couple drive.",
    ),
    (
        "Metal that a charge dissolves",
        r"m = \frac{Q\,M_{eq}}{F}",
        "Charge Q out of the steel, grams a mole of electrons M_eq, Faraday's constant "
        "F. Of alternating current only a small share counts.",
    ),
    (
        "Depth where paint is gone",
        r"d = \frac{m}{\rho\,A_{bare}}, \quad d_{pit} = f\,d_0 (d / d_0)^p",
        "The same metal from less area goes deeper; where d_0 is lost, the deepest pit "
        "is deeper by the pitting factor f, which grows with the bare area looked at; "
        "beside, it goes as a power p of the loss d: pits are deep early.",
    ),
    (
        "What gaugings teach",
        r"y = \int e^{\mu + \mu_z + w_z(t)}\,\dot d_z(t)\,dt - b_c + \epsilon",
        "Every sample is moved until it meets the readings y (metal gone): the rate "
        "of each zone about what the records foresee (what the ship shares μ, its own "
        "μ_z, a wander w in time), the bias b of each campaign, and which readings are "
        "wrong.",
    ),
    (
        "Order",
        r"P(\text{margin among the five least at docking}) \times \text{consequence}",
        "The margin of a zone is that of its mean or of its deepest pit, whichever is "
        "less. No other order has an expectation of more of the truly worst zones, by "
        "consequence, among those looked at first.",
    ),
    (
        "Priority",
        r"\text{priority} = P(\text{below limit at docking}) \times \text{consequence}",
        "Below the limit: the zone's mean thickness, or what is left under its deepest "
        "pit.",
    ),
)
"""Title, symbols, words."""

_PARTS: Final = ("Constants and assumptions", "Equations", "Limits of the model")


@page_parts.screen
def render(chosen: Chosen) -> None:
    """Show every constant and assumption, the equations and the limits."""
    page_parts.say(_sentence(chosen))
    part = page_parts.section(_PARTS, "basis")
    if part == _PARTS[0]:
        st.markdown(
            "A spread is a geometric standard deviation: two values in three lie "
            "within the median over and times it; 1 is fixed. Any entry can be "
            "restated in ship.toml, with the reason; what this ship restates "
            "stands first."
        )
        page_parts.table(assumption_table(chosen.ship.assumptions))
    elif part == _PARTS[1]:
        for title, equation, words in EQUATIONS:
            st.markdown(f"**{title}**")
            st.latex(equation)
            st.markdown(escape_markdown(words))
    else:
        st.markdown("\n".join(f"- {escape_markdown(one)}" for one in LIMITS))


def _sentence(chosen: Chosen) -> str:
    """Return on what the numbers rest, counted by how well it is known."""
    table = chosen.ship.assumptions
    known = Counter(table[name].status for name in table)
    told = ", ".join(f"{count} {status}" for status, count in known.most_common())
    own = len(table.overridden) or "none"
    return f"{len(table)} assumptions: {told}. This ship restates {own}."
