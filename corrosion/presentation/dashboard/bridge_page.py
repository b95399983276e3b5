"""Bridge: which zones to gauge first, which faults stand, what took the metal."""

import streamlit as st

from corrosion.presentation.answers import bridge
from corrosion.presentation.dashboard import links, page_parts
from corrosion.presentation.dashboard.chosen_ship import Chosen
from corrosion.presentation.dashboard.markup import draw, escape
from corrosion.presentation.dashboard.pictures import hull_picture, margin_strip
from corrosion.presentation.format import capital, quantity
from corrosion.results import Estimate

_FIRST = 5  # zones that have a card
_STRAY = ("metals", "couple", "faults")


@page_parts.screen
def render(chosen: Chosen) -> None:
    """Draw the first page."""
    result = page_parts.estimate(chosen)
    zones = bridge.zone_cards(result, _FIRST)
    page_parts.say(_sentence(zones[0]))
    left, right = st.columns([2.55, 1], gap="medium")
    with left:
        _cards(result, zones)
    means = bridge.ship_means(result)
    found = list(bridge.causes(means))
    with right:
        _standing(bridge.fault_cards(result))
        _keeps_most(found)
        if (conflict := result.calibration.conflict) is not None:
            st.html(f'<p class="cap">{escape(capital(conflict.words))}.</p>')
    _causes(found, bridge.spared_words(means))


def _sentence(first: bridge.ZoneCard) -> str:
    """Return the answer in one sentence."""
    if first.below and first.gauged_mm is not None:
        short = first.limit_mm - first.gauged_mm
        return (
            f"{first.name}, comes first: {short:.1f} mm below its limit when last "
            f"gauged ({first.against_limit.split(',')[0]})."
        )
    return f"{first.name}, comes first: {first.against_limit}."


def _cards(result: Estimate, zones: list[bridge.ZoneCard]) -> None:
    draw("zone_heads", result.horizon.year)
    with st.container(key="five"):
        for place, zone in enumerate(zones):
            with st.container(key=f"open-{place}"):
                hull = hull_picture(zone.row, result.ship.form)
                by, first = bridge.gauge_by(zone, result.as_of), place == 0
                draw("zone_card", zone, first, by, hull, margin_strip(zone))
                links.link("zone", f"Open {zone.name}", zone=zone.zone)


def _standing(faults: list[bridge.FaultCard]) -> None:
    st.html('<p class="head">Standing now</p>')
    if not faults:
        st.html('<div class="pane"><p>No fault stands in the log.</p></div>')
    for place, fault in enumerate(faults[:4]):
        with st.container(border=True, key=f"fault-{place}"):
            draw("fault_card", fault)
            links.link("hunt", "Hunt", fault=fault.fault)
    if more := len(faults[4:]):
        st.html(f'<p class="cap">and {more} more in the log</p>')


def _keeps_most(found: list[bridge.Cause]) -> None:
    """Say which measure addresses more of what stray current took."""
    took = {cause.key: cause.expected_kg for cause in found}
    couple, faults = took.get("couple", 0.0), took.get("faults", 0.0)
    if not couple + faults > 0.0:
        return
    words, more = "Clearing faults sooner", ""
    if couple > faults:
        words = "Isolators or isolating transformers ashore"
        more = " Fitted by licensed electricians: an earth is never merely opened."
    with st.container(border=True, key="keeps"):
        st.html(
            f'<p class="head">Would have kept most</p><b>{words}</b><p class="cap">the '
            f"couple with the shore earth took {quantity(couple, 'kg')}, faults "
            f"{quantity(faults, 'kg')}.{more}</p>"
        )
        links.link("isolation", "Case for isolation")


def _causes(found: list[bridge.Cause], spared: str) -> None:
    """Draw all causes on one scale, with a lens on the stray part."""
    total = sum(cause.expected_kg for cause in found)
    stray = [cause for cause in found if cause.key in _STRAY]
    if total > 0.0:
        share = 100.0 * sum(cause.expected_kg for cause in stray) / total
        draw("causes", found, total, stray, share, spared)
