"""Small components without a build step: cards that toggle, lamps to tap, printing.

Streamlit takes their markup, style and script as strings and runs them in the page,
without an iframe. They are trusted code: words from the records reach the page as text
content, never as markup.
"""

from collections.abc import Callable, Mapping, Sequence
from typing import Final

import streamlit as st

BUTTON: Final = """
button { font: inherit; color: var(--ink); background: var(--card);
  border: 1px solid var(--line); border-radius: 8px; cursor: pointer;
  text-align: left; min-height: 44px }
button:hover { border-color: var(--accent) }
button:focus-visible { outline: 3px solid var(--accent); outline-offset: 2px }
"""

_CARDS_CSS: Final = (
    BUTTON
    + """
.grid { display: grid; gap: .4rem;
  grid-template-columns: repeat(auto-fill, minmax(min(21rem, 100%), 1fr)) }
button { display: grid; grid-template-columns: 1.3rem 1fr auto; gap: 0 .5rem;
  padding: .3rem .6rem; width: 100%; line-height: 1.25; align-items: center }
button[aria-checked=true] { border-color: var(--accent); background: var(--wash) }
.box { width: 1.1rem; height: 1.1rem; border: 2px solid var(--quiet);
  border-radius: 4px; display: grid; place-items: center; font: .9rem/1 inherit }
[aria-checked=true] .box { background: var(--accent); border-color: var(--accent);
  color: var(--card) }
[aria-checked=true] .box::after { content: "✓" }
b { font-weight: 600; font-size: .9rem; display: block }
.t { min-width: 0 }
small { color: var(--quiet); font-size: .8rem; display: block }
.n { text-align: right; font-weight: 600; font-size: .95rem }
"""
)
_CARDS_JS: Final = """
export default function ({ data, parentElement, setStateValue }) {
  const root = parentElement.querySelector(".grid");
  const chosen = new Set(data.chosen);
  const cell = (tag, text, into, name) => {
    const made = document.createElement(tag);
    made.textContent = text;
    if (name) made.className = name;
    into.append(made);
    return made;
  };
  root.replaceChildren(...data.cards.map((card) => {
    const button = document.createElement("button");
    button.type = "button";
    button.setAttribute("role", "checkbox");
    button.setAttribute("aria-checked", chosen.has(card.id));
    cell("span", "", button, "box").setAttribute("aria-hidden", "true");
    const words = cell("span", "", button, "t");
    cell("b", card.title, words);
    cell("small", card.words, words);
    const figures = cell("span", card.chance, button, "n");
    cell("small", card.takes, figures);
    button.onclick = () => {
      chosen.has(card.id) ? chosen.delete(card.id) : chosen.add(card.id);
      button.setAttribute("aria-checked", chosen.has(card.id));
      setStateValue("chosen", [...chosen]);
    };
    return button;
  }));
}
"""

_LAMPS_CSS: Final = (
    BUTTON
    + """
.row { display: flex; gap: .6rem }
button { flex: 1; max-width: 8.5rem; display: grid; justify-items: center;
  padding: .35rem; text-align: center }
svg { width: 48px; height: 48px }
@media (min-width: 641px) { button { grid-template-columns: auto 1fr;
  align-items: center; justify-items: start; column-gap: .4rem; padding: .1rem .5rem;
  max-width: 10rem; text-align: left; line-height: 1.2 } svg { grid-row: 1 / 3 }
  b { align-self: end } small { align-self: start } }
.glass { stroke: var(--ink); stroke-width: 1.5 }
.ray { stroke: var(--ink); stroke-width: 2; stroke-linecap: round }
.coil { stroke: light-dark(#17222b, #10181d); fill: none; stroke-width: 1.5 }
.out .glass, .failed .glass, .blank .glass { fill: none; stroke-dasharray: 3 3 }
.dim .glass { fill: light-dark(#e4d3a4, #6b5a2a) }
.even .glass { fill: light-dark(#f6d77b, #c9a544) }
.bright .glass { fill: light-dark(#ffd23e, #ffe07a) }
:is(.out, .failed, .blank, .dim) .ray, .even .far { display: none }
:is(.out, .failed, .blank) .coil { stroke: var(--quiet) }
.failed .coil { stroke-dasharray: 4 5 }
small { color: var(--quiet); font-size: .8rem } b { font-weight: 600 }
"""
)
_LAMPS_JS: Final = """
const NEXT = { "": "even", even: "bright", bright: "dim", dim: "out",
  out: "failed", failed: "" };
const SAID = { "": "not looked at", failed: "failed when tried" };
const rays = [...Array(8)].map((_, i) => {
  const a = i * Math.PI / 4, c = Math.cos(a), s = Math.sin(a);
  return `<line class="ray ${i % 2 ? "far" : ""}" x1="${24 + 15 * c}"
    y1="${24 + 15 * s}" x2="${24 + 21 * c}" y2="${24 + 21 * s}"/>`;
}).join("");
export default function ({ data, parentElement, setStateValue }) {
  const root = parentElement.querySelector(".row");
  const seen = { ...data };
  root.replaceChildren(...Object.keys(data).map((name) => {
    const button = document.createElement("button");
    button.type = "button";
    const draw = () => {
      const state = seen[name];
      button.innerHTML = `<svg viewBox="0 0 48 48" class="${state || "blank"}"
        aria-hidden="true">${rays}<circle class="glass" cx="24" cy="24" r="12"/>
        <path class="coil" d="M18 27 l3 -6 3 6 3 -6 3 6"/></svg><b></b>
        <small></small>`;
      button.querySelector("b").textContent = `Lamp ${name}`;
      button.querySelector("small").textContent = SAID[state] ?? state;
    };
    draw();
    button.onclick = () => {
      seen[name] = NEXT[seen[name]];
      draw();
      setStateValue("seen", { ...seen });
    };
    return button;
  }));
}
"""

