"""Text from records on a page: shown as written, never as markdown or markup."""

import html
import re
from typing import Final

_MARKS: Final = re.compile(r"([\\`*_{}\[\]<>#$~:])")


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
    return html.escape(str(text))
