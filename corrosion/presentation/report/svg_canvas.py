"""A sheet of vector drawing for the report: a few shapes, two axes, no browser.

Everything is written on white paper, in whole pixels, so that a drawing of a hundred
zones stays a few kilobytes.
"""

from collections.abc import Iterable, Sequence
from dataclasses import dataclass, field
from html import escape
from typing import Final

import numpy as np

from corrosion.foundation.types import Array
from corrosion.presentation.figures import theme

_INK: Final = theme.INK["light"]
_MUTED: Final = theme.MUTED["light"]
START: Final = ' text-anchor="start"'
END: Final = ' text-anchor="end"'
DASHED: Final = ' stroke-width="1.5" stroke-dasharray="5 4"'
"""What a text or a stroke adds to its style."""
_STEPS: Final = (1.0, 2.0, 2.5, 5.0, 10.0)


def even_ticks(low: float, high: float, count: int = 6) -> list[float]:
    """Return round numbers, evenly spaced, between two ends.

    ``low``, ``high``: ends, low < high [-]. ``count``: about how many at most [-].

    Examples
    --------
    >>> even_ticks(3.2, 9.1, 4)
    [4.0, 6.0, 8.0]
    """
    rough = (high - low) / count
    power = 10.0 ** np.floor(np.log10(rough))
    step = next(s * power for s in _STEPS if s * power >= rough * 0.999)
    first = np.ceil(low / step - 1e-9) * step
    ticks = np.arange(first, high + 1e-9 * step, step).round(9) + 0.0  # no minus zero
    return [float(tick) for tick in ticks]


@dataclass(kw_only=True)
class Canvas:
    """One drawing in the making.

    ``left``, ``right``, ``top``, ``bottom``: margins about the plot [px].
    """

    height: int  # of the paper [px]
    left: int = 70
    right: int = 12
    top: int
    x: tuple[float, float]  # values at the left and right of the plot
    y: tuple[float, float]  # values at its bottom and top
    width: int = 1000  # of the paper [px]
    bottom: int = 48
    parts: list[str] = field(default_factory=list)  # what has been drawn so far

    @property
    def scale(self) -> tuple[float, float]:
        """Pixels a unit along, and up."""
        along = (self.width - self.left - self.right) / (self.x[1] - self.x[0])
        up = (self.height - self.top - self.bottom) / abs(self.y[1] - self.y[0])
        return along, up

    def across(self, value: float) -> int:
        """Return where a value lies, from the left edge of the paper."""
        return round(self.left + (value - self.x[0]) * self.scale[0])

    def down(self, value: float) -> int:
        """Return where a value lies, from the top edge of the paper."""
        whole = self.height - self.top - self.bottom
        share = (value - self.y[0]) / (self.y[1] - self.y[0])
        return round(self.height - self.bottom - whole * share)

    def polygon(self, x: Array, y: Array, fill: str, *, frame: str = "") -> None:
        """Add a filled polygon; ``frame`` is what its outline adds."""
        path = self._walk(x, y, 1.0)
        self.parts.append(f'<path d="{path}z" fill="{fill}"{frame}/>')

    def curve(self, x: Array, y: Array, stroke: str, *, style: str = "") -> None:
        """Add a line through points; ``style`` is what its stroke adds."""
        path = self._walk(x, y, 10.0)
        self.parts.append(f'<path d="{path}" fill="none" stroke="{stroke}"{style}/>')

    def _walk(self, x: Array, y: Array, per_pixel: float) -> str:
        """Write corners as steps on a grid; drop those that stand still."""
        whole = self.height - self.top - self.bottom
        over = self.left + (x - self.x[0]) * self.scale[0]
        share = (y - self.y[0]) / (self.y[1] - self.y[0])
        under = self.height - self.bottom - whole * share
        # Rounded first, differences taken then: errors of rounding do not add up along
        # the outline, and neighbours that share an edge meet in the same pixel.
        grid = (np.column_stack([over, under]) * per_pixel).round()
        moved = np.diff(grid, axis=0)
        corners = [grid[0], *moved[moved.any(axis=1)]]
        written = [
            f"{a:g} {b:g}".replace(" -", "-") for a, b in np.divide(corners, per_pixel)
        ]
        return "M" + "l".join(written)

    def rectangle(
        self, x: tuple[float, float], y: tuple[float, float], fill: str, style: str = ""
    ) -> None:
        """Add a rectangle between two values along and two up."""
        a, b = sorted((self.across(x[0]), self.across(x[1])))
        c, d = sorted((self.down(y[0]), self.down(y[1])))
        size = f'width="{max(b - a, 1)}" height="{d - c}"'
        self.parts.append(f'<rect x="{a}" y="{c}" {size} fill="{fill}"{style}/>')

    def dot(self, x: float, y: float, fill: str, radius: int = 5) -> None:
        """Add a dot."""
        at = f'cx="{self.across(x)}" cy="{self.down(y)}"'
        self.parts.append(f'<circle {at} r="{radius}" fill="{fill}"/>')

    def text(
        self, x: float, y: float, lines: Sequence[str], *, style: str = ""
    ) -> None:
        """Add lines of words about a point given in values."""
        self.text_at(self.across(x), self.down(y), lines, style=style)

    def text_at(self, x: int, y: int, lines: Sequence[str], *, style: str = "") -> None:
        """Add lines of words about a point given in pixels."""
        start = y + 4 - 6 * (len(lines) - 1)
        spans = "".join(
            escape(line) if k == 0 else f'<tspan x="{x}" dy="12">{escape(line)}</tspan>'
            for k, line in enumerate(lines)
        )
        self.parts.append(f'<text x="{x}" y="{start}"{style}>{spans}</text>')

    def bottom_axis(self, ticks: Iterable[tuple[float, str]], title: str) -> None:
        """Add ticks with words under the plot, and the axis's title."""
        floor = self.height - self.bottom
        for value, words in ticks:
            at = self.across(value)
            self.parts.append(
                f'<path d="M{at} {self.top}V{floor + 4}" stroke="{theme.LINE}" '
                'stroke-opacity=".35"/>'
            )
            self.text_at(at, floor + 16, [words], style=f' fill="{_MUTED}"')
        middle = (self.left + self.width - self.right) // 2
        self.text_at(middle, floor + 34, [title], style=f' fill="{_MUTED}"')

    def left_axis(self, ticks: Iterable[tuple[float, str]], title: str) -> None:
        """Add ticks with words at the left of the plot, and the axis's title above."""
        end = self.width - self.right
        for value, words in ticks:
            at = self.down(value)
            self.parts.append(
                f'<path d="M{self.left - 4} {at}H{end}" stroke="{theme.LINE}" '
                'stroke-opacity=".35"/>'
            )
            style = f' fill="{_MUTED}" text-anchor="end"'
            self.text_at(self.left - 8, at, [words], style=style)
        style = f' fill="{_MUTED}" text-anchor="start"'
        self.text_at(8, 12, [title], style=style)

    def svg(self, alt: str) -> str:
        """Return the drawing as one self-contained ``<svg>`` with its description."""
        return (
            f'<svg xmlns="http://www.w3.org/2000/svg" role="img" '
            f'viewBox="0 0 {self.width} {self.height}" '
            'font-family="DejaVu Sans,Arial,Helvetica,sans-serif" '
            f'font-size="11" text-anchor="middle" fill="{_INK}">'
            f"<title>{escape(alt)}</title>{''.join(self.parts)}</svg>"
        )
