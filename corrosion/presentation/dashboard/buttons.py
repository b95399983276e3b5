"""Buttons that act in the browser: print this page, put a text on the clipboard."""

from typing import Final

import streamlit as st

from corrosion.presentation.dashboard.components import BUTTON

__all__ = ["copy_button", "print_button"]

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

_component = st.components.v2.component
_print = _component(
    "print", html='<button type="button"></button>', css=_PRINT_CSS, js=_PRINT_JS
)
_copy = _component(
    "copy", html='<button type="button"></button>', css=_PRINT_CSS, js=_COPY_JS
)


def print_button(words: str) -> None:
    """Draw a button that opens the browser's own print dialog."""
    _print(data=words, key="print")


def copy_button(label: str, text: str) -> None:
    """Draw a button that puts a text on the clipboard, and says that it has."""
    _copy(data={"label": label, "text": text}, key=f"copy {label}")
