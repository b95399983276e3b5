"""The masthead that every page shares: which ship, as of when, how many samples.

All of it stands in the page's address, so that a view can be sent. The door draws it,
not the pages: what a page draws is forgotten with the page.
"""

import shutil
import tempfile
import weakref
from collections.abc import Callable
from datetime import date
from functools import partial
from pathlib import Path
from typing import Final

import streamlit as st

from corrosion.foundation import defaults
from corrosion.foundation.errors import CorrosionError, InputError, RecordError
from corrosion.presentation.dashboard import doubts_badge
from corrosion.presentation.dashboard.chosen_ship import (
    Asked,
    Masthead,
    found_ships,
    may_write,
    root,
)
from corrosion.presentation.dashboard.markup import WORDS, escape_markdown
from corrosion.presentation.dashboard.phone_gate import for_phones
from corrosion.presentation.dashboard.upload import packed, place, unpacked
from corrosion.presentation.format import counted
from corrosion.presentation.units import SYSTEMS

SAMPLES: Final = (64, 256, defaults.SAMPLES, 4096)
_EARLIEST: Final = date(1850, 1, 1)
_LATEST: Final = date(2150, 1, 1)
_KEPT: Final = "view that was asked for"
ASKED: Final = ("ship", "as_of", "samples", "seed")
CHOOSE_NEXT: Final = "choose next"
"""Where the ship that shall be chosen in the next run is left."""

_SESSION: Final = "own ships"
_BOX: Final = "box of own ships"
_SAID: Final = 8  # problems of an upload; the rest are counted


class _Box:
    """A folder that is removed, unsaid, when the session that holds it ends."""

    def __init__(self) -> None:
        self.path = Path(tempfile.mkdtemp(prefix="ships-"))
        weakref.finalize(self, shutil.rmtree, self.path, ignore_errors=True)


def draw_masthead() -> Masthead:
    """Draw the masthead; return what gives a page what it says, or raises why not."""
    try:
        asked = _ask()
    except InputError as error:
        return partial(_refuse, str(error))
    return lambda: asked


def _refuse(reason: str) -> Asked:
    raise InputError(reason)


def _ask() -> Asked:
    own: dict[str, Path] = st.session_state.setdefault(_SESSION, {})
    ships = found_ships() | own
    if CHOOSE_NEXT in st.session_state:
        st.session_state["ship"] = st.session_state.pop(CHOOSE_NEXT)
    if not ships:
        with st.container(key="mast"), st.popover("No ship"):
            if not for_phones():
                _upload(own)
        msg = (
            f"There is no ship folder in {root()}. Make one with: corrosion new "
            f"{root()}/my-ship. Or upload a zipped ship folder: *No ship*, top right."
        )
        raise InputError(msg)
    wanted = st.query_params.get("ship")
    _from_address(ships)
    with st.container(key="mast", horizontal=True):
        doubts_badge.reserve()
        panel = st.popover(_label(ships))
    with panel:
        name = st.selectbox("Ship", list(ships), key="ship")
        as_of = st.date_input(
            "As of",
            min_value=_EARLIEST,
            max_value=_LATEST,
            format="YYYY-MM-DD",
            key="as_of",
            help="Later entries of the log are left out.",
        )
        samples, seed = _sampling()
        st.selectbox(
            "Units",
            SYSTEMS,
            key="units",
            bind="query-params",
            help=WORDS["masthead units"],
        )
        folder = ships[name or next(iter(ships))]
        if not for_phones():
            _copies(own, folder)
            _upload(own)
    _into_address()
    if wanted and wanted not in ships:
        st.warning(
            escape_markdown(
                f"There is no ship folder {wanted!r} here: {name} is shown. What "
                "somebody uploads or copies is there for their session only; a folder "
                "may also have been renamed."
            )
        )
    return Asked(folder=folder, as_of=as_of, samples=samples, seed=seed)


def _label(ships: dict[str, Path]) -> str:
    """Return whose figures these are, and of which day."""
    name = st.session_state.get("ship") or st.query_params.get("ship")
    folder = ships.get(str(name)) or next(iter(ships.values()))
    day = st.session_state.get("as_of")
    shown = f"{day:%Y-%m-%d}" if isinstance(day, date) else "today"
    return f"{folder.name}, {shown}"


