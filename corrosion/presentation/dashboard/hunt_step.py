"""One step of a hunt as a card, with buttons for a thumb; each answer is written."""

from collections.abc import Mapping, Sequence
from datetime import datetime
from pathlib import Path
from typing import Any, Final

import streamlit as st

from corrosion.foundation.errors import InputError
from corrosion.inspection.fault_finding.progress import (
    NOTHING,
    SHOWS,
    TOGETHER,
    Progress,
)
from corrosion.presentation.dashboard import components, markup, presses
from corrosion.presentation.dashboard.chosen_ship import Chosen
from corrosion.presentation.dashboard.markup import escape_markdown
from corrosion.presentation.format import number
from corrosion.records.folder.kept import Kept, last_save, undo
from corrosion.records.folder.save_table import read_table, save_tables

Row = tuple[str, str | None, str] | tuple[str, str | None, str, str]
"""Act, circuit, result and remark, as hunts/ID.csv has them."""

_HEADS: Final = {
    "look": "look at the lamps or the monitor",
    "clamp": "clamp this feeder; nothing is opened",
    "open": "open this breaker, look at the lamps",
    "test": "isolate, lock, prove dead, then test",
    "close": "close this breaker again",
    "none": "as she lies",
}
_ODDS: Final = {
    "clamp": "that the clamp shows it",
    "open": "that the indication goes",
    "test": "that it is here",
}


def row(by: str, act: str, circuit: str, result: str, **more: str) -> dict[str, str]:
    """Return a row of hunts/ID.csv, at the ship's time."""
    now = f"{datetime.now():%Y-%m-%d %H:%M}"  # noqa: DTZ005 - ship's time
    told = {"time": now, "by": by, "circuit": circuit, "act": act, "result": result}
    return told | more


def _write(
    chosen: Chosen,
    progress: Progress,
    rows: Sequence[Row],
    typed: str | None,
    here: presses.Presses,
) -> None:
    """Add rows to the hunt in one save, with the figure as it stands in its field."""

    def figure() -> str | None:
        told = None if typed is None else st.session_state.get(typed, {}).get("text")
        return None if told is None else _plain(str(told))

    presses.read_whole(
        figure, lambda it: here.attempt(lambda: _add(chosen, progress, rows, it))
    )


def _add(
    chosen: Chosen, progress: Progress, rows: Sequence[Row], figure: str | None
) -> None:
    """Write the rows, unless the step was answered since it was drawn.

    Whoever began it, or wrote last, did it.
    """
    table = f"hunts/{progress.hunt}"
    _refuse_stale(chosen.folder, table, len(progress.steps))
    if figure is not None and not _is_number(figure):
        msg = f"{figure!r} is not a number."
        raise InputError(msg)
    by = next((step.by for step in reversed(progress.steps) if step.by), "")
    cells = [
        row(by, act, circuit or "", figure or result, remark="".join(remark))
        for act, circuit, result, *remark in rows
    ]
    save_tables(chosen.folder, {table: cells})


def _refuse_stale(folder: Path, table: str, steps: int) -> None:
    """Raise InputError where a hunt has other steps than when it was drawn."""
    if steps != sum(any(row.values()) for row in read_table(folder, table)[0]):
        msg = "this step was answered, or one taken back, since it was drawn."
        raise InputError(msg)


def button(
    chosen: Chosen,
    progress: Progress,
    label: str,
    *rows: Row,
    key: str | None = None,
    typed: str | None = None,
    disabled: bool = False,
) -> None:
    """Draw a button that writes a row, or several at once.

    ``key``: how it looks; ``typed``: the key of the field that holds their figure.
    """
    st.button(
        escape_markdown(label),
        key=key and f"{key}-{len(progress.steps)}",  # no press is on the next step
        type="primary" if key == "went" else "secondary",
        on_click=_write,
        args=(chosen, progress, rows, typed, presses.noted()),
        width="stretch",
        disabled=disabled or not chosen.may_write,
    )


