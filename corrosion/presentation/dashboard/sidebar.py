"""The sidebar that every page shares: which ship, as of when, how many samples.

All of it stands in the page's address, so that a view can be sent. The door draws it,
not the pages: what a page draws is forgotten with the page.
"""

import os
import shutil
import tempfile
import weakref
from collections.abc import Callable
from dataclasses import dataclass
from datetime import date
from functools import partial
from pathlib import Path
from typing import Final

import streamlit as st

from corrosion.foundation.errors import CorrosionError, InputError, RecordError
from corrosion.presentation.dashboard import cached
from corrosion.presentation.dashboard.markdown import escape_markdown
from corrosion.presentation.dashboard.serve import SHIPS
from corrosion.presentation.dashboard.upload import packed, place, unpacked
from corrosion.presentation.demo import demo_folder, is_demo
from corrosion.records.folder.files import folder_digest
from corrosion.records.ship import Ship

__all__ = [
    "CHOOSE_NEXT",
    "Asked",
    "Chosen",
    "Sidebar",
    "choose",
    "draw_sidebar",
    "found_ships",
    "may_write",
    "root",
]

SAMPLES: Final = (256, 1024, 4096)
CHOOSE_NEXT: Final = "choose next"
"""Where the ship that shall be chosen in the next run is left."""

_OURS: Final = ("ship.toml", "zones.csv", "faults.csv")
_SESSION: Final = "own ships"
_BOX: Final = "box of own ships"
_SAID: Final = 8  # problems of an upload; the rest are counted


class _Box:
    """A folder that is removed when the session that holds it ends."""

    def __init__(self) -> None:
        self.path = Path(tempfile.mkdtemp(prefix="ships-"))
        weakref.finalize(self, shutil.rmtree, self.path, ignore_errors=True)


@dataclass(frozen=True, slots=True, kw_only=True)
class Asked:
    """What the sidebar says.

    Attributes
    ----------
    folder : Path
        The ship folder.
    as_of : date
        Date of the estimate.
    samples, seed : int
        Of the random numbers.
    """

    folder: Path
    as_of: date
    samples: int
    seed: int


Sidebar = Callable[[], Asked]


@dataclass(frozen=True, slots=True, kw_only=True)
class Chosen(Asked):
    """What the sidebar says, and the ship that it names.

    Attributes
    ----------
    digest : str
        Of the folder's content.
    ship : Ship
        As read.
    invented : bool
        Whether she is one of our demo ships.
    may_write : bool
        Whether the log can be written.
    """

    digest: str
    ship: Ship
    invented: bool
    may_write: bool

    @property
    def key(self) -> tuple[str, date, int, int]:
        """All that an estimate depends on."""
        return self.digest, self.as_of, self.samples, self.seed


def root() -> Path:
    """Return the folder in which the ships are, as the dashboard was started."""
    return Path(os.environ.get(SHIPS) or demo_folder())


def found_ships() -> dict[str, Path]:
    """Return the ship folders in that folder by name, or itself where it is one."""
    top = root()
    if not top.is_dir():
        return {}
    if _is_ship(top):
        return {top.name: top}
    return {p.name: p for p in sorted(top.iterdir()) if p.is_dir() and _is_ship(p)}


def _is_ship(folder: Path) -> bool:
    return any((folder / name).is_file() for name in _OURS)


def may_write(folder: Path) -> bool:
    """Return whether a ship folder can be written: not our demo, and not read-only."""
    return not is_demo(folder) and os.access(folder, os.W_OK)


def choose(sidebar: Sidebar) -> Chosen:
    """Read the ship that the sidebar names.

    Parameters
    ----------
    sidebar : callable
        Gives what the sidebar says.

    Raises
    ------
    InputError
        If there is no ship to choose.
    RecordError
        If the ship folder has problems.
    """
    asked = sidebar()
    digest = folder_digest(asked.folder)
    return Chosen(
        folder=asked.folder,
        digest=digest,
        ship=cached.ship(str(asked.folder), digest),
        as_of=asked.as_of,
        samples=asked.samples,
        seed=asked.seed,
        invented=is_demo(asked.folder),
        may_write=may_write(asked.folder),
    )


def draw_sidebar() -> Sidebar:
    """Draw the sidebar; return what gives a page what it says, or raises why not."""
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
    with st.sidebar:
        if not ships:
            _upload(own)
            msg = (
                f"There is no ship folder in {root()}. Make one with: corrosion new "
                f"{root()}/my-ship. Or upload a zipped ship folder at the left."
            )
            raise InputError(msg)
        wanted = st.query_params.get("ship")
        name = st.selectbox("Ship", list(ships), key="ship", bind="query-params")
        as_of = st.date_input(
            "As of",
            value="today",
            min_value=date(1850, 1, 1),
            max_value=date(2150, 1, 1),
            format="YYYY-MM-DD",
            key="as_of",
            bind="query-params",
            help="Later entries of the log are left out.",
        )
        samples, seed = _sampling()
        folder = ships[name or next(iter(ships))]
        _copies(own, folder)
        _upload(own)
    if wanted and wanted not in ships:
        st.warning(escape_markdown(_absent(wanted, str(name))))
    return Asked(folder=folder, as_of=as_of, samples=samples, seed=seed)


def _absent(wanted: str, name: str) -> str:
    return (
        f"There is no ship folder {wanted!r} here: {name} is shown. What somebody "
        "uploads or copies is there for their session only; a folder may also have "
        "been renamed."
    )


def _sampling() -> tuple[int, int]:
    many, number = st.columns(2)
    samples = many.selectbox(
        "Samples",
        SAMPLES,
        index=1,
        format_func=str,
        key="samples",
        bind="query-params",
        help="More samples give steadier digits and take longer; the command line "
        "takes 4096 unless told otherwise.",
    )
    seed = number.number_input(
        "Seed",
        min_value=0,
        max_value=2**31,
        value=1,
        step=1,
        key="seed",
        bind="query-params",
        help="The same seed gives the same digits, here and on the command line.",
    )
    return int(samples or SAMPLES[1]), int(seed or 0)


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
            st.error(f"{more} more problem{'s' * (more > 1)} of this kind or another.")
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
