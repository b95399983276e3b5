"""How every page shows things: a heading, charts, tables, problems, cautions."""

import html
import mimetypes
import re
from collections.abc import Callable, Iterator, Mapping, Sequence
from contextlib import contextmanager
from functools import partial, wraps
from time import monotonic
from typing import Any, Final

import pandas as pd
import plotly.graph_objects as go
import streamlit as st
from streamlit.delta_generator import DeltaGenerator

from corrosion.foundation.errors import CorrosionError, RecordError
from corrosion.foundation.memory import gives_memory_back
from corrosion.inspection.cautions import NO_DANGER
from corrosion.presentation.dashboard import (
    cached,
    components,
    doubts_badge,
    presses,
    reckoning,
    records_alone,
)
from corrosion.presentation.dashboard.chosen_ship import Chosen, Masthead, choose
from corrosion.presentation.dashboard.grids import grid
from corrosion.presentation.dashboard.look import mode
from corrosion.presentation.dashboard.markup import WORDS, escape_markdown
from corrosion.presentation.demo import INVENTED
from corrosion.presentation.figures import theme
from corrosion.presentation.files import csv_bytes
from corrosion.presentation.format import counted
from corrosion.presentation.tables.table import PAGE, Table
from corrosion.presentation.units import METRIC, SYSTEMS, UnitSystem
from corrosion.results import Estimate

READ_ONLY: Final = WORDS["read only"]
"""Shown where a form that saves would stand."""

BASE: Final = "base of "
"""Begins the name under which a session keeps the table that is being edited."""

Page = Callable[[Masthead], None]

_STAYS: Final = 10.0  # what was saved is said so long after it was first [s]
_FONT: Final = "Source Sans, sans-serif"  # the page's own
_BAR: Final[dict[str, Any]] = {"displayModeBar": False, "scrollZoom": False}


def screen(body: Callable[[Chosen], None]) -> Page:
    """Make a page whose first line is its answer: no title, problems in words.

    Only our own errors are caught; anything else is a fault of the program and may
    surface as one. Whose figures they are, and of which day, stands beneath.
    """

    @gives_memory_back
    @wraps(body)
    def render(masthead: Masthead) -> None:
        top = st.container()  # above everything, the answer too
        here, asked = presses.noted(), None
        here.finish()
        with in_words():
            chosen = choose(masthead)
            ship = str(st.session_state.get("ship"))
            asked = reckoning.Question(
                body.__module__, ship, *chosen.key[1:], digest=chosen.digest
            )
            reckoning.begin(asked)
            found = cached.dangers(chosen.key, chosen.ship)
            if found:
                with top:
                    dangers(found)
            _greet(here)
            body(chosen)
            _foot(chosen, silent=not found)
            doubts_badge.fill(chosen.ship, cached.known_estimate(chosen.key))
        if asked is not None:
            reckoning.end(asked)
        for label in here.forgotten():
            top.error(escape_markdown(WORDS["press forgotten"].format(label)))

    return render


def answer(words: str) -> str:
    """Return a page's answer, its first line, as HTML, its dates unbroken."""
    whole = re.sub(r"\d{4}-\d\d-\d\d", r"<span>\g<0></span>", html.escape(words))
    return f'<h1 class="say">{whole}</h1>'


def say(words: str, at: DeltaGenerator | None = None) -> None:
    """Draw a page's answer, ``at`` the place that was kept for it, if one was."""
    (at or st).html(answer(words))


@contextmanager
def in_words() -> Iterator[None]:
    """Show the problems that are met in words."""
    try:
        yield
    except RecordError as error:
        problems(error)
    except CorrosionError as error:
        st.error(escape_markdown(str(error)))


def _foot(chosen: Chosen, *, silent: bool) -> None:
    """Say whose figures these are, and that no danger named is no safety."""
    invented = f", {INVENTED}" * chosen.invented
    whose = f"{chosen.ship.name} as of {chosen.as_of}{invented}."
    st.caption(escape_markdown(f"{whose} {NO_DANGER}" if silent else whose))


def _greet(here: presses.Presses) -> None:
    """Say what was just saved, and what somebody else had changed meanwhile."""
    if here.told is None:
        return
    words, news, until = here.told
    until = until or monotonic() + _STAYS
    if monotonic() > until:
        here.told = None
        return
    # a page may be drawn again at once, as where its fields are made anew
    here.told = words, news, until
    st.success(escape_markdown(words))
    if news is not None and not news.empty:
        st.markdown("What they changed:")
        grid(news, "what they changed")


def estimate(chosen: Chosen) -> Estimate:
    """Return the estimate of what is chosen, computed once.

    Until the first is there the page shows what her records say by themselves.
    """
    place = st.empty()
    if reckoning.nothing_stands() and cached.known_estimate(chosen.key) is None:
        doubts_badge.fill(chosen.ship, None)
        with place.container():
            records_alone.draw(chosen)
    result = cached.estimate(chosen.key, chosen.ship)
    place.empty()
    return result


