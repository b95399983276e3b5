"""Readings of a printed gauging sheet typed back in: checked, shown, then saved."""

from collections.abc import Callable, Sequence
from typing import Final, get_args

import pandas as pd
import streamlit as st
from streamlit.delta_generator import DeltaGenerator

from corrosion.presentation.answers.plan_choice import PlanRow
from corrosion.presentation.answers.typed_readings import (
    TypedZone,
    gauging_rows,
    typed_zone,
)
from corrosion.presentation.dashboard import page_parts, presses
from corrosion.presentation.dashboard.chosen_ship import Chosen
from corrosion.presentation.dashboard.entries import Form
from corrosion.presentation.dashboard.grids import grid
from corrosion.presentation.dashboard.importing import take_back
from corrosion.presentation.dashboard.markup import draw, escape
from corrosion.presentation.format import capital, counted
from corrosion.records.folder.save_table import save_tables
from corrosion.records.kinds import Surface
from corrosion.results import Estimate

_FORM: Final = Form("readings of a sheet")


def type_in(
    chosen: Chosen,
    result: Estimate,
    rows: Sequence[PlanRow],
    first_line: DeltaGenerator,
    *,
    on_saved: Callable[[], None],
) -> None:
    """Draw a row of fields for each planned zone; save all of them at once."""
    if not chosen.may_write:
        page_parts.say(
            "Nothing can be typed in here: she cannot be written.", first_line
        )
        st.info(page_parts.READ_ONLY)
        return
    if not rows:
        page_parts.say("No zone is on the sheet: tick one under Plan.", first_line)
        take_back(chosen)
        return
    written = _heads(chosen)
    typed = [_zone(result, row) for row in rows]
    filled = [one for one in typed if one.readings_mm or one.least_mm is not None]
    wrong = sum(bool(one.problems) for one in typed)
    page_parts.say(_sentence(typed, filled, wrong), first_line)
    ready = gauging_rows(filled, written)
    many = counted(len(ready), "row")
    if ready:
        with st.expander(f"What will be written: {many} of gaugings.csv"):
            grid(pd.DataFrame(ready), "rows to be added")
    with st.container(horizontal=True):
        press = presses.button(
            "Save the gaugings",
            f"save {_FORM.name}",
            type="primary",
            disabled=bool(wrong) or not ready,
        )
        if press:
            page_parts.attempt(
                press,
                f"{many} added to gaugings.csv; the ranking is new.",
                lambda: save_tables(chosen.folder, {"gaugings": ready}),
                _FORM.done,
                on_saved,
            )
        take_back(chosen)


def _sentence(
    typed: Sequence[TypedZone], filled: Sequence[TypedZone], wrong: int
) -> str:
    if wrong:
        zones = "one zone cannot" if wrong == 1 else f"{wrong} zones cannot"
        return f"{capital(zones)} be saved as typed: see beside it."
    if not filled:
        return f"Type the sheet in: {len(typed)} zones, readings apart by blanks."
    count = sum(len(one.readings_mm) for one in filled)
    return (
        f"{len(filled)} of {len(typed)} zones typed in, {count} readings; nothing is "
        "saved yet."
    )


def _heads(chosen: Chosen) -> dict[str, str]:
    """Draw what all rows of the sheet share."""
    when, by, instrument, surface = st.columns(4)
    probed = get_args(Surface)
    return {
        "date": _FORM.date(when, "Gauged on", "date", chosen),
        "by": _FORM.text(by, "By", "by"),
        "instrument": _FORM.text(instrument, "Instrument", "instrument"),
        "surface": _FORM.menu(surface, "Surface under the probe", probed, "surface"),
    }


def _zone(result: Estimate, row: PlanRow) -> TypedZone:
    """Draw the fields of one zone and what is understood of them."""
    card = row.card
    with st.container(key=f"typed-{card.zone}"):
        name, readings, least = st.columns([2, 3, 1], vertical_alignment="center")
        name.html(
            f"<b>{escape(card.name)}</b>"
            f'<p class="cap">{escape(card.zone)}: {escape(card.against_limit)}</p>'
        )
        text = _FORM.text(
            readings,
            f"Readings of {card.name}, mm",
            f"readings {card.zone}",
            placeholder=f"{row.readings} readings, such as 9.6 9.4 9.5",
            label_visibility="collapsed",
        )
        low = _FORM.text(
            least,
            f"Least found in {card.name}, mm",
            f"least {card.zone}",
            placeholder="least",
            label_visibility="collapsed",
        )
        ship = result.ship
        one = typed_zone(ship.zones[ship.zone_index(card.zone)], text, low)
        if one.problems or one.doubts or one.readings_mm:
            draw("understood", one, row)
    return one
