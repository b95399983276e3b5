"""From the bench into the log: the fault with all that was read of it."""

from collections.abc import Sequence
from typing import Any, Final

import streamlit as st

from corrosion.presentation.dashboard import bench_rows, links, page_parts
from corrosion.presentation.dashboard.chosen_ship import Chosen
from corrosion.presentation.dashboard.entries import Form, cells_of, place_entries
from corrosion.records.folder.save_table import save_tables
from corrosion.records.ship import LampSeen, Reading, System

_SAVED: Final = "bench fault in the log"


def save(chosen: Chosen, system: System) -> None:
    """Draw the form that puts it into the log, folded away."""
    if not chosen.may_write:
        st.caption(page_parts.READ_ONLY)
        return
    form = _form(chosen, system)
    with st.expander("Put it into the log"), st.form(form.name):
        form.menu(
            st.container(),
            "Conductor, if you are sure of it",
            system.conductors,
            "conductor",
            blank="not known: it is inferred",
        )
        place_entries(chosen, system.name, form)
        form.button("Add to the log")


def _form(chosen: Chosen, system: System) -> Form:
    return Form(f"bench into the log, {system.name} of {chosen.folder}")


def carry_out(
    chosen: Chosen,
    system: System,
    read: Sequence[Reading],
    lamps: Sequence[LampSeen | None],
) -> None:
    """Put it into the log if that was pressed, before anything is worked out of it."""
    sent = _form(chosen, system).sent()
    if sent is None:
        return
    press, cells = sent
    looks = zip("abc", lamps, strict=False)
    fault = {**cells, "system": system.name}
    fault |= {f"lamp_{letter}": seen for letter, seen in looks if seen}
    name, found = cells.get("fault", ""), cells.get("found", "")
    rows = [cells_of_reading(row) | {"time": found, "fault": name} for row in read]

    tables = {"faults": [fault], **({"readings": rows} if rows else {})}

    def after() -> None:
        bench_rows.clear(system)
        st.session_state[_SAVED] = (str(chosen.folder), name)

    page_parts.attempt(
        press,
        f"Fault {name} is in the log, with all that was read.",
        lambda: save_tables(chosen.folder, tables),
        after,
    )


def saved(chosen: Chosen) -> None:
    """Offer the hunt for the fault that was just saved."""
    folder, name = st.session_state.get(_SAVED, ("", ""))
    if folder == str(chosen.folder) and name in {f.fault for f in chosen.ship.faults}:
        with st.container(width=220, key="hunt-next"):
            links.link("hunt", f"Hunt {name}", fault=name)


def cells_of_reading(row: Reading) -> dict[str, str]:
    """Return a reading as cells of readings.csv; what is blank is left out."""
    found: dict[str, Any] = {
        "system": row.system,
        "conductor": row.conductor,
        "to": row.to,
        "volts": row.volts,
        "meter_ohm": row.meter if row.volts is not None else None,
        "amps": row.amps,
        "insulation_ohm": row.insulation,
        "monitor_ohm": row.monitor,
    }
    return cells_of(found)