def _sampling() -> tuple[int, int]:
    many, number = st.columns(2)
    samples = many.selectbox(
        "Samples",
        SAMPLES,
        format_func=str,
        key="samples",
        help="More samples give steadier digits and take longer; the command line "
        f"takes {defaults.SAMPLES} unless told otherwise.",
    )
    seed = number.number_input(
        "Seed",
        min_value=0,
        max_value=2**31,
        step=1,
        key="seed",
        help="The same seed gives the same digits, here and on the command line.",
    )
    return int(samples or defaults.SAMPLES), int(seed or 0)


def _from_address(ships: dict[str, Path]) -> None:
    """Take over what the address says, once a session; nonsense is passed over.

    The widgets stand in a panel that is shut at first, and the framework binds only
    those that are drawn to the address.
    """
    state, said = st.session_state, st.query_params
    for key, value in state.get(_KEPT, {}).items():  # a widget's own may be dropped
        state.setdefault(key, value)
    if state.get("ship") not in ships:
        asked = said.get("ship")
        state["ship"] = asked if asked in ships else next(iter(ships))
    if "as_of" not in state:
        state["as_of"] = _day(said.get("as_of", "")) or date.today()  # noqa: DTZ011 - ship's time carries no zone
    if "samples" not in state:
        many = said.get("samples", "")
        known = many in map(str, SAMPLES)
        state["samples"] = int(many) if known else defaults.SAMPLES
    if "seed" not in state:
        seed = said.get("seed", "")
        state["seed"] = min(int(seed), 2**31) if seed.isdecimal() else 1
    for key in ASKED:
        state[key] = state[key]  # told anew: what stands in a shut panel hears it once


def _day(text: str) -> date | None:
    try:
        day = date.fromisoformat(text)
    except ValueError:
        return None
    return day if _EARLIEST <= day <= _LATEST else None


def _into_address() -> None:
    """Write what is not as a new visitor would find it, so that a view can be sent."""
    state = st.session_state
    state[_KEPT] = {key: state[key] for key in ASKED}
    usual = {"as_of": date.today(), "samples": defaults.SAMPLES, "seed": 1}  # noqa: DTZ011 - likewise
    for key in ASKED:
        value = str(state[key])
        if key == "ship" or state[key] != usual[key]:
            st.query_params[key] = value  # the menu empties the address unsaid
        elif key in st.query_params:
            del st.query_params[key]


def _copies(own: dict[str, Path], folder: Path) -> None:
    """Offer a copy to work on where the ship cannot be written."""
    if may_write(folder):
        return
    if st.button("Work on a copy of this ship", width="stretch"):
        _taken(own, lambda: packed(folder), f"copy of {folder.name}.zip")


def _upload(own: dict[str, Path]) -> None:
    """Take in a zipped ship folder, for this session only."""
    with st.expander("Upload a ship folder"):
        file = st.file_uploader(
            "Zipped ship folder",
            type="zip",
            max_upload_size=50,
            help="It is kept for this session only. Download it again when done.",
        )
        if file is not None and st.button("Upload", width="stretch"):
            _taken(own, file.getvalue, file.name)


def _taken(own: dict[str, Path], data: Callable[[], bytes], file_name: str) -> None:
    """Take a ship in and choose her; or say why not, and leave all as it was."""
    try:
        name = _add(own, data(), file_name)
    except RecordError as error:
        for problem in error.problems[:_SAID]:
            st.error(escape_markdown(str(problem)))
        if more := len(error.problems[_SAID:]):
            st.error(f"{counted(more, 'more problem')} of this kind or another.")
        return
    except CorrosionError as error:
        st.error(escape_markdown(str(error)))
        return
    st.session_state[CHOOSE_NEXT] = name
    st.rerun()


def _add(own: dict[str, Path], data: bytes, file_name: str) -> str:
    """Keep a ship for this session; no other of that name is put away for her."""
    parcel = unpacked(data, file_name)
    box = st.session_state.setdefault(_BOX, _Box())
    stem = Path(file_name).stem
    taken = found_ships() | own
    names = (stem, *(f"{stem} ({n})" for n in range(2, len(taken) + 3)))
    name = next(one for one in names if one not in taken)
    own[name] = place(parcel, box.path / str(len(own)))
    return name
