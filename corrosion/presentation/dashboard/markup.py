"""Text and markup of a page: words from the records shown as written, always."""

import re
from functools import cache
from typing import Final

import streamlit as st
from jinja2 import Environment
from markupsafe import Markup
from markupsafe import escape as escape_html

from corrosion.foundation.data_files import sentences
from corrosion.presentation import explanation_words
from corrosion.presentation import format as fmt
from corrosion.presentation.tables.hunt import permission
from corrosion.presentation.templates import escaping

WORDS: Final = sentences(__file__, "words.toml")
"""Words of the pages that stand by themselves, by page and what they are about."""
_MARKS: Final = re.compile(r"([\\`*_{}\[\]<>#$~:])")
_WRITTEN: Final = (
    *(fmt.amperes, fmt.capital, fmt.chance, fmt.chance_error, fmt.counted),
    *(fmt.duration, fmt.number, fmt.ohms, fmt.quantity),
    *(explanation_words.meaning, permission),
)


def escape_markdown(text: str) -> str:
    r"""Return text in which no character is taken for markdown.

    Examples
    --------
    >>> escape_markdown("M3_S [new] $5")
    'M3\\_S \\[new\\] \\$5'
    """
    return _MARKS.sub(r"\\\1", text)


def escape(text: object) -> str:
    """Return words from the records, safe inside HTML."""
    return str(escape_html(str(text)))


@cache
def templates() -> Environment:
    """Return the templates of the pages, which escape all that they are given."""
    written = {one.__name__: one for one in _WRITTEN}
    return escaping("corrosion.presentation.dashboard", written)


def markup(part: str, *words: object, **more: object) -> Markup:
    """Return a macro of ``parts.html.j2``, given what it takes."""
    made = getattr(templates().get_template("parts.html.j2").module, part)
    return Markup(made(*words, **more))  # noqa: S704 - escaped by the template


def draw(part: str, *words: object, **more: object) -> None:
    """Draw the same on the page."""
    st.html(str(markup(part, *words, **more)))
