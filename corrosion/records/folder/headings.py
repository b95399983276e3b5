"""Headings of columns as people write them, matched to the names of the design."""

from collections.abc import Collection, Mapping
from functools import lru_cache
from typing import Final

_SIGNS: Final[Mapping[str, str]] = {
    "²": "2",
    "Ω": "ohm",
    "\u2126": "ohm",
    "%": "percent",
    "°": "",
    "µ": "u",
    "\u03bc": "u",
    "+": "pos",
}


@lru_cache(maxsize=4096)
def squashed(heading: str) -> str:
    """Return a heading as small letters and figures alone.

    Examples
    --------
    >>> squashed("Thickness (mm)"), squashed("Bare %"), squashed("area_m2")
    ('thicknessmm', 'barepercent', 'aream2')
    """
    text = heading.casefold()
    for sign, word in _SIGNS.items():
        text = text.replace(sign.casefold(), word)
    return "".join(letter for letter in text if letter.isalnum())


def known_heading(heading: str, known: Collection[str]) -> str:
    """Return the name that a heading spells in its own way, or the heading itself."""
    if heading in known:
        return heading
    plain = squashed(heading)
    return next((name for name in known if plain and squashed(name) == plain), heading)
