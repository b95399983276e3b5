"""The log: record a fault, clear it, amend the tables, import, and see it in time."""

from collections.abc import Mapping
from functools import partial
from typing import Final

import streamlit as st

from corrosion.inspection.cautions import LAMPS, OPENED, WELDING, ZERO_VOLTS
from corrosion.presentation.answers import history
from corrosion.presentation.dashboard import entries, page_parts
from corrosion.presentation.dashboard.chosen_ship import Chosen
from corrosion.presentation.dashboard.editing import edit
from corrosion.presentation.dashboard.importing import take_back, take_in
from corrosion.presentation.dashboard.phone_gate import for_phones
from corrosion.presentation.dashboard.presses import Press
from corrosion.presentation.dashboard.upload import packed
from corrosion.presentation.figures.timeline import fault_timeline
from corrosion.presentation.tables import faults
from corrosion.records.folder.save_table import append_row, replace_row

_TABLES: Final = {"Faults": "faults", "Berths": "berths", "Gaugings": "gaugings"}


@page_parts.screen
def render(chosen: Chosen) -> None:
    """Record, amend and show what the crew write down."""
    page_parts.say(_sentence(chosen))
    phone = for_phones()  # the form of the log only
    parts = {"Found a fault": _found, "Isolated or cleared": _cleared}
    if not phone:
        tables = {part: partial(edit, table=table) for part, table in _TABLES.items()}
        parts |= {"Timeline": _timeline, **tables, "Import": take_in}
    part = page_parts.section(list(parts), "log")
    locked = part != "Timeline" and page_parts.refused(chosen)
    if part in _TABLES or not locked:  # what is locked can be read
        parts[part](chosen)
    if phone:
        return
    take_back(chosen)
    name, file = "Download the ship folder (zip)", f"{chosen.folder.name}.zip"
    page_parts.save_file(name, lambda: packed(chosen.folder), file)


def _found(chosen: Chosen) -> None:
    systems = [row.name for row in chosen.ship.systems]
    if not systems:
        st.info("Her records name no electrical system: add one to ship.toml.")
        return
    name = st.selectbox("Electrical system", systems, key="found_in")
    page_parts.caution(f"{WELDING} (A welding return is written on the part Faults.)")
    form = entries.Form(f"found a fault in {name} of {chosen.folder}")
    with st.form(form.name):
        entries.place_entries(chosen, name, form)
        with st.expander("What was read (leave empty what was not)"):
            page_parts.caution(ZERO_VOLTS)
            if chosen.ship.system(name).lamps is not None:
                page_parts.caution(LAMPS)
            entries.reading_entries(chosen.ship.system(name), form)
        form.button("Add to the log")
    sent = form.sent()
    if sent is not None:
        press, cells = sent
        row = {**cells, "system": name}
        page_parts.attempt(
            press,
            f"Fault {row.get('fault', '')} is in the log.",
            lambda: append_row(chosen.folder, "faults", row),
            form.done,
        )


def _cleared(chosen: Chosen) -> None:
    standing = {
        f.fault: f"{f.fault}: {f.circuit or 'circuit not known'}, found {f.found.text}"
        for f in chosen.ship.faults
        if f.cleared is None
    }
    form = entries.Form(f"cleared a fault of {chosen.folder}")
    if sent := form.sent():
        _clear(chosen, form, *sent)
    if not standing:
        st.info("No fault of the log still stands.")
        return
    page_parts.table(faults.logged([f for f in chosen.ship.faults if f.stands]))
    page_parts.caution(OPENED)
    with st.form(form.name):
        st.selectbox(
            "Fault that was isolated or cleared",
            list(standing),
            format_func=standing.__getitem__,
            key=form.key("fault"),
        )
        st.radio(
            "What was done",
            list(entries.DONE),
            format_func=entries.DONE.__getitem__,
            key=form.key("done"),
        )
        day = str(chosen.as_of)
        st.text_input("When", value=day, help=entries.DATES, key=form.key("when"))
        st.text_input("Tagged by (where isolated)", key=form.key("by"))
        form.button("Save")


def _clear(
    chosen: Chosen, form: entries.Form, press: Press, entered: Mapping[str, str]
) -> None:
    """Save that a fault was isolated, or cleared: the one is not the other."""
    fault, when = entered.get("fault", ""), entered.get("when", "")
    isolated, by = entered.get("done") == "isolated", entered.get("by", "")
    if not when:
        words = "Nothing was saved: write when, as exact as you know."
        press.refuse(partial(st.error, words))
        return
    if isolated and not by:
        words = "Nothing was saved: an isolated circuit bears a tag; write whose."
        press.refuse(partial(st.error, words))
        return
    stands = {"fault": fault, "cleared": ""}  # unless somebody was quicker
    cells = {"isolated": when, "isolated_by": by} if isolated else {"cleared": when}

    done = f"cleared {when}"
    if isolated:
        done = f"isolated {when} by {by}; it is not cleared"
    page_parts.attempt(
        press,
        f"Fault {fault} was {done}.",
        lambda: replace_row(chosen.folder, "faults", stands, cells),
        form.done,
    )


def _timeline(chosen: Chosen) -> None:
    result = page_parts.estimate(chosen)
    if result.faults.empty:
        st.info("The log holds no fault yet.")
        return
    berths = history.berth_intervals(result)
    figure = fault_timeline(result.faults, berths, page_parts.width())
    page_parts.chart(figure, result.faults, "fault timeline")
    page_parts.table(faults.logged(chosen.ship.faults))


def _sentence(chosen: Chosen) -> str:
    """Return how many faults have no end written, and the latest of the log."""
    some = chosen.ship.faults
    if not some:
        return "The log is empty: write the first fault, or take a spreadsheet in."
    openly = sum(fault.stands for fault in some)
    last = max(some, key=lambda fault: fault.found.middle)
    count = f"{openly or 'none'} without an end written"
    return (
        f"{len(some)} faults in the log, {count}; the latest, {last.fault}, was found "
        f"{last.found.text} on {last.circuit or 'a circuit not known'}."
    )
