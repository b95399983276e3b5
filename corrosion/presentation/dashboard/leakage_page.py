"""What is leaking? A supposed fault, one's own readings, and every fault of the log."""

from typing import Any, Final

import numpy as np
import pandas as pd
import streamlit as st

from corrosion.foundation.errors import CorrosionError
from corrosion.inspection.cautions import (
    LAMPS,
    PROVE,
    TOUCH,
    WELDING,
    ZERO_VOLTS,
)
from corrosion.presentation import format as fmt
from corrosion.presentation.answers.single_system import (
    FaultState,
    fault_state,
    inferred_fault,
    lamp_sensitivity,
)
from corrosion.presentation.dashboard import (
    cached,
    entries,
    forms,
    page_parts,
)
from corrosion.presentation.dashboard.chosen_ship import Chosen
from corrosion.presentation.dashboard.markdown import escape_markdown
from corrosion.presentation.dashboard.recording import record
from corrosion.presentation.figures.electric import (
    lamps,
    phasors,
    visibility_curve,
    volts_bar,
)
from corrosion.presentation.format import interval, percent
from corrosion.presentation.sentences import touch
from corrosion.presentation.tables import faults
from corrosion.records.ship import Ship, System

__all__ = ["render"]

_OHMS: Final = tuple(np.round(np.logspace(0, 7, 71), 6).tolist())
_PARTS: Final = ("Suppose a fault", "Enter your readings", "Faults in the log")
_FOUND: Final = "readings found"


@page_parts.page("What is leaking?")
def render(chosen: Chosen) -> None:
    """Show what a fault does to volts, lamps and hull, and infer one from readings."""
    if not chosen.ship.systems:
        st.info("Her records name no electrical system: add one to ship.toml.")
        return
    name = st.selectbox(
        "Electrical system",
        [row.name for row in chosen.ship.systems],
        key="system",
        bind="query-params",
    )
    system = chosen.ship.system(str(name))
    _touched(chosen, system)
    part = page_parts.section(_PARTS, "leak")
    if part == _PARTS[0]:
        _suppose(chosen.ship, system)
    elif part == _PARTS[1]:
        _read(chosen, system)
    else:
        _logged(chosen, system)


def _touched(chosen: Chosen, system: System) -> None:
    """Say what a body would carry, before any other number of the system."""
    amps = cached.touched(chosen.key, chosen.ship)[system.name]
    page_parts.caution(f"{TOUCH} {system.name}, {touch(amps)}.")


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
        page_parts.caution(WELDING)
    page_parts.table(faults.leaking(rows))
    st.caption("Those that still stand come first. Welding and the like has no system.")
    page_parts.doubts(answer["warnings"])


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
        "As on her own supply, with no other fault. An earthed shore supply ties the "
        "system to earth: a fault then drives far more current, and lamps tell less."
        if system.fed_from_shore
        else "With no other fault."
    )
    state = fault_state(ship, system, str(conductor), float(ohms))
    if system.lamps is not None:
        page_parts.caution(f"{LAMPS} {PROVE}")
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
            figure = lamps(system.conductors, state.light, state.pictures)
            page_parts.chart(figure, rows, "detector lamps")
    _sight(ship, system)


def _volts(system: System, state: FaultState) -> None:
    rows = pd.DataFrame(
        {"conductor": system.conductors, "volts to hull": np.abs(state.hull_volts)}
    )
    if system.current == "dc":
        figure = volts_bar(state.hull_volts, system.conductors)
    else:
        star = np.asarray(system.star_volts, dtype=np.complex128)
        figure = phasors(star, state.hull_volts, system.conductors)
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
    figure = visibility_curve(sight.ohms, sight.ratio, sight.threshold)
    page_parts.chart(figure, rows, "sight of the lamps")


def _read(chosen: Chosen, system: System) -> None:
    st.markdown("Fill in what was read; leave the rest empty. Nothing is saved yet.")
    page_parts.caution(ZERO_VOLTS)
    form = f"readings in {system.name} of {chosen.folder}"
    with st.form(form):
        entries.reading_entries(system, form)
        entries.button(form, "Infer the fault")
    found = entries.key(form)  # is gone with the form
    entered = entries.sent(form)
    if entered is not None:
        st.session_state[_FOUND] = (found, forms.cells_of(entered))
    kept, cells = st.session_state.get(_FOUND, ("", {}))
    if kept != found:
        return
    if not cells:
        st.info("Nothing was filled in, so nothing can be inferred.")
        return
    try:
        answer = inferred_fault(
            chosen.ship,
            system,
            forms.readings_of(cells, system),
            as_of=chosen.as_of,
            sampling=(chosen.samples, chosen.seed),
        )
    except CorrosionError as error:
        page_parts.problems(error, "Correct them, then infer again.", "in the readings")
        return
    _said(answer)
    _add(chosen, system, cells, form)


def _said(found: dict[str, Any]) -> None:
    for words in found["cautions"]:
        page_parts.caution(words)
    likely = ", ".join(f"{n} {percent(p)}" for n, p in found["conductors"].items())
    st.success(
        f"A fault of **{interval(found, 'resistance_ohm', 'Ω')}**, "
        f"**{interval(found, 'amps', 'A')}** into the hull (medians, with what holds "
        f"four estimates in five). Conductor: {escape_markdown(likely)}."
    )
    if found["earthed_at"] is not None:
        st.info(
            escape_markdown(
                f"Taken as read at {found['earthed_at']}, where the shore supply ties "
                "this system to earth: on her own supply the same readings mean "
                "another fault."
            )
        )
    st.caption(
        "Inferred with the faults that stand on this system, as it will be once it is "
        "in the log."
    )
    for words in found["contradictions"]:
        st.warning(escape_markdown(words))


def _add(chosen: Chosen, system: System, cells: dict[str, str], readings: str) -> None:
    if not chosen.may_write:
        st.info(page_parts.READ_ONLY)
        return
    form = f"add {readings}"
    with st.form(form):
        st.markdown("**Add it to the log**")
        entries.place_entries(chosen, system.name, form)
        entries.button(form, "Add to the log")
    entered = entries.sent(form)
    if entered is not None:
        row = {**cells, **forms.cells_of(entered), "system": system.name}
        record(chosen, row, form, readings)
