"""Small pictures as divisions cut to shape: the page's own HTML strips drawings."""

from collections.abc import Mapping
from typing import Any, Final

from markupsafe import Markup

from corrosion.presentation.answers.bridge import ZoneCard
from corrosion.presentation.dashboard.markup import markup
from corrosion.presentation.format import interval, quantiles
from corrosion.presentation.tables.zones import place
from corrosion.records.ship import Form

_WATERLINE: Final = 36.0  # of the side view, per cent from its top
_LIMIT_AT: Final = 20.0  # on the margin strip [%]
_A_MILLIMETRE: Final = 20.0  # of the margin strip [%]


def hull_picture(row: Mapping[str, Any], form: Form) -> Markup:
    """Return a tiny hull, bow to the right: a zone from the side and from above."""
    frames = form.length / form.frame_spacing
    ends = [
        100.0 - 100.0 * min(max(row[key] / frames, 0.0), 1.0)
        for key in ("frame_from", "frame_to")
    ]
    left, wide = min(ends), max(abs(ends[1] - ends[0]), 4.0)
    deep = [
        _WATERLINE + (100.0 - _WATERLINE) * min(max(row[key] / form.draught, -0.5), 1.0)
        for key in ("top_m", "bottom_m")
    ]
    top, high = {"port": (0, 50), "starboard": (50, 50)}.get(row["side"], (30, 40))
    return markup(
        "hull",
        place(row),
        *(f"{left:.1f}", f"{wide:.1f}", f"{deep[0]:.0f}"),
        *(f"{max(deep[1] - deep[0], 12.0):.0f}", top, high),
    )


def margin_strip(card: ZoneCard) -> Markup:
    """Return the millimetres to spare on one scale, the limit at one place for all."""

    def at(mm: float) -> float:
        off = _LIMIT_AT + _A_MILLIMETRE * (mm - card.limit_mm)
        return min(max(off, 0.0), 100.0)

    low, high = at(card.low_mm), at(card.high_mm)
    mark = None if card.gauged_mm is None else at(card.gauged_mm)
    words = f"estimate {card.low_mm:.1f} to {card.high_mm:.1f} mm"
    return _strip("strip", words, (low, mark, high), 1.0)


def interval_strip(row: Mapping[str, Any], name: str, top: float) -> Markup:
    """Return p10 to p90 and the median on a scale from nothing to the top."""
    scale = top if top > 0.0 else 1.0
    low, middle, high = (
        100.0 * min(max((value or 0.0) / scale, 0.0), 1.0)
        for value in quantiles(row, name)
    )
    words = interval(row, name, "kg")
    return _strip("span", words, (low, middle, high), 0.6)


def _strip(
    kind: str, words: str, places: tuple[float, float | None, float], least: float
) -> Markup:
    low, mark, high = places
    at = None if mark is None else f"{mark:.1f}"
    return markup(
        "strip", kind, words, f"{low:.1f}", f"{max(high - low, least):.1f}", at
    )
