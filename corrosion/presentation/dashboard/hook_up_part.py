"""The card of a shore hook-up: before and after, as a berth and readings."""

from datetime import date
from math import inf
from typing import Final, get_args

import streamlit as st
from streamlit.delta_generator import DeltaGenerator

from corrosion.inspection.cautions import CLAMP, PROVE, SHORE
from corrosion.leakage.dated_states import berth_at
from corrosion.presentation.answers import rounds
from corrosion.presentation.dashboard import components, page_parts
from corrosion.presentation.dashboard.chosen_ship import Chosen
from corrosion.presentation.dashboard.entries import Form, earth_lead, heads, preview
from corrosion.presentation.dashboard.markup import WORDS
from corrosion.presentation.dashboard.sheets import LINE, bold, box, paper
from corrosion.records.as_of import end_of_day
from corrosion.records.folder.save_table import read_table
from corrosion.records.kinds import EarthMetal
from corrosion.records.ship import Ship, Side

_FORM: Final = Form("shore hook-up")
_SUPPLIES: Final = ("shore earthed", "shore isolated")
_STEPS: Final = (
    ("before", "Volts, shore earth against hull: direct (sign)", 2),
    ("before", "Volts, shore earth against hull: alternating", 2),
    ("before", "Ohms, hull to shore earth through the protective conductor", 2),
    ("before", "Phase order as marked: right / wrong", 1),
    ("before", "Galvanic isolator in the protective conductor: yes / no", 1),
    ("after", "Earth lead, mA direct (sign), clamp, nothing opened", 2),
    ("after", "Earth lead, mA alternating, clamp, nothing opened", 2),
    ("after", "Lamps even, monitor kΩ", 2),
)


def hook_up(chosen: Chosen, first_line: DeltaGenerator) -> None:
    """Draw the card: what is read before the cable is live, and after."""
    page_parts.say(_sentence(chosen.ship, chosen.as_of), first_line)
    page_parts.caution(SHORE)
    st.html(hook_up_card(chosen.ship))
    if not page_parts.refused(chosen):
        _fields(chosen)
    components.print_button("Print the card", 200)


def _sentence(ship: Ship, as_of: date) -> str:
    if not ship.berths:
        return "No berth is written yet: this card writes the first."
    last = berth_at(ship, end_of_day(as_of))
    since = "" if last.start is None else f" since {last.start.text}"
    return f"Now: {last.berth or 'a berth without a name'} ({last.supply}){since}."


def _fields(chosen: Chosen) -> None:
    shared = heads(chosen, _FORM, when="Connected")
    card = _before(shared["time"])
    lead = "After: earth lead, direct (mA)", "After: earth lead, alternating (mA)"
    amps = earth_lead(_FORM, *lead)
    if card.phases:
        remark = f"{shared['remark']} phase order {card.phases}".strip()
        shared = {**shared, "remark": remark}
    written, _ = read_table(chosen.folder, "berths")
    before = rounds.running_berth(written, chosen.ship.berths)
    berths = [rounds.hook_up_row(card)] if card.berth.strip() else []
    readings = rounds.earth_lead_rows(amps, shared)
    problems = rounds.hook_up_problems(card, chosen.ship.assumptions)
    st.caption(WORDS["hook-up berth"])
    ended = {}
    if berths and before is not None:
        ended = {"berths": [(before, {"to": card.time.strip()})]}
    preview(
        chosen,
        _FORM,
        {"berths": berths, "readings": readings},
        problems,
        done="The hook-up is saved in berths.csv and readings.csv.",
        amended=ended,
    )


def _before(time: str) -> rounds.HookUp:
    """Draw what is read before the cable is live, and what is known of the berth."""
    where, how, metal, side = st.columns([2, 1, 1, 1])
    berth = _FORM.text(where, "Berth", "berth")
    supply = how.selectbox("Supply", _SUPPLIES, key=_FORM.key("supply"))
    metals, sides = get_args(EarthMetal), get_args(Side)
    of = _FORM.menu(metal, "Shore earth of", metals, "metal")
    on = _FORM.menu(side, "Shore on the", sides, "side")
    first, second, third, fourth, fifth = st.columns(5, vertical_alignment="bottom")
    couple = _FORM.number(first, "Before: volts to shore earth, direct", "couple")
    ac = _FORM.number(second, "Before: the same, alternating", "ac volts")
    ohm = _FORM.text(third, "Protective conductor (Ω or none)", "ohm")
    phases = _FORM.one_of(fourth, "Phase order", ("right", "wrong"), "phases")
    isolator = _FORM.one_of(fifth, "Galvanic isolator", ("yes", "no"), "isolator")
    more = {"galvanic_isolator": isolator, "earth_metal": of, "shore_side": on}
    return rounds.HookUp(
        time=time,
        berth=berth,
        supply=str(supply),
        couple_v=couple,
        ac_v=ac,
        earth_ohm=_ohms(ohm),
        phases=phases,
        more=more,
    )


def _ohms(text: str) -> float | None:
    """Return what was typed of the protective conductor; none is infinite."""
    cell = text.strip().casefold().replace(",", ".").removesuffix("ω").strip()
    if not cell:
        return None
    if cell == "none":
        return inf
    try:
        return float(cell)
    except ValueError:
        st.error(f"{text!r} is no resistance: write ohms, such as 0.15, or none.")
        return None


def hook_up_card(ship: Ship) -> str:
    """Return the card for paper."""
    rows = [(bold(when), words, box(count), "□ done") for when, words, count in _STEPS]
    words = (
        f"Berth {LINE} connected {LINE} by {LINE}. Before: the whole cable "
        "switched off ashore, locked and withdrawn; nobody in the water; bilge alarms "
        "and pumps on the ship's own supply. After: nothing is opened or lifted. "
        "Supply □ earthed □ through an isolating transformer."
    )
    return paper(
        f"{ship.name}: shore hook-up",
        words,
        [(("", "what to read", "", ""), rows)],
        (SHORE, CLAMP, PROVE),
    )
