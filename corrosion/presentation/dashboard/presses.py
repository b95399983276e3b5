"""Buttons that write: every press is carried out, and only once.

A drawing of the page is broken off wherever another is asked for: by a field that was
left, the menu, a telephone that was turned. A button that the broken one had not come
to would not be heard. So each press is noted before anything is drawn, in an object
that its callback is handed, since a callback can itself be broken off where it reads
the session; and the note stands until a drawing comes to the button and writes.
"""

from collections import Counter
from collections.abc import Callable, Mapping
from dataclasses import dataclass, field
from typing import Any, Final, TypeVar

import streamlit as st
from streamlit.runtime.scriptrunner import RerunException

from corrosion.foundation.errors import CorrosionError

T = TypeVar("T")
_NOTED: Final = "presses that were noted"


@dataclass(slots=True)
class Presses:
    """What a session has pressed and is not written yet, and what was just written.

    ``told``: what to say of the last save; ``refused``: why callbacks wrote nothing;
    ``after``: what is to be done, twice perhaps, before the next page is drawn.
    """

    told: Any = None
    refused: list[str] = field(default_factory=list)
    after: list[Callable[[], object]] = field(default_factory=list)
    _waiting: "dict[str, Press]" = field(default_factory=dict)
    _written: Counter[str] = field(default_factory=Counter)

    def times(self, key: str) -> int:
        """Return how often a button has written, to be compared at its press."""
        return self._written[key]

    def note(
        self, key: str, label: str, times: int, entered: Mapping[str, Any] | None = None
    ) -> None:
        """Note a press; one on a button that has written since it was drawn is none."""
        if times == self._written[key]:
            self._waiting[key] = Press(key, label, entered or {}, self)

    def waits(self, key: str) -> "Press | None":
        """Return the press that is to be carried out, if there is one."""
        return self._waiting.get(key)

    def write(self, press: "Press", saves: Callable[[], object]) -> None:
        """Save; nothing of the framework is called between the note and the save."""
        del self._waiting[press.key]
        saves()
        self._written[press.key] += 1

    def refuse(self, press: "Press", say: Callable[[], object]) -> None:
        """Say why nothing was saved; where that is broken off, it is said again."""
        self._waiting[press.key] = press
        say()
        del self._waiting[press.key]

    def attempt(self, write: Callable[[], object]) -> None:
        """In a callback: write, or leave it to be said why nothing was written."""
        try:
            write()
        except CorrosionError as error:
            self.refused.append(f"Nothing was written: {error}")

    def finish(self) -> None:
        """Do what the last save left to do, again where that was broken off."""
        while self.after:
            self.after[0]()
            del self.after[0]

    def forgotten(self) -> list[str]:
        """Return and forget the presses that no button of a whole page took."""
        labels = [press.label for press in self._waiting.values()]
        self._waiting.clear()
        return labels


@dataclass(frozen=True, slots=True)
class Press:
    """One press that is to be carried out, and what was entered at it."""

    key: str
    label: str
    entered: Mapping[str, Any]
    noted: Presses = field(repr=False)

    def write(self, saves: Callable[[], object]) -> None:
        """Save what was pressed for, which raises where it cannot be saved."""
        self.noted.write(self, saves)

    def refuse(self, say: Callable[[], object]) -> None:
        """Say why nothing was saved."""
        self.noted.refuse(self, say)

    def tell(self, told: object, *after: Callable[[], object]) -> None:
        """Leave what is to be said and done before the next page is drawn."""
        self.noted.told = told
        self.noted.after += after


def noted() -> Presses:
    """Return the presses of this session."""
    found: Presses = st.session_state.setdefault(_NOTED, Presses())
    return found


def button(
    label: str,
    key: str,
    draw: Callable[..., object] = st.button,
    **more: Any,
) -> Press | None:
    """Draw a button that writes; return its press, if it waits to be carried out.

    ``label``: what stands on it. ``key``: of the button, and of its press. ``draw``:
    draws it: ``st.button``, or ``st.form_submit_button`` of some place. ``**more``: as
    that takes it.
    """
    here = noted()
    asked = key, label, here.times(key)
    draw(label, key=key, on_click=here.note, args=asked, **more)
    return None if more.get("disabled") else here.waits(key)


def read_whole(read: Callable[[], T], use: Callable[[T], object]) -> None:
    """In a callback: read from the session, use it, then let the page be drawn anew.

    Reading is where a callback is broken off if a drawing is asked for at that moment.
    """
    asked: RerunException | None = None
    while True:
        try:
            found = read()
            break
        except RerunException as one:
            asked = one
    use(found)
    if asked is not None:
        raise asked
