"""Small components without a build step: cards that toggle, lamps to tap, buttons.

Streamlit takes their markup, style and script as strings and runs them in the page,
without an iframe. They are trusted code: words from the records reach the page as text
content, never as markup. Style and script of each stand in ``browser``.
"""

import re
from collections.abc import Callable, Mapping, Sequence
from contextlib import nullcontext
from typing import Any

import streamlit as st

from corrosion.foundation.data_files import text_beside


def _component(name: str, html: str | None = None, *styles: str) -> Any:
    """Return a component whose script bears its name."""
    css = [text_beside(__file__, f"browser/{style}.css") for style in styles]
    script = text_beside(__file__, f"browser/{name}.js")
    return st.components.v2.component(
        name, html=html, css="\n".join(css) or None, js=script
    )


_PRESSED = '<button type="button"></button>'
_cards = _component("cards", '<div class="grid"></div>', "button", "cards")
_lamps = _component("lamps", '<div class="row"></div>', "button", "lamps")
_number = _component(
    "number",
    '<label><span></span><input inputmode="decimal" autocomplete="off"></label>',
    "number",
)
_screen = _component("screen")
_print = _component("print", _PRESSED, "button", "press")
_copy = _component("copy", _PRESSED, "button", "press")
_save = _component(
    "save",
    '<button type="button">SVG</button><button type="button">PNG</button>',
    "save",
)


def _ignore() -> None:
    """Do nothing: a component tells its state only where somebody listens."""


def cards(
    rows: Sequence[Mapping[str, str]],
    chosen: Sequence[str],
    *,
    key: str,
    on_change: Callable[[], None],
) -> None:
    """Draw cards that go in and out by a click.

    ``rows``: each with ``id``, ``title``, ``words``, ``chance`` and ``takes``.
    ``chosen``: the ids that are in. ``key``: under which
    ``st.session_state[key].chosen`` holds the new list. ``on_change``: reads that list,
    before the page is drawn again.
    """
    _cards(
        data={"cards": [dict(row) for row in rows], "chosen": list(chosen)},
        key=key,
        on_chosen_change=on_change,
    )


def lamps(seen: Mapping[str, str], *, key: str) -> dict[str, str]:
    """Draw lamps to tap; return what each looks like, blank where not looked at."""
    found = _lamps(data=dict(seen), key=key, on_seen_change=_ignore)
    return dict(found.seen or seen)


def typed_number(label: str, *, key: str, said: str = "") -> str:
    """Draw a field that tells what is typed while it is typed; return its text.

    ``label``: heading. ``key``: of the component. ``said``: what a screen reader says
    in place of the label.
    """
    # What was typed: the browser may make the field anew where one above it goes.
    kept = st.session_state.get(key, {}).get("text")
    shown = "" if kept is None else str(kept)
    found = _number(
        data={"label": label, "text": shown, "said": said or label},
        key=key,
        on_text_change=_ignore,
    )
    return str(found.text or "")


def follow_screen() -> None:
    """Draw the page again when the system turns light or dark, or the screen narrow.

    A drawn figure and a grid cannot follow by themselves; all else does, by style.
    """
    _screen(
        data=narrow(), key="screen", on_dark_change=_ignore, on_narrow_change=_ignore
    )


def narrow() -> bool:
    """Return whether the screen is a telephone's, 640 px wide at most."""
    return bool(st.session_state.get("screen", {}).get("narrow"))


def save_buttons(figure: str) -> None:
    """Draw buttons that save a drawn figure as a picture, SVG or PNG.

    ``figure``: key of the figure on the page.
    """
    place = re.sub(r"[^a-zA-Z0-9_-]", "-", figure)
    _save(data={"place": place}, key=f"save {figure}")


def print_button(words: str, width: int | None = None) -> None:
    """Draw a button that opens the browser's print dialog; ``width``: in pixels."""
    with nullcontext() if width is None else st.container(width=width):
        _print(data=words, key="print")


def copy_button(label: str, text: str) -> None:
    """Draw a button that puts a text on the clipboard, and says that it has."""
    _copy(data={"label": label, "text": text}, key=f"copy {label}")