def draw(chosen: Chosen, progress: Progress, answer: Mapping[str, Any]) -> None:
    """Draw the step that comes next, and what may be answered."""
    step = answer["next"]
    act, name = str(step["act"]), step["circuit"]
    skipped = bool(progress.skipped)
    markup.draw("hunt_card", step, answer, _HEADS[act], _ODDS.get(act, ""), skipped)
    if act == "none":
        return
    value, typed = "", None
    if act in ("clamp", "test"):
        unit = "Milliamperes" if act == "clamp" else "Ohms"
        typed = f"{progress.hunt} {len(progress.steps)} {name}"
        value = _plain(components.typed_number(unit, key=typed))
        if value and not _is_number(value):
            st.error(f"{value!r} is not a number: nothing was written.")
    with st.container(key="thumbs", horizontal=True):
        for label, told, key in _answers(act, name, value):
            needs_number = told[0] in ("clamped", "tested")
            button(
                chosen,
                progress,
                label,
                told,
                key=key,
                typed=typed if needs_number else None,
                disabled=needs_number and not _is_number(value),
            )


def _answers(act: str, name: str | None, value: str) -> list[tuple[str, Row, str]]:
    """Return what can be answered: label, row, key."""
    done = {"clamp": "clamped", "test": "tested", "open": "opened"}.get(act, "")
    skip = ("Skip", ("skipped", name, done), "skip")
    answers: dict[str, list[tuple[str, Row, str]]] = {
        "look": [
            ("It is there", ("looked", None, "stayed"), "stayed"),
            ("It has gone", ("looked", None, "went"), "went"),
        ],
        "close": [("It is closed", ("closed", name, ""), "went")],
        "clamp": [
            ("Shows nothing", (done, name, value, NOTHING), "stayed"),
            ("Shows it", (done, name, value, SHOWS), "went"),
            skip,
        ],
        "test": [("Write it", (done, name, value), "went"), skip],
        "open": [
            ("Stayed", (done, name, "stayed"), "stayed"),
            ("Went", (done, name, "went"), "went"),
            skip,
        ],
    }
    return answers[act]


def _plain(text: str) -> str:
    return text.strip().replace(",", ".")


def _is_number(text: str) -> bool:
    try:
        return 0.0 <= float(text) < 1e12
    except ValueError:
        return False


def half_offered(progress: Progress, answer: Mapping[str, Any]) -> bool:
    """Offer halving where the rules of the sheet allow it; return whether it is taken.

    What either is expected to take is said: it is seldom the quicker one.
    """
    halving = answer["halving"]
    if answer["next"]["act"] != "open" or halving is None or len(halving["first"]) < 2:
        return False
    return st.toggle(
        f"Open half of what is left together: {number(halving['expected_minutes'])} "
        f"min expected, for {number(answer['expected_minutes'])} one by one",
        key=f"half {progress.hunt}",
    )


def draw_half(chosen: Chosen, progress: Progress, answer: Mapping[str, Any]) -> None:
    """Draw the half as one step, and what may be answered."""
    names = answer["halving"]["first"]
    rows = [each for each in answer["order"] if each["circuit"] in names]
    also = {name for each in rows for name in each.get("also_stops") or ()}
    stops = sorted(also.difference(names))
    who, caution = answer["halving"]["permission"], answer["cautions"]["open"]
    markup.draw("hunt_half", names, stops, who, caution)
    with st.container(key="thumbs", horizontal=True):
        for label in ("Stayed", "Went"):
            results = [*[TOGETHER] * (len(names) - 1), label.lower()]
            told = [("opened", *one) for one in zip(names, results, strict=True)]
            button(chosen, progress, label, *told, key=label.lower())


def take_back(chosen: Chosen, progress: Progress) -> None:
    """Offer to undo the last row, where it is the folder's last save."""
    saves = last_save(chosen.folder) if chosen.may_write else ()
    mine = [one.file for one in saves] == [f"hunts/{progress.hunt}.csv"]
    if not mine or len(progress.steps) < 2:
        return
    last = progress.steps[-1]
    what = " ".join(part for part in (last.circuit, last.act, last.result) if part)
    st.button(
        escape_markdown(f"Take back: {what}"),
        on_click=_undo,
        args=(chosen, saves, presses.noted()),
        type="tertiary",
        icon=":material/undo:",
    )


def _undo(chosen: Chosen, saves: tuple[Kept, ...], here: presses.Presses) -> None:
    """Take back the save that was offered, and no other."""

    def take() -> None:
        if last_save(chosen.folder) != saves:
            msg = "something was saved or taken back since it was offered."
            raise InputError(msg)
        undo(chosen.folder)

    here.attempt(take)
