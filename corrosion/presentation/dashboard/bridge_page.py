"""Bridge: which zones to gauge first, which faults stand, what took the metal."""

import streamlit as st

from corrosion.presentation.answers import bridge
from corrosion.presentation.dashboard import links, page_parts
from corrosion.presentation.dashboard.chosen_ship import Chosen
from corrosion.presentation.dashboard.escaping import escape
from corrosion.presentation.dashboard.pictures import hull_picture, margin_strip
from corrosion.presentation.format import (
    amperes,
    capital,
    chance,
    chance_error,
    duration,
    month,
    quantity,
)
from corrosion.results import Estimate

_FIRST = 5  # zones that have a card
_LENS = 70.0  # width of the lens beneath the bar of causes [%]
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
    st.html(
        '<div class="five heads head"><span>Gauge first</span><span class="strips">'
        '<i class="lim"></i>limit <i class="dia"></i>last gauging '
        '<i class="est"></i>now, 8 in 10</span>'
        f"<span>below limit by {result.horizon.year}</span><span>gauge by</span>"
        "<span>why, and what it takes</span></div>"
    )
    with st.container(key="five"):
        for place, zone in enumerate(zones):
            with st.container(key=f"open-{place}"):
                st.html(_card(result, zone, first=place == 0))
                links.link("zone", f"Open {zone.name}", zone=zone.zone)


def _card(result: Estimate, zone: bridge.ZoneCard, *, first: bool) -> str:
    due = zone.due
    by = "later" if due is None else "now" if due <= result.as_of else month(due)
    mark = '<span aria-hidden="true">▼ </span>' * zone.below
    return (
        f'<div class="five pane{" first" * first}">'
        f"<div>{hull_picture(zone.row, result.ship.form)}</div>"
        f'<div><b>{escape(zone.name)}</b><small class="{"below" * zone.below}">'
        f"{mark}{zone.against_limit}</small>{margin_strip(zone)}</div>"
        f'<div><span class="num">{chance(zone.chance)}</span>'
        f"<small>{chance_error(zone.chance_error)}</small></div><div><b>{by}</b></div>"
        f"<div><span>{escape(zone.reason)}</span>"
        f"<small>{zone.hours:g} h, {zone.access}</small></div></div>"
    )


def _standing(faults: list[bridge.FaultCard]) -> None:
    st.html('<p class="head">Standing now</p>')
    if not faults:
        st.html('<div class="pane"><p>No fault stands in the log.</p></div>')
    for place, fault in enumerate(faults[:4]):
        with st.container(border=True, key=f"fault-{place}"):
            where = escape(capital(fault.where))
            pole = "not known" if fault.conductor is None else escape(fault.conductor)
            st.html(
                f'<b>{where}</b><p class="cap">conductor {pole}, standing '
                f'{duration(24.0 * fault.days)}</p><p class="amps">'
                f'<b>{amperes(fault.water_amps)}</b> in the water <span class="cap">of '
                f"{amperes(fault.amps)} into the hull</span></p>"
            )
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
    stray_kg = sum(cause.expected_kg for cause in stray)
    legend = "".join(
        f'<span><i class="key {cause.key}"></i>{cause.words} '
        f"<b>{quantity(cause.expected_kg, 'kg')}</b></span>"
        for cause in found
    )
    if total <= 0.0:
        return
    bar = "".join(
        f'<i class="{c.key}" style="width:{100.0 * c.expected_kg / total:.2f}%"></i>'
        for c in found
    )
    share = 100.0 * stray_kg / total
    lens = ""
    if 0.0 < share < _LENS / 3.0:
        within = "".join(
            f'<i class="{c.key}" '
            f'style="width:{100.0 * c.expected_kg / stray_kg:.1f}%"></i>'
            for c in stray
        )
        start = 100.0 - _LENS
        lens = (
            f'<div class="lens" style="clip-path:polygon({100.0 - share:.2f}% 0,'
            f'100% 0,100% 100%,{start:.0f}% 100%)"></div>'
            f'<div class="lensed"><p class="cap">the last {share:.2g} % of the bar '
            f"above, {_LENS / share:.0f} times as wide:</p>"
            f'<div class="bar">{within}</div></div>'
        )
    st.html(
        f'<div class="pane"><div class="legend">{legend}<span class="cap">metal gone '
        f"so far: expectations, which add up{spared and '; '}{spared}</span></div>"
        f'<div class="bar">{bar}</div>{lens}</div>'
    )
