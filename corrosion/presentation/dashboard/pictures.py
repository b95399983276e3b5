"""Small pictures as divisions cut to shape: the page's own HTML strips drawings."""

from collections.abc import Iterable, Mapping
from typing import Any, Final

from corrosion.presentation.answers.bridge import ZoneCard
from corrosion.presentation.dashboard.escaping import escape
from corrosion.presentation.format import interval, quantiles
from corrosion.records.ship import Form

_WATERLINE: Final = 36.0  # of the side view, per cent from its top
_LIMIT_AT: Final = 20.0  # on the margin strip [%]
_A_MILLIMETRE: Final = 20.0  # of the margin strip [%]


def hull_picture(row: Mapping[str, Any], form: Form) -> str:
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
    where = f"frames {row['frame_from']:g} to {row['frame_to']:g}, {row['side']}"
    spot = f'<i style="left:{left:.1f}%;width:{wide:.1f}%'
    return (
        f'<div class="hull" role="img" aria-label="{escape(where)}"><div class="side">'
        f"{spot};top:{deep[0]:.0f}%;height:{max(deep[1] - deep[0], 12.0):.0f}%"
        f'"></i></div><div class="above">{spot};top:{top}%;height:{high}%"></i></div>'
        "</div>"
    )


def told(cells: Iterable[Iterable[str]], kind: str, *, live: bool = True) -> str:
    """Return figures side by side, HTML: each large, its words beneath, what follows.

    ``kind`` styles them; ``live``: a screen reader tells them as they change.
    """
    drawn = "".join(
        f'<div><span class="num">{figure}</span><p class="cap">{words}</p>'
        f"{''.join(after)}</div>"
        for figure, words, *after in cells
    )
    role = ' role="status"' * live
    return f'<div class="told {kind}"{role}>{drawn}</div>'


def margin_strip(card: ZoneCard) -> str:
    """Return the millimetres to spare on one scale, the limit at one place for all."""

    def at(mm: float) -> float:
        off = _LIMIT_AT + _A_MILLIMETRE * (mm - card.limit_mm)
        return min(max(off, 0.0), 100.0)

    low, high = at(card.low_mm), at(card.high_mm)
    gauged = card.gauged_mm
    mark = "" if gauged is None else f'<b style="left:{at(gauged):.1f}%"></b>'
    words = f"estimate {card.low_mm:.1f} to {card.high_mm:.1f} mm"
    return (
        f'<div class="strip" role="img" aria-label="{words}"><u></u>'
        f'<i style="left:{low:.1f}%;width:{max(high - low, 1.0):.1f}%"></i>{mark}</div>'
    )


def interval_strip(row: Mapping[str, Any], name: str, top: float) -> str:
    """Return p10 to p90 and the median on a scale from nothing to the top."""
    scale = top if top > 0.0 else 1.0
    low, middle, high = (
        100.0 * min(max((value or 0.0) / scale, 0.0), 1.0)
        for value in quantiles(row, name)
    )
    words = escape(interval(row, name, "kg"))
    return (
        f'<div class="span" role="img" aria-label="{words}">'
        f'<i style="left:{low:.1f}%;width:{max(high - low, 0.6):.1f}%"></i>'
        f'<b style="left:{middle:.1f}%"></b></div>'
    )
