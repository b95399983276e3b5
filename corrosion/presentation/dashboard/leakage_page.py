"""Bench: one's own readings, a supposed fault, and what leaks in the log."""

from typing import Final

import numpy as np
import pandas as pd
import streamlit as st

from corrosion.inspection import cautions
from corrosion.presentation import format as fmt
from corrosion.presentation.answers.single_system import (
    FaultState,
    fault_state,
    lamp_sensitivity,
)
from corrosion.presentation.dashboard import cached, page_parts
from corrosion.presentation.dashboard.bench import bench, touched
from corrosion.presentation.dashboard.bench_saving import saved
from corrosion.presentation.dashboard.chosen_ship import Chosen
from corrosion.presentation.dashboard.markup import WORDS, escape_markdown
from corrosion.presentation.figures import electric
from corrosion.presentation.tables import faults
from corrosion.records.ship import Ship, System

_OHMS: Final = tuple(np.round(np.logspace(0, 7, 71), 6).tolist())
_PARTS: Final = ("Readings", "Suppose a fault", "Faults in the log")


@page_parts.screen
def render(chosen: Chosen) -> None:
    """Say what readings may mean; what a fault does to volts, lamps and hull."""
    if not chosen.ship.systems:
        page_parts.say("Her records name no electrical system: add one to ship.toml.")
        return
    state, asked = st.session_state, st.query_params
    names = [row.name for row in chosen.ship.systems]
    name = str(state.get("system") or asked.get("system"))
    system = chosen.ship.system(name if name in names else names[0])
    part = str(state.get("leak") or asked.get("leak") or _PARTS[0])
    with st.container(key="bench"):
        _part(chosen, system, part)
        _menu(names)


def _part(chosen: Chosen, system: System, part: str) -> None:
    """Draw the part that is asked for; its first line is the answer."""
    if part == _PARTS[1]:
        page_parts.say("What one fault would do to volts, lamps and hull.")
        touched(chosen, system)
        _suppose(chosen.ship, system)
    elif part == _PARTS[2]:
        page_parts.say("What leaks, as the log has it.")
        touched(chosen, system)
        _logged(chosen, system)
    else:
        bench(chosen, system)
        saved(chosen)


def _menu(names: list[str]) -> None:
    """Draw what else can be looked at: beneath the answer, or beside it."""
    with st.container(key="beside", horizontal=True):
        st.selectbox(
            "Electrical system",
            names,
            key="system",
            bind="query-params",
            label_visibility="collapsed",
            width=180,
        )
        page_parts.section(_PARTS, "leak")


def _logged(chosen: Chosen, system: System) -> None:
    """Show what the log holds of a system, and currents of none; what stands first."""
    answer = cached.leakage(chosen.key, page_parts.estimate(chosen))
    of = {fault.fault: fault.system for fault in chosen.ship.faults}
    rows = [row for row in answer["faults"] if of[row["fault"]] in (system.name, None)]
    rows.sort(key=lambda row: not row["standing"])
    if not rows:
        st.info("The log holds no fault of this system.")
        return
    if any(fault.source == "welding" for fault in chosen.ship.faults):
        page_parts.caution(cautions.WELDING)
    page_parts.table(faults.leaking(rows))
    st.caption("Those that still stand come first. Welding and the like has no system.")


def _suppose(ship: Ship, system: System) -> None:
    left, right = st.columns([1, 3])
    conductor = left.radio(
        "Conductor on the hull", system.conductors, key="conductor", horizontal=True
    )
    ohms = right.select_slider(
        "Resistance of the fault",
        _OHMS,
        value=_OHMS[30],
        format_func=fmt.ohms,
        key="ohms",
    )
    st.caption(
        WORDS["leakage from shore"] if system.fed_from_shore else "With no other fault."
    )
    state = fault_state(ship, system, str(conductor), float(ohms))
    if system.lamps is not None:
        page_parts.caution(f"{cautions.LAMPS} {cautions.PROVE}")
    kind = "alternating" if system.current == "ac" else "direct"
    st.markdown(
        f"**{fmt.quantity(abs(state.amps), 'A')}** {kind} current flows into the "
        f"hull. {escape_markdown(state.words)}"
    )
    drawn, lit = st.columns(2)
    with drawn:
        _volts(system, state)
    with lit:
        if state.pictures:
            rows = pd.DataFrame(
                {
                    "lamp": system.conductors,
                    "light over usual": state.light,
                    "looks": state.pictures,
                }
            )
            figure = electric.lamps(system.conductors, state.light, state.pictures)
            page_parts.chart(figure, rows, "detector lamps")
    _sight(ship, system)


def _volts(system: System, state: FaultState) -> None:
    rows = pd.DataFrame(
        {"conductor": system.conductors, "volts to hull": np.abs(state.hull_volts)}
    )
    if system.current == "dc":
        figure = electric.volts_bar(state.hull_volts, system.conductors)
    else:
        star = np.asarray(system.star_volts, dtype=np.complex128)
        figure = electric.phasors(star, state.hull_volts, system.conductors)
    page_parts.chart(figure, rows, "volts to hull")


def _sight(ship: Ship, system: System) -> None:
    sight = lamp_sensitivity(ship, system)
    if sight is None:
        return
    st.subheader("What the lamps cannot show", anchor=False)
    st.markdown(
        f"They show no fault above **{fmt.ohms(sight.least)}**: beyond it all look "
        "alike, and only an insulation test or a monitor tells."
    )
    rows = pd.DataFrame({"ohms": sight.ohms, "darkest over brightest": sight.ratio})
    figure = electric.visibility_curve(sight.ohms, sight.ratio, sight.threshold)
    page_parts.chart(figure, rows, "sight of the lamps")