_NUMBER_CSS: Final = """
label { display: block; font-size: .875rem; color: var(--ink); line-height: 1.35 }
input { font: inherit; color: var(--ink); background: var(--card); width: 100%;
  border: 1px solid var(--line); border-radius: 8px; min-height: 40px;
  padding: 0 .6rem; box-sizing: border-box } span:not(:empty) { display: block;
  margin-bottom: .25rem }
input:focus-visible { outline: 3px solid var(--accent); outline-offset: 2px }
"""
_NUMBER_JS: Final = """
export default function ({ data, parentElement, setStateValue }) {
  const input = parentElement.querySelector("input");
  parentElement.querySelector("span").textContent = data.label;
  input.setAttribute("aria-label", data.said);
  input.placeholder = data.placeholder;
  // Drawn again under other words, as when the row above goes, it keeps what was
  // typed, and what has not been told yet is still told.
  if (!input.dataset.drawn) input.value = data.text;
  input.dataset.drawn = "yes";
  input.oninput = () => {
    clearTimeout(input.waiting);
    input.waiting = setTimeout(
      () => input.isConnected && setStateValue("text", input.value), 150);
  };
}
"""

_SCREEN_JS: Final = """
export default function ({ data, setStateValue }) {
  const dark = window.matchMedia("(prefers-color-scheme: dark)");
  const narrow = window.matchMedia("(max-width: 640px)");
  const turned = () => setTimeout(() => setStateValue("dark", dark.matches), 100);
  const told = () => setStateValue("narrow", narrow.matches);
  dark.addEventListener("change", turned);
  narrow.addEventListener("change", told);
  if (narrow.matches !== data) told();
  return () => {
    dark.removeEventListener("change", turned);
    narrow.removeEventListener("change", told);
  };
}
"""

_component = st.components.v2.component
_cards = _component(
    "cards", html='<div class="grid"></div>', css=_CARDS_CSS, js=_CARDS_JS
)
_lamps = _component(
    "lamps", html='<div class="row"></div>', css=_LAMPS_CSS, js=_LAMPS_JS
)
_number = _component(
    "number",
    html='<label><span></span><input inputmode="decimal" autocomplete="off"></label>',
    css=_NUMBER_CSS,
    js=_NUMBER_JS,
)
_screen = _component("screen", js=_SCREEN_JS)


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

    Parameters
    ----------
    rows : sequence of mapping
        Each with ``id``, ``title``, ``words``, ``chance`` and ``takes``.
    chosen : sequence of str
        The ids that are in.
    key : str
        Under which ``st.session_state[key].chosen`` holds the new list.
    on_change : callable
        Reads that list, before the page is drawn again.
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


def typed_number(label: str, text: str, *, key: str, said: str = "") -> str:
    """Draw a field that tells what is typed while it is typed; return its text.

    Parameters
    ----------
    label, text : str
        Heading, and what the field begins with.
    key : str
        Of the component.
    said : str, optional
        What a screen reader says in place of the label.
    """
    # What was typed: the browser may make the field anew where one above it goes.
    kept = st.session_state.get(key, {}).get("text")
    shown = text if kept is None else str(kept)
    found = _number(
        data={"label": label, "text": shown, "said": said or label, "placeholder": ""},
        key=key,
        on_text_change=_ignore,
    )
    return str(text if found.text is None else found.text)


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
