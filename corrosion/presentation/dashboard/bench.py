"""Bench: readings and lamps in, what they may mean out, at once."""

from collections.abc import Mapping, Sequence
from typing import Any, Final, cast

import streamlit as st

from corrosion.foundation.errors import CorrosionError
from corrosion.inspection.cautions import LAMPS, PROVE, TOUCH, ZERO_VOLTS
from corrosion.presentation import explanation_words as words
from corrosion.presentation.answers.explained import explained_fault
from corrosion.presentation.answers.previewed_fault import inferred_fault, with_fault
from corrosion.presentation.dashboard import (
    bench_rows,
    bench_saving,
    cached,
    components,
    page_parts,
)
from corrosion.presentation.dashboard.chosen_ship import Chosen
from corrosion.presentation.dashboard.entries import next_id
from corrosion.presentation.dashboard.markup import WORDS, draw, escape, markup
from corrosion.presentation.format import amperes, counted, interval, ohms
from corrosion.presentation.sentences import touch
from corrosion.records.dates import as_written
from corrosion.records.ship import LampSeen, Reading, Readings, System

_SHOWN: Final = 3  # explanations that have a line


@st.fragment
def bench(chosen: Chosen, system: System) -> None:
    """Draw the bench; a reading draws this and nothing else again."""
    answer = st.container(key="answer")
    left, right = st.columns([1.15, 1], gap="large")
    with left:
        typed = bench_rows.draw(system)
        lamps = _lamps(system)
        nearby = st.container()
        touched(chosen, system)
    read, slips = _read(typed, system, chosen)
    with left:
        for slip in slips:
            st.error(slip)
        if read or any(lamps):
            bench_saving.carry_out(chosen, system, read, lamps)
    if not read and not any(lamps):
        answer.html(_said(WORDS["bench nothing"], chosen, system))
        with right:
            page_parts.caution(PROVE)
        return
    seen = Readings(lamps=lamps if any(lamps) else ())
    name = next_id(fault.fault for fault in chosen.ship.faults)
    try:
        known, fault = with_fault(
            chosen.ship, system, seen, read, as_of=chosen.as_of, name=name
        )
        found = explained_fault(known, fault)
    except CorrosionError as error:
        answer.html(_said("Nothing can be said yet.", chosen, system))
        with left:
            page_parts.problems(
                error, "Correct it: nothing is shown.", "in the readings"
            )
        return
    ranked = found["explanations"]
    answer.html(_said(words.answer(ranked), chosen, system, len(read)))
    with nearby:
        _next(system, found["next_reading"])
    with right:
        st.html('<p class="head">What it may be</p>')
        _bars(ranked)
        _hurting(chosen, read, lamps)
        _amounts(chosen, system, seen, read, name)
        bench_saving.save(chosen, system)


def touched(chosen: Chosen, system: System) -> None:
    """Say what a body would carry, before any other number of the system."""
    amps = cached.touched(chosen.key, chosen.ship)[system.name]
    page_parts.caution(f"{TOUCH} {system.name}, {touch(amps)}.")


def _lamps(system: System) -> tuple[LampSeen | None, ...]:
    """Draw the lamps; return what each looks like."""
    if system.lamps is None:
        st.html('<p class="cap">This system has no lamps.</p>')
        return ()
    st.html('<p class="head">Lamps: tap until it looks like hers</p>')
    blank = dict.fromkeys(system.conductors, "")
    seen = components.lamps(blank, key=f"bench {system.name} lamps")
    return tuple(
        cast("LampSeen", seen[name]) if seen.get(name) else None
        for name in system.conductors
    )


def _read(
    typed: Sequence[bench_rows.Typed], system: System, chosen: Chosen
) -> tuple[tuple[Reading, ...], list[str]]:
    """Return what can be read of the rows, and a sentence on each that cannot."""
    when, found, slips = as_written(chosen.as_of.isoformat()), [], []
    for row in typed:
        try:
            found.append(bench_rows.reading_of(row, system, when))
        except bench_rows.BadReading as slip:
            slips.append(str(slip))
    return tuple(each for each in found if each is not None), slips


def _said(words: str, chosen: Chosen, system: System, count: int | None = None) -> str:
    """Return the answer as HTML, and what it rests on; live where there is one."""
    kinds = {"ac3": "three-phase", "ac1": "single-phase", "dc2": "direct current"}
    many = "no reading yet" if not count else counted(count, "reading")
    live = ("", "") if count is None else ('<div role="status">', "</div>")
    return (
        f'{live[0]}<h1 class="say">{escape(words)}</h1>{live[1]}'
        f'<p class="cap">{escape(system.name)}, {system.volts:g} V '
        f"{kinds[system.kind]}, {escape(chosen.ship.name)}: {many}. Live: every digit "
        "counts as it is typed. Nothing is saved yet.</p>"
    )


def _bars(rows: Sequence[Mapping[str, Any]]) -> None:
    """Draw the ranked explanations as bars with words."""
    shown = [row for row in rows[:_SHOWN] if row["chance"] >= words.LEAST_SHOWN]
    left = sum(row["chance"] for row in rows) - sum(row["chance"] for row in shown)
    draw("explanations", shown, max(left, 0.0))


def _next(system: System, then: Mapping[str, Any] | None) -> None:
    """Draw the reading that would tell, with a button that adds its row."""
    with st.container(key="next"):
        if then is None:
            st.html(WORDS["bench none tells"])
            return
        st.html(
            '<p class="head">The reading that would tell most</p>'
            f"<p>{escape(then['words'])}</p>"
        )
        if then["act"] == "volts":
            st.button(
                "Take this reading",
                on_click=bench_rows.add,
                args=(system, then["conductor"], then["to"], then["meter_ohm"]),
                icon=":material/add:",
                key=f"bench {system.name} take",
            )


def _hurting(
    chosen: Chosen, read: Sequence[Reading], lamps: Sequence[LampSeen | None]
) -> None:
    """Draw the cautions of what was read: zero volts is not dead."""
    least = chosen.ship.assumptions.value("dead_reading_v")
    if any(row.volts is not None and abs(row.volts) < least for row in read):
        page_parts.caution(ZERO_VOLTS)
    elif any(lamps):
        page_parts.caution(LAMPS)


def _amounts(
    chosen: Chosen, system: System, seen: Readings, read: tuple[Reading, ...], name: str
) -> None:
    """Draw ohms and amperes as the log will have them, if it is one fault."""
    try:
        found = cached.once(
            ("bench", *chosen.key, system.name, seen.lamps, read),
            lambda: inferred_fault(
                chosen.ship,
                system,
                seen,
                as_of=chosen.as_of,
                sampling=(chosen.samples, chosen.seed),
                name=name,
                rows=read,
            ),
        )
    except CorrosionError as error:
        page_parts.problems(
            error, "Correct it: nothing is inferred.", "in the readings"
        )
        return
    where = found["earthed_at"]
    now = "into the hull now" if where is None else f"into the hull now, at {where}"
    median = ohms(found["resistance_ohm"]["p50"], 2)
    cells = [(median, interval(found, "resistance_ohm", "Ω"))]
    cells += [(amperes(found["amps"]["p50"]), now)]
    if found["amps_ashore"] is not None and where is None:
        ashore = amperes(found["amps_ashore"]["p50"])
        cells += [(ashore, "were she on earthed shore supply")]
    st.html(
        '<p class="head">If it is one fault, as the log will have it</p>'
        + str(markup("told", cells, "three", live=False))  # marks before it stay marks
    )
    for line in found["contradictions"]:
        st.warning(line)
