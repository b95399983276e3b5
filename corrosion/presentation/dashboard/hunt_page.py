"""Hunt: one step at a time, kept in the ship's folder, gone on with after any break."""

from datetime import datetime
from functools import partial
from typing import Any, Final, get_args

import streamlit as st

from corrosion.foundation.errors import CorrosionError
from corrosion.inspection.cautions import PROVE
from corrosion.inspection.fault_finding.progress import Progress
from corrosion.inspection.fault_finding.sheet import circuits_of
from corrosion.presentation import hunt_words as words
from corrosion.presentation.answers.hunt import fault_of, progress_in, resumed_hunt
from corrosion.presentation.dashboard import (
    cached,
    components,
    hunt_ending,
    hunt_step,
    page_parts,
    presses,
)
from corrosion.presentation.dashboard.chosen_ship import Chosen
from corrosion.presentation.dashboard.huntsheet import hunt_body, hunt_html, hunt_tree
from corrosion.presentation.dashboard.markup import WORDS, escape, escape_markdown
from corrosion.presentation.format import counted
from corrosion.records.folder.files import folder_digest
from corrosion.records.folder.save_table import append_row
from corrosion.records.ship import Fault, Ship, ShipLies

_LIES: Final = get_args(ShipLies)
_SHOWN: Final = 6  # faults that have a button of their own


@page_parts.screen
def render(chosen: Chosen) -> None:
    """Draw the hunt of the address, its beginning, or the choice of one."""
    asked = st.query_params.get("fault") or st.query_params.get("hunt") or ""
    known = {hunt.hunt.casefold(): hunt.hunt for hunt in chosen.ship.hunts}
    fault = fault_of(chosen.ship, asked)
    if asked.casefold() in known:
        danger = cached.dangers(chosen.key, chosen.ship)
        _steps(chosen, known[asked.casefold()], danger)
    elif fault is not None and fault.system is not None:
        _begin(chosen, fault.fault, fault.system)
    elif asked in {system.name for system in chosen.ship.systems}:
        _begin(chosen, f"{asked}-{datetime.now():%Y-%m-%d}", asked)  # noqa: DTZ005 - ship's time
    else:
        _choose(chosen, asked)


def _go(asked: str) -> None:
    st.query_params.pop("hunt", None)
    st.query_params["fault"] = asked


def _standing(ship: Ship) -> list[Fault]:
    """Return the ground faults that stand as far as anybody wrote, the newest first."""
    found = [
        fault
        for fault in ship.faults
        if fault.source == "ground fault"
        and fault.system is not None
        and fault.cleared is None
        and fault.standing is not False
    ]
    return sorted(found, key=lambda fault: -fault.found.middle)


def _choose(chosen: Chosen, asked: str) -> None:
    """Offer the hunts that are under way, the faults that stand, the systems."""
    ship = chosen.ship
    faults = _standing(ship)
    going = [
        each.hunt for each in ship.hunts if progress_in(ship, each.hunt).ended is None
    ]
    if asked:
        st.warning(escape_markdown(f"{asked!r} is no hunt, fault or system of hers."))
    page_parts.say(
        f"{counted(len(going), 'hunt', 'No')} under way, "
        f"{counted(len(faults), 'fault', 'no')} standing: choose one."
    )
    with st.container(key="hunts"):
        for name in going:
            st.button(f"Go on: {name}", on_click=_go, args=(name,), type="primary")
        for fault in [f for f in faults if f.fault not in going][:_SHOWN]:
            where = fault.circuit or "circuit not known"
            label = f"{fault.fault}: {fault.system}, {where}, found {fault.found.text}"
            st.button(escape_markdown(label), on_click=_go, args=(fault.fault,))
        for system in ship.systems:
            if circuits_of(ship, system.name):
                label = f"A fault that is not in the log, on {system.name}"
                st.button(escape_markdown(label), on_click=_go, args=(system.name,))
    page_parts.caution(PROVE)


def _begin(chosen: Chosen, hunt: str, system: str) -> None:
    """Ask how she lies and who is in charge, then write the first row."""
    page_parts.say(f"Hunt {hunt}, on {system}: how does she lie?")
    page_parts.caution(WORDS["hunt begins"])
    if page_parts.refused(chosen):
        return
    with st.container(key="begin"), st.form(f"begin {hunt}"):
        lies = st.segmented_control("She lies", _LIES)
        by = str(st.text_input("In charge, by name", max_chars=60)).strip()
        draw = st.form_submit_button
        press = presses.button("Begin the hunt", f"began {hunt}", draw, type="primary")
    if press and not (lies and by):
        why = "Nothing has begun: say how she lies, and who is in charge."
        press.refuse(lambda: st.error(why))
    elif press:
        row = hunt_step.row(by, "began", system, str(lies))
        page_parts.attempt(
            press,
            f"Hunt {hunt} has begun; it is kept step by step.",
            lambda: append_row(chosen.folder, f"hunts/{hunt}", row),
            partial(_go, hunt),
        )


