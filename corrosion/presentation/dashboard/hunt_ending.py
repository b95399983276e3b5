"""The end of a hunt: isolated or cleared, in the hunt's file and in the log."""

from collections.abc import Mapping
from typing import Any

import streamlit as st

from corrosion.inspection.cautions import OPENED
from corrosion.inspection.fault_finding.progress import Progress
from corrosion.inspection.fault_finding.sheet import circuits_of
from corrosion.presentation.answers.hunt import fault_of
from corrosion.presentation.dashboard import hunt_step, links, page_parts, presses
from corrosion.presentation.dashboard.chosen_ship import Chosen
from corrosion.presentation.dashboard.entries import DONE, next_id
from corrosion.presentation.dashboard.markup import escape
from corrosion.presentation.hunt_words import next_words
from corrosion.records.folder.save_table import append_row, replace_row
from corrosion.records.ship import Ship


def ended(
    chosen: Chosen, ship: Ship, progress: Progress, answer: Mapping[str, Any]
) -> None:
    """Draw where the fault is, and what puts it into the log."""
    step = answer["next"]
    head = "this hunt has ended" if progress.ended else "it can only be on"
    st.html(
        f'<div class="pane ask" role="status"><p class="cap">{head}</p>'
        f'<h1 class="name">{escape(step["circuit"] or "It has gone")}</h1>'
        f"<p>{escape(next_words(step))}</p></div>"
    )
    if progress.ended == "cleared" and _in_log(ship, progress):
        links.link("log", "Open the log")
        return
    if page_parts.refused(chosen):
        return
    if progress.ended is not None and not _in_log(ship, progress):
        st.warning(
            "The hunt's file says so, the log does not yet: a save was broken off."
        )
        key = f"mend {progress.hunt}"
        press = presses.button("Write it into the log", key, type="primary")
        if press:
            last = progress.steps[-1]
            cells = _cells(progress.ended, last.time.text, last.by)
            _save(chosen, ship, progress, press, cells)
        return
    if step["circuit"] is not None:
        form(chosen, ship, progress, answer)


def _in_log(ship: Ship, progress: Progress) -> bool:
    fault = fault_of(ship, progress.hunt)
    if fault is None:  # it was none of the log's: the hunt's circuit is there or not
        return any(f.remark.startswith(f"hunt {progress.hunt}") for f in ship.faults)
    done = fault.cleared if progress.ended == "cleared" else fault.isolated
    return done is not None


def form(
    chosen: Chosen, ship: Ship, progress: Progress, answer: Mapping[str, Any]
) -> None:
    """Draw what is asked before the end is written; one circuit at most is left.

    It may be one that this program would not have opened: whoever may, did.
    """
    circuit = str(answer["next"]["circuit"] or answer["left"][0]["circuit"])
    known = circuits_of(ship, progress.system).get(circuit)
    zones = [zone.zone for zone in ship.zones]
    usual = known.zone if known is not None else None
    page_parts.caution(OPENED)
    with st.form(f"end of {progress.hunt}"):
        choices = list(DONE) if progress.ended is None else ["cleared"]
        done = st.radio("What was done", choices, format_func=DONE.__getitem__)
        by = st.text_input("By whom (the tag bears the name)", max_chars=60)
        zone = st.selectbox(
            "Zone where it enters the steel",
            zones,
            index=zones.index(usual) if usual in zones else None,
            placeholder="not found yet",
        )
        remark = st.text_input("Remark", max_chars=200)
        press = presses.button(
            "Write it into the log",
            f"end {progress.hunt} {len(progress.steps)}",
            st.form_submit_button,
            type="primary",
        )
    if press is None:
        return
    if not by.strip():
        press.refuse(lambda: st.error("Nothing was saved: write by whom."))
        return
    open_now = [each["circuit"] for each in answer["open"]]
    if done == "cleared" and open_now:
        words = (
            f"Nothing was saved: {', '.join(open_now)} stands open. Write it isolated, "
            "or close it first."
        )
        press.refuse(lambda: st.error(words))
        return
    # The hunt's last row, then the fault's: a save broken off can be mended.
    row = hunt_step.row(by.strip(), str(done), circuit, "", remark=remark.strip())
    cells = _cells(str(done), row["time"], by.strip()) | {"circuit": circuit}
    cells |= {"zone": zone} if zone else {}
    _save(chosen, ship, progress, press, cells, row)


def _cells(done: str, when: str, by: str) -> dict[str, str]:
    if done == "isolated":
        return {"isolated": when, "isolated_by": by}
    return {"cleared": when}


def _save(
    chosen: Chosen,
    ship: Ship,
    progress: Progress,
    press: presses.Press,
    cells: Mapping[str, str],
    row: Mapping[str, str] | None = None,
) -> None:
    fault = fault_of(ship, progress.hunt)
    done = "cleared" if "cleared" in cells else "isolated"

    def keep() -> None:
        if row is not None:
            append_row(chosen.folder, f"hunts/{progress.hunt}", row)
        if fault is not None:
            key = {"fault": fault.fault, "cleared": ""}
            replace_row(chosen.folder, "faults", key, cells)
            return
        new = {
            "fault": next_id(f.fault for f in ship.faults),
            "system": progress.system,
            "circuit": progress.circuit or "",
            "found": progress.steps[0].time.text,
            "remark": f"hunt {progress.hunt}",
        }
        append_row(chosen.folder, "faults", new | dict(cells))

    words = f"{progress.hunt} is {done}, in the hunt and in the log."
    page_parts.attempt(press, words, keep)