def section(names: Sequence[str], key: str) -> str:
    """Draw the menu of a page's parts and return the chosen one, alone computed."""
    chosen = st.segmented_control(
        "Part of this page",
        names,
        default=names[0],
        required=True,
        key=key,
        bind="query-params",
        label_visibility="collapsed",
    )
    return str(chosen or names[0])


def chart(
    figure: go.Figure,
    rows: pd.DataFrame,
    name: str,
    *,
    on_select: Callable[[], None] | None = None,
) -> None:
    """Draw a figure with what it shows in a sentence and its table to download."""
    said = theme.describe(figure)
    st.plotly_chart(
        theme.apply(figure, mode()).update_layout(font_family=_FONT),
        theme=None,
        key=name,
        config=_BAR,
        alt=said,
        on_select="ignore" if on_select is None else on_select,
        selection_mode="points",
    )
    with st.container(horizontal=True, vertical_alignment="center"):
        st.caption(escape_markdown(said), width="stretch")
        if not isinstance(figure.data[0], go.Mesh3d):  # drawn dot by dot
            with st.container(width="content"):
                components.save_buttons(name)
        _download(rows, name)


def width() -> float:
    """Return how wide a figure is drawn, in pixels."""
    return theme.NARROW if components.narrow() else theme.WIDE


def units() -> UnitSystem:
    """Return the units in which this session reads tables and sentences."""
    return SYSTEMS[str(st.session_state.get("units") or METRIC.name)]


def table(shown: Table) -> None:
    """Show a table, and offer all of its columns as a download."""
    grid(shown.frame(PAGE, units()), shown.caption, key=shown.name)
    _download(shown.spreadsheet(), shown.name)


def _download(rows: pd.DataFrame, name: str) -> None:
    save_file(
        "Table (CSV)",
        csv_bytes(rows),
        f"{name.lower().replace(' ', '-')}.csv",
        key=f"download {name}",
        type="tertiary",
        help=f"Download the numbers behind: {name}",
    )


def problems(
    error: CorrosionError,
    head: str = "Nothing is estimated: correct the files, then reload this page.",
    where: str = "in the records",
) -> None:
    """Show every problem as one message and, where they have places, one table."""
    if not isinstance(error, RecordError):
        st.error(escape_markdown(f"{error} {head}"))
        return
    many = len(error.problems)
    st.error(escape_markdown(f"{counted(many, 'problem')} {where}. {head}"))
    rows = pd.DataFrame(list(error.problems)).drop(columns="weight")
    grid(rows, "Problems", key="problems")


def attempt(
    press: presses.Press,
    done: str,
    saves: Callable[[], object],
    *after: Callable[[], object],
    news: pd.DataFrame | None = None,
) -> None:
    """Save, then draw the page anew with its success; or say why nothing was saved.

    ``press``: what asked for it. ``done``: what to say at the head of the page when it
    is saved. ``saves``: saves, or raises one of our errors. ``*after``: come after it,
    before the page is drawn anew, and may be called twice. ``news``: what somebody else
    had changed meanwhile.
    """
    try:
        press.write(saves)
    except CorrosionError as error:
        head = "Nothing was saved: put it right and save again."
        press.refuse(partial(problems, error, head))
        return
    press.tell((done, news, None), *after, _forget_bases)
    st.rerun()


def _forget_bases() -> None:
    for key in [str(k) for k in st.session_state if str(k).startswith(BASE)]:
        del st.session_state[key]


def refused(chosen: Chosen) -> bool:
    """Return whether a ship cannot be written; if so, say it where a form would be."""
    if not chosen.may_write:
        st.info(READ_ONLY)
    return not chosen.may_write


def ahead(words: str) -> None:
    """Draw a sentence that follows the answer."""
    st.html(f'<p class="ahead">{html.escape(words)}</p>')


def save_file(label: str, data: Any, file_name: str, **more: Any) -> None:
    """Draw a button that saves a file; the page is not drawn again."""
    kind = mimetypes.guess_type(file_name)[0]
    st.download_button(label, data, file_name, kind, on_click="ignore", **more)


def caution(text: str) -> None:
    """Show what can hurt, before the act or the number that it speaks of."""
    st.markdown(f":orange-background[**Caution.**] {escape_markdown(text)}")


def dangers(found: Sequence[Mapping[str, Any]]) -> None:
    """Show dangers to life above everything, or that silence is no safety."""
    for row in found:
        st.error(f"**{escape_markdown(str(row['text']))}**", icon="⚠️")
    if not found:
        st.caption(escape_markdown(NO_DANGER))