@st.fragment
def _steps(chosen: Chosen, hunt: str, danger: list[dict[str, Any]]) -> None:
    """Draw the hunt as it stands in the folder; an answer draws this alone again."""
    here = presses.noted()
    for refusal in here.refused:
        st.error(escape_markdown(refusal))
    _step(chosen, hunt, danger)
    here.refused.clear()  # said to the end


def _step(chosen: Chosen, hunt: str, danger: list[dict[str, Any]]) -> None:
    try:
        ship = cached.ship(str(chosen.folder), folder_digest(chosen.folder))
        agreed = st.session_state.get(f"agreed {hunt}", [])
        progress = progress_in(ship, hunt, agreed=agreed)
    except CorrosionError as error:
        page_parts.problems(error)
        return
    ask, shown = st.columns([1, 1.2], gap="medium")
    try:
        answer = resumed_hunt(ship, progress, **chosen.sampling, dangers=danger)
    except CorrosionError as error:
        with ask:
            _nowhere(chosen, progress, str(error))
        return
    with ask:
        for line in words.open_now(answer):
            st.error(escape_markdown(line))
        st.html(_about(ship, progress, answer["left"]))
        if answer["next"]["act"] == "end":
            hunt_ending.ended(chosen, ship, progress, answer)
        elif hunt_step.half_offered(progress, answer):
            hunt_step.draw_half(chosen, progress, answer)
        else:
            hunt_step.draw(chosen, progress, answer)
            if answer["next"]["act"] == "none" and len(answer["left"]) == 1:
                hunt_ending.form(chosen, ship, progress, answer)
        hunt_step.take_back(chosen, progress)
    with shown:
        st.html(hunt_tree(ship, progress, answer))
        _withheld(progress, answer)
        _paper(answer)
    for line in words.open_now(answer):  # and it is what the page ends with
        st.error(escape_markdown(line))


def _about(ship: Ship, progress: Progress, left: list[dict[str, object]]) -> str:
    fault = fault_of(ship, progress.hunt)
    conductor = None if fault is None else fault.readings.conductor
    pole = "conductor not known" if conductor is None else f"conductor {conductor}"
    done = len(progress.steps) - 1
    return (
        f'<p class="cap"><b>{escape(progress.hunt)}</b>, {escape(progress.system)}, '
        f"{escape(pole)}, she lies {progress.lies}; begun "
        f"{escape(progress.steps[0].time.text)}, {counted(done, 'step')} "
        f"written, {counted(len(left), 'circuit')} left</p>"
    )


def _nowhere(chosen: Chosen, progress: Progress, why: str) -> None:
    """Say that every circuit is ruled out; what stands open can still be closed."""
    page_parts.say("None is left.")
    st.error(escape_markdown(why))
    for name in progress.seen.opened:
        hunt_step.button(chosen, progress, f"{name} is closed", ("closed", name, ""))
    hunt_step.take_back(chosen, progress)


def _withheld(progress: Progress, answer: dict[str, Any]) -> None:
    lines = words.withheld(answer)
    held = lines or progress.seen.agreed  # whose word was given can be withdrawn
    if not held or answer["next"]["act"] == "end":
        return
    none = answer["next"]["act"] == "none"
    head = f"Not proposed to be opened, and why ({len(lines)})"
    with st.expander(head, expanded=none):
        st.markdown("\n".join(f"- {escape_markdown(line)}" for line in lines))
        rows = [row for row in answer["withheld"] if row["why"].startswith("vital")]
        vital = sorted(progress.seen.agreed.union(row["circuit"] for row in rows))
        st.multiselect(
            "Vital ones: agreed by whoever must, and what takes over runs",
            vital,
            key=f"agreed {progress.hunt}",
        )


def _paper(answer: dict[str, Any]) -> None:
    st.html(f'<p class="cap">{escape(words.expectation(answer))}</p>')
    left, right = st.columns(2)
    with left:
        components.print_button("Print the hunt sheet")
    with right:
        file = f"hunt-{answer['hunt']}.html".lower().replace(" ", "-")
        sheet = hunt_html(answer)
        page_parts.save_file("Save the hunt sheet", sheet, file, width="stretch")
    st.html(f'<div class="sheet hunt">{hunt_body(answer)}</div>')
