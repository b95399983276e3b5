"""Behind the case for isolation: limits compared, and measures of every kind."""

from collections.abc import Mapping
from typing import Any

import numpy as np
import pandas as pd
import streamlit as st

from corrosion.foundation.errors import InputError
from corrosion.presentation.answers.isolation import (
    MeasureChoice,
    chosen_measures,
    hours_of,
)
from corrosion.presentation.dashboard import cached, page_parts
from corrosion.presentation.dashboard.chosen_ship import Chosen
from corrosion.presentation.dashboard.markup import WORDS, escape_markdown
from corrosion.presentation.figures.isolation import duration_curve, saved_steel_curve
from corrosion.presentation.format import duration, interval
from corrosion.presentation.sentences import durations_sentence
from corrosion.presentation.tables import whatif
from corrosion.results import Estimate

_LIMITS = "1h, 4h, 24h, 3d, 7d, 30d"


def limits(chosen: Chosen, result: Estimate) -> str:
    """Draw what several limits would have kept; return it in a sentence."""
    written = st.text_input(
        "Every fault cleared within (h hours, d days, w weeks)",
        value=_LIMITS,
        key="limits",
        bind="query-params",
    )
    try:
        hours = hours_of(written)
    except InputError as error:
        st.error(escape_markdown(str(error)))
        return "Which limits?"
    answer = cached.isolation((*chosen.key, *hours), result, hours)
    rows = pd.json_normalize(answer["limits"], sep="_")
    least = answer["limits"][0]
    page_parts.chart(saved_steel_curve(rows, page_parts.units()), rows, "steel kept")
    page_parts.table(whatif.limits(answer["limits"]))
    _stood(answer)
    return (
        f"Cleared within {duration(least['within_hours'])} of being found, her faults "
        f"would have left {interval(least, 'saved_kg', 'kg')} more steel in her."
    )


def _stood(answer: Mapping[str, Any]) -> None:
    """Draw how long her faults stand."""
    st.header("How long her faults stand", anchor=False)
    stood = answer["durations"]
    curve = np.array(stood["curve"], dtype=np.float64)[1:]
    if not len(curve):
        st.info(
            escape_markdown(stood["note"] or "No ground fault has been cleared yet.")
        )
        return
    columns = ["hours", "still standing", "low", "high"]
    page_parts.chart(
        duration_curve(*curve.T), pd.DataFrame(curve, columns=columns), "durations"
    )
    st.caption(escape_markdown(durations_sentence(stood)))


def others(chosen: Chosen, result: Estimate) -> None:
    """Draw the form for measures of every kind, and what each would have kept."""
    with st.form("measures"):
        ticked = _ticked(result)
        st.form_submit_button("Calculate")
    if not chosen_measures(ticked, result.ship):
        st.info("Tick what you would change, then press Calculate.")
        return
    rows = cached.savings(chosen.key, result, ticked)
    for text in dict.fromkeys(row["caution"] for row in rows if row["caution"]):
        page_parts.caution(text)
    page_parts.table(whatif.measures(rows))
    st.caption(WORDS["measures alone"])


def _ticked(result: Estimate) -> MeasureChoice:
    ship = result.ship
    left, right = st.columns(2)
    transformers = left.checkbox("Isolating transformer at every earthed shore supply")
    isolators = right.checkbox("Galvanic isolator in every protective conductor")
    alarm = left.number_input(
        "Insulation monitor, alarm below (Ω)", value=None, min_value=1.0, step=1000.0
    )
    heeded = right.number_input(
        "Alarm noticed after (hours)", value=4.0, min_value=0.0, format="%g"
    )
    faulty = sorted({f.circuit for f in ship.faults if f.circuit})
    circuits = st.multiselect("Circuits repaired for good", faulty)
    joints = [zone.zone for zone in ship.zones if zone.bond is not None]
    left, middle, right = st.columns(3)
    joint = left.selectbox("Joint renewed", joints, index=None, placeholder="none")
    zones = [zone.zone for zone in ship.zones]
    painted = middle.selectbox("Zone painted", zones, index=None, placeholder="none")
    when = right.text_input(
        "Painted in (such as 2016 or 2016-05)", value=str(result.as_of.year - 10)
    )
    return MeasureChoice(
        transformers=transformers,
        isolators=isolators,
        alarm_ohm=alarm,
        alarm_hours=float(heeded or 0.0),
        circuits=tuple(circuits),
        joint=joint,
        painted=painted,
        paint_date=when,
    )
