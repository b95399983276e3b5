"""Buttons that act in the browser: print this page, put a text on the clipboard."""

import re
from contextlib import nullcontext
from typing import Final

import streamlit as st

from corrosion.presentation.dashboard.components import BUTTON

_PRINT_CSS: Final = (
    BUTTON
    + """
button { padding: .4rem 1rem; border-color: var(--accent); width: 100%;
  text-align: center; min-height: 40px; font-size: .875rem }
"""
)
_PRINT_JS: Final = """
export default function ({ data, parentElement }) {
  const button = parentElement.querySelector("button");
  button.textContent = data;
  button.onclick = () => window.print();
}
"""

_COPY_JS: Final = """
export default function ({ data, parentElement }) {
  const button = parentElement.querySelector("button");
  button.textContent = data.label;
  button.onclick = async () => {
    try {
      await navigator.clipboard.writeText(data.text);
    } catch {  // no permission, or no secure address
      const field = document.createElement("textarea");
      field.value = data.text;
      parentElement.append(field);
      field.select();
      document.execCommand("copy");
      field.remove();
    }
    button.textContent = "Copied";
    setTimeout(() => { button.textContent = data.label; }, 2000);
  };
}
"""

_SAVE_CSS: Final = """
button { font: inherit; font-size: .875rem; color: var(--ink); background: none;
  border: 0; border-radius: 8px; cursor: pointer; min-height: 40px; padding: 0 .6rem }
button:hover { color: var(--accent) }
button:focus-visible { outline: 3px solid var(--accent); outline-offset: 2px }
"""
_SAVE_JS: Final = """
export default function ({ data, parentElement }) {
  const drawn = () => {  // the layers of the figure as it stands, one upon another
    const plot = document.querySelector(`.st-key-${data.place} .js-plotly-plot`);
    const layers = [...plot.querySelectorAll("svg.main-svg")];
    const whole = layers[0].cloneNode(false);
    const { width, height } = layers[0].getBoundingClientRect();
    whole.setAttribute("viewBox", `0 0 ${width} ${height}`);
    whole.style.background = getComputedStyle(plot).getPropertyValue("--card");
    for (const layer of layers) whole.append(...layer.cloneNode(true).childNodes);
    const text = new XMLSerializer().serializeToString(whole);
    return [new Blob([text], { type: "image/svg+xml" }), width, height];
  };
  const keep = (blob, ending) => {
    const link = document.createElement("a");
    link.href = URL.createObjectURL(blob);
    link.download = `${data.place}.${ending}`;
    link.click();
    setTimeout(() => URL.revokeObjectURL(link.href), 1000);
  };
  const [svg, png] = parentElement.querySelectorAll("button");
  svg.onclick = () => keep(drawn()[0], "svg");
  png.onclick = async () => {
    const [blob, width, height] = drawn();
    const image = new Image();
    image.src = URL.createObjectURL(blob);
    await image.decode();
    const canvas = document.createElement("canvas");
    [canvas.width, canvas.height] = [2 * width, 2 * height];
    const pen = canvas.getContext("2d");
    pen.fillStyle = getComputedStyle(document.body).backgroundColor;
    pen.fillRect(0, 0, canvas.width, canvas.height);
    pen.drawImage(image, 0, 0, canvas.width, canvas.height);
    canvas.toBlob((made) => keep(made, "png"));
  };
}
"""

_component = st.components.v2.component
_print = _component(
    "print", html='<button type="button"></button>', css=_PRINT_CSS, js=_PRINT_JS
)
_copy = _component(
    "copy", html='<button type="button"></button>', css=_PRINT_CSS, js=_COPY_JS
)


_save = _component(
    "save",
    html='<button type="button">SVG</button><button type="button">PNG</button>',
    css=_SAVE_CSS,
    js=_SAVE_JS,
)


def save_buttons(figure: str) -> None:
    """Draw buttons that save a drawn figure as a picture, SVG or PNG.

    Parameters
    ----------
    figure : str
        Key of the figure on the page.
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
