"""While an answer is reckoned: how far it has come, and what the old one answers.

The framework leaves what a page drew before where it stands, marked as stale, until
something else is drawn in its place. So all that is said meanwhile stands in one place
that is kept free above the answer, and the old answer is named as what it is.
"""

from collections.abc import Callable
from dataclasses import dataclass
from datetime import date
from typing import Final, NamedTuple, TypeVar

import streamlit as st
from streamlit.delta_generator import DeltaGenerator

from corrosion.presentation.dashboard.markup import escape_markdown

T = TypeVar("T")
Tell = Callable[[float], None]
"""Takes the share done."""

_PLACE: Final = "place of what is being reckoned"
_STANDS: Final = "question that the page answers"


class Question(NamedTuple):
    """What a page was asked, and of which records."""

    page: str
    ship: str
    as_of: date
    samples: int
    seed: int
    digest: str

    def told_from(self, new: "Question") -> str:
        """Return in words of which inputs this was asked, other than the new one.

        Examples
        --------
        >>> old = Question("plan", "tern", date(2026, 11, 25), 256, 1, "a")
        >>> old.told_from(old._replace(seed=2)), old.told_from(old)
        ('with seed 1', 'to the question before')
        """
        if self.ship != new.ship:
            return f"for {self.ship}"
        told = (
            (f"as of {self.as_of}", self.as_of != new.as_of),
            (f"with {self.samples} samples", self.samples != new.samples),
            (f"with seed {self.seed}", self.seed != new.seed),
            ("from her records before they changed", self.digest != new.digest),
        )
        found = ", ".join(words for words, changed in told if changed)
        return found or "to the question before"


@dataclass(slots=True)
class _Place:
    """Where it is said: the bar, and the way back; beneath stands the old answer."""

    bar: DeltaGenerator
    back: DeltaGenerator
    old: Question | None
    asked: Question
    offered: bool = False

    def said(self) -> str:
        """Return what stands in grey, and offer the way back to it, once."""
        old, asked = self.old, self.asked
        if old is None:
            return ""
        if old[1:-1] != asked[1:-1] and not self.offered:
            self.offered = True
            self.back.button("Back to the old answer", on_click=_ask, args=(old,))
        return f"In grey: the old answer, {old.told_from(asked)}."


def begin(asked: Question) -> None:
    """Keep the place free, above all that the page is about to draw."""
    old: Question | None = st.session_state.get(_STANDS)
    if old is not None and old.page != asked.page:
        del st.session_state[_STANDS]  # what another page drew is gone
        old = None
    with st.container(key="reckoning", horizontal=True, vertical_alignment="center"):
        st.session_state[_PLACE] = _Place(st.empty(), st.empty(), old, asked)


def nothing_stands() -> bool:
    """Return whether the page has no old answer that could stand in grey."""
    place: _Place | None = st.session_state.get(_PLACE)
    return place is not None and place.old is None


def end(asked: Question) -> None:
    """Leave the place empty: the answer to this question stands."""
    place: _Place = st.session_state.pop(_PLACE)
    place.back.empty()
    st.session_state[_STANDS] = asked


def _ask(old: Question) -> None:
    """Ask again what the old answer answers; it is kept."""
    for name in ("ship", "as_of", "samples", "seed"):
        st.session_state[name] = getattr(old, name)


def shown(
    words: str, work: Callable[[Tell], T], *, at: DeltaGenerator | None = None
) -> T:
    """Do work while the page shows how far it has come.

    Drawing the bar is also where the page is stopped once an input has changed.

    ``words``: what is being done. ``work``: does it; is given a function that takes the
    share done. ``at``: where the page's answer stands already, and this only adds to
    it: the place in which the bar is drawn.
    """
    place: _Place | None = st.session_state.get(_PLACE) if at is None else None
    if place is None:
        bar, told = (at or st).empty(), words
    else:
        bar, told = place.bar, f"{words} {place.said()}"
    told = escape_markdown(told.strip())
    bar.progress(0.0, told)

    def on_progress(share: float) -> None:
        bar.progress(min(share, 1.0), told)

    made = work(on_progress)
    bar.empty()
    return made
