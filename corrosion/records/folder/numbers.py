"""Numbers as people write them: decimal comma, marks of thousands, a unit behind.

A cell is plain where it reads one way in every country. ``1,5`` and ``1.234,5`` read
with a decimal comma only, ``0.5`` and ``1,234.5`` with a decimal point only; ``40.000``
and ``12,500`` read both ways, a thousandfold apart, and the rest of the column, then of
the file, has to tell which is meant.
"""

import re
from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from typing import Final, Literal

from corrosion.foundation.data_files import toml_tables

Mark = Literal[".", ","]  # what stands before the decimals
BLANKS: Final = frozenset(
    {"n/a", "na", "n.a.", "n.a", "?", "??", "-", "--", "–", "—", "unknown"}
    | {"not known", "not read", "tbc", "tbd", "#n/a", "null", "k.a."}
)
"""Words that people write into a cell of which they know nothing."""

_ABOUT: Final = re.compile(r"^(?:~|≈|ca\.?|circa|about|approx\.?)\s*(?=[\d.,+-])", re.I)
_NUMBER: Final = re.compile(
    r"(?P<sign>[+-]?)(?P<digits>\d[\d.,]*|[.,]\d+)(?P<power>[eE][+-]?\d+)?"
    r"\s*(?P<unit>[^\d\s.,+-].*)?"
)
_POINT: Final = re.compile(r"\d*\.\d+|\d+\.?|[1-9]\d{0,2}(?:,\d{3})+(?:\.\d+)?")
_COMMA: Final = re.compile(r"\d*,\d+|\d+,?|[1-9]\d{0,2}(?:\.\d{3})+(?:,\d+)?")
_SPACES: Final = re.compile(r"(?<=\d)[ \u00a0\u2009\u202f'\u2019](?=\d{3}(?!\d))")

_SCALES: Final[Mapping[str, Mapping[str, float]]] = toml_tables(__file__, "units.toml")
"""Units that people write behind a number, in the column's unit: definitions."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Written:
    """A cell that holds a number."""

    # point, comma: its value with a decimal point and with a decimal comma; None:
    # not so written
    point: float | None
    comma: float | None
    scale: float = 1.0  # by which its unit multiplies it to the column's unit
    unit: str = ""  # that unit; empty: none behind the number
    about: bool = False  # whether it says ``about``

    @property
    def mark(self) -> Mark | None:
        """The one decimal mark with which it reads; None: either, or no number."""
        if (self.point is None) == (self.comma is None):
            return None
        return "." if self.comma is None else ","

    @property
    def ambiguous(self) -> bool:
        """Whether it reads both ways, and differently."""
        both = self.point is not None and self.comma is not None
        return both and self.point != self.comma

    def value(self, mark: Mark | None) -> float | None:
        """Return its value in the column's unit; None: not so written."""
        plain = self.comma if mark == "," or self.point is None else self.point
        return None if plain is None else plain * self.scale


def written_number(cell: str, unit: str) -> Written | None:
    """Return what a cell says as a number; None: it is none that people write.

    Examples
    --------
    >>> written_number("40.000", "Ω").ambiguous
    True
    >>> written_number("0,4 MΩ", "Ω").value(",")
    400000.0
    """
    text = _SPACES.sub("", cell.replace("−", "-").strip().removeprefix("'"))
    bare = _ABOUT.sub("", text)
    match = _NUMBER.fullmatch(bare)
    if match is None:
        return None
    scale = unit_factor((match["unit"] or "").strip(), unit)
    if scale is None:
        return None
    digits = match["digits"]
    point = digits.replace(",", "") if _POINT.fullmatch(digits) else None
    comma = digits.replace(".", "").replace(",", ".")
    ends = match["sign"], match["power"] or ""
    return Written(
        point=_float(point, *ends),
        comma=_float(comma if _COMMA.fullmatch(digits) else None, *ends),
        scale=scale,
        unit=(match["unit"] or "").strip(),
        about=bare != text,
    )


def _float(digits: str | None, sign: str, power: str) -> float | None:
    return None if digits is None else float(f"{sign}{digits}{power}")


def unit_factor(behind: str, unit: str) -> float | None:
    """Return by what a unit multiplies to the column's; None: it is unknown."""
    if not behind or behind == unit:
        return 1.0
    known = _SCALES.get(unit.partition(",")[0], {})
    behind = behind.replace("\u2126", "Ω").replace("\u03bc", "µ")  # signs of one look
    if behind in known:
        return known[behind]
    folded = {name.casefold(): size for name, size in known.items()}
    alike = {
        size for name, size in known.items() if name.casefold() == behind.casefold()
    }
    return folded.get(behind.casefold()) if len(alike) == 1 else None


def mark_of(cells: Iterable[Written]) -> Mark | None:
    """Return the decimal mark that some cells tell; None: none, or both."""
    marks = {cell.mark for cell in cells} - {None}
    return marks.pop() if len(marks) == 1 else None
