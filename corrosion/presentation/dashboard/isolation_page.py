"""Case for isolation: one sentence for a memo, measures side by side, what to come."""

from base64 import b64encode
from collections.abc import Mapping, Sequence
from contextlib import suppress
from pathlib import Path
from typing import Any, Final

import pandas as pd
import streamlit as st
from markupsafe import Markup
from streamlit.delta_generator import DeltaGenerator

from corrosion.foundation.errors import InputError
from corrosion.inspection.cautions import ESTIMATE
from corrosion.presentation import format as fmt
from corrosion.presentation.answers.bridge import short_name
from corrosion.presentation.answers.isolation import MeasureChoice, chosen_measures
from corrosion.presentation.case_words import (
    ahead_kg,
    case_sentence,
    depth,
    future_sentence,
)
from corrosion.presentation.dashboard import cached, components, page_parts
from corrosion.presentation.dashboard.chosen_ship import Chosen
from corrosion.presentation.dashboard.isolation_tables import limits, others
from corrosion.presentation.dashboard.markup import WORDS, escape, markup
from corrosion.presentation.dashboard.pictures import interval_strip
from corrosion.presentation.dashboard.sheets import paper
from corrosion.presentation.files import csv_bytes
from corrosion.presentation.notebook import picture
from corrosion.presentation.report.svg_curves import measures_svg, scale_top
from corrosion.presentation.tables import whatif
from corrosion.results import Estimate

_PARTS: Final = ("The case", "Limits compared", "Other measures")
_LIMITS: Final = {
    fmt.duration(hours): hours for hours in (1.0, 4.0, 24.0, 72.0, 168.0, 720.0)
}
_USUAL: Final = fmt.duration(24.0)
_BESIDE: Final = ("isolating transformers", "galvanic isolators", "insulation monitor")

_HEADS: Final = (
    "Measure",
    "Steel kept until now",
    "Most on",
    "From now, expected",
    "Second faults by then",
)


@page_parts.screen
def render(chosen: Chosen) -> None:
    """Draw the case, or what stands behind it."""
    first_line = st.container()
    inputs = st.container(horizontal=True, vertical_alignment="bottom", key="asked")
    with inputs:
        part = page_parts.section(_PARTS, "save")
    result = page_parts.estimate(chosen)
    if part == _PARTS[0]:
        with inputs:
            hours, ticked = _asked(result)
        _case(chosen, result, first_line, (hours, ticked))
        return
    if part == _PARTS[1]:
        words = limits(chosen, result)
    else:
        others(chosen, result)
        words = "What would other measures have kept?"
    page_parts.say(words, first_line)


def _case(
    chosen: Chosen,
    result: Estimate,
    first_line: DeltaGenerator,
    asked: tuple[float, MeasureChoice],
) -> None:
    """Draw the case as soon as it is known; the measures beside it as they come."""
    hours, ticked = asked
    answer = cached.isolation((*chosen.key, hours), result, [hours])
    row = answer["limits"][0]
    units = page_parts.units()
    names = {zone.zone: short_name(zone.name) for zone in result.ship.zones}
    now = answer["second_faults_now"]
    sentence = case_sentence(
        row,
        zone=names.get(row["most_kept_zone"]),
        currency=result.ship.display.currency,
        units=units,
    )
    soon = names.get(row["from_now"]["zone"]) or fmt.NOT_KNOWN
    ahead = future_sentence(row, now, zone=soon, units=units)
    page_parts.say(sentence, first_line)
    page_parts.ahead(ahead)
    st.html(_figures(row, now))
    beside = chosen_measures(ticked, result.ship)
    for text in dict.fromkeys(one.caution for one in beside if one.caution):
        st.html(f'<p class="cap"><b>Caution.</b> {escape(text)}</p>')
    rows = [{**row, "measure": f"every fault cleared within {fmt.duration(hours)}"}]
    figure = st.empty()
    figure.html(str(markup("measures", _told(rows, names))))
    coming = st.container()
    if beside:
        rows += cached.savings_of_each(chosen.key, result, ticked, at=coming)
        figure.html(str(markup("measures", _told(rows, names))))
    _take_away(f"{sentence} {ahead}", rows)
    st.html(_memo(result, f"{sentence} {ahead}", rows, names))
    st.caption(WORDS["case alone"])


