"""Zone: everything of one plate on one time axis."""

import streamlit as st

from corrosion.presentation.answers import bridge
from corrosion.presentation.answers.zone_history import ZoneHistory, zone_history
from corrosion.presentation.dashboard import page_parts
from corrosion.presentation.dashboard.chosen_ship import Chosen
from corrosion.presentation.dashboard.look import mode, palette
from corrosion.presentation.dashboard.markup import WORDS, markup
from corrosion.presentation.figures.zone_history import zone_history_figure
from corrosion.presentation.format import capital, chance, month
from corrosion.results import Estimate


@page_parts.screen
def render(chosen: Chosen) -> None:
    """Draw one zone."""
    result = page_parts.estimate(chosen)
    cards = {card.zone: card for card in bridge.zone_cards(result)}
    with st.container(horizontal=True, vertical_alignment="center", key="zonehead"):
        card = cards[_asked(cards)]
        shown = zone_history(result, card.zone)
        page_parts.say(_sentence(result, card, shown))
    st.plotly_chart(
        zone_history_figure(shown, palette(mode()), page_parts.units()),
        theme=None,
        config={"displayModeBar": False},
        alt=f"Thickness of {card.name} over the years",
    )
    st.html(WORDS["zone legend"] + _facts(result, card))
    st.caption(WORDS["zone ahead"])


def _asked(cards: dict[str, bridge.ZoneCard]) -> str:
    """Return the zone of the address or the menu; the address follows the menu."""
    names = list(cards)
    asked = st.query_params.get("zone", names[0])
    chosen = st.selectbox(
        "Zone",
        names,
        names.index(asked) if asked in cards else 0,
        width=330,
        label_visibility="collapsed",
        format_func=lambda name: cards[name].name,
    )
    st.query_params["zone"] = str(chosen)  # bind= would write the words, not the id
    return str(chosen)


def _sentence(result: Estimate, card: bridge.ZoneCard, shown: ZoneHistory) -> str:
    words = card.against_limit
    odds = chance(card.chance)
    tail = f"{odds} to be below a limit by {month(result.horizon)}"
    if shown.slope is not None and shown.slope.mm_a_year < 0.0:
        tail = "thicker than the gauging before: a slip?"
    return f"{capital(words)}. {capital(tail)}."


def _facts(result: Estimate, card: bridge.ZoneCard) -> str:
    means, by = bridge.zone_means(card.row), bridge.gauge_by(card, result.as_of)
    by = by if by in ("later", "now") else f"by {by}"
    drives, spared = bridge.causes(means), bridge.spared_words(means)
    return str(markup("facts", card, drives, spared, by))