def _asked(result: Estimate) -> tuple[float, MeasureChoice]:
    """Draw what is asked: the limit, and the measures beside it."""
    earthed = any(one.supply == "shore earthed" for one in result.ship.berths)
    within = st.segmented_control(
        "Every fault cleared within",
        list(_LIMITS),
        default=_USUAL,
        required=True,
        key="within",
        bind="query-params",
    )
    beside = st.pills(
        "Beside it",
        _BESIDE,
        selection_mode="multi",
        default=_BESIDE[:2] if earthed else [],
        key="beside",
    )
    alarm = None
    if _BESIDE[2] in beside:
        alarm = st.number_input(
            "Its alarm below (kΩ)",
            value=20.0,
            min_value=0.1,
            step=10.0,
            format="%g",
            width=150,
        )
    ticked = MeasureChoice(
        transformers=_BESIDE[0] in beside,
        isolators=_BESIDE[1] in beside,
        alarm_ohm=None if alarm is None else 1e3 * alarm,
    )
    return _LIMITS[str(within or _USUAL)], ticked


def _figures(row: Mapping[str, Any], now: Mapping[str, float]) -> str:
    """Return the figures of the case: behind, and ahead."""
    units, ahead = page_parts.units(), row["from_now"]
    then = ahead["second_faults"]["another_conductor"]
    told = {
        "more steel in her today": fmt.interval(row, "kept_kg", "kg", units),
        "of all faults together that they would not have stood": fmt.scaled_interval(
            row, "fault_hours_saved", said=_stood
        ),
        "expected to be kept from now to the next docking": ahead_kg(row, units),
        "second faults on another conductor to be expected by then": (
            f"{fmt.amount(then, 2)} for {fmt.amount(now['another_conductor'], 2)}"
        ),
    }
    return str(markup("told", [(said, what) for what, said in told.items()], "case"))


def _stood(hours: float | None) -> str:
    return fmt.NOT_KNOWN if hours is None else fmt.duration(hours)


def _told(
    rows: Sequence[Mapping[str, Any]], names: Mapping[str, str]
) -> list[dict[str, str]]:
    """Return what each measure would keep, in words."""
    units, top = page_parts.units(), scale_top(rows)
    return [
        {
            "measure": row["measure"],
            "needs": f"needs: {row['needs']}" if row.get("needs") else "",
            "strip": interval_strip(row, "kept_kg", top),
            "kept": fmt.interval(row, "kept_kg", "kg", units),
            "depth": depth(row, units),
            "zone": names.get(row["most_kept_zone"], ""),
            "ahead": ahead_kg(row, units),
            "second": fmt.amount(
                row["from_now"]["second_faults"]["another_conductor"], 2
            ),
        }
        for row in rows
    ]


def _take_away(sentence: str, rows: Sequence[Mapping[str, Any]]) -> None:
    """Draw what goes into a memo: the sentence, the figure, the table."""
    svg = measures_svg(rows, sentence, page_parts.units())
    files = {"Figure (SVG)": ("svg", svg.encode())}
    with suppress(InputError):  # what makes PNG is an extra
        files["Figure (PNG)"] = ("png", picture(svg, Path("a.png")))
    table = whatif.measures(rows).spreadsheet()
    files["Table (CSV)"] = ("csv", csv_bytes(pd.DataFrame(table)))
    with st.container(horizontal=True, key="takeaway"):
        with st.container(width=170):
            components.copy_button("Copy the sentence", sentence)
        components.print_button("Print the case", 170)
        for label, (ending, data) in files.items():
            file = f"case-for-isolation.{ending}"
            page_parts.save_file(label, data, file, key=f"take {ending}")


def _memo(
    result: Estimate,
    sentence: str,
    rows: Sequence[Mapping[str, Any]],
    names: Mapping[str, str],
) -> str:
    """Return the case as one A4, hidden until it is printed."""
    words = Markup("{}</p><p>{}</p><p>{}").format(
        sentence,
        _as_picture(measures_svg(rows, sentence)),
        f"{ESTIMATE} Reckoned as of {result.as_of} with {result.samples} samples, seed "
        f"{result.seed}; each measure alone.",
    )
    cells = [
        [
            Markup("<b>{}</b><br>{}").format(row["measure"], row["needs"]),
            row["kept"],
            f"{row['depth']}, {row['zone']}",
            row["ahead"],
            row["second"],
        ]
        for row in _told(rows, names)
    ]
    cautions = [row["caution"] for row in rows if row["caution"]]
    title = f"{result.ship.name}: the case for isolating sooner"
    return paper(title, words, [(_HEADS, cells)], cautions)


def _as_picture(svg: str) -> Markup:
    """Return a drawing as an image: markup of its own would be taken out."""
    data = b64encode(svg.encode()).decode()
    return Markup(
        '<img alt="" style="width:100%" src="data:image/svg+xml;base64,{}">'
    ).format(data)
