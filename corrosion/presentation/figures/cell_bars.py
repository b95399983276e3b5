"""Small drawings in the cells of a table: intervals as bars on a common scale."""

from typing import Final

from markupsafe import Markup

from corrosion.presentation.format import number

_WIDTH: Final = 110.0
_BELOW: Final = -0.35
_ABOVE: Final = 1.1
_OPEN: Final = Markup(
    '<svg class="bar" role="img" viewBox="0 0 110 {height}" width="110" '
    'height="{height}"><title>{title}</title>{parts}</svg>'
)
_SPAN: Final = Markup(
    '<path class="{kind}" d="M{a} {y}H{b}"/><circle class="{kind}" cx="{m}" cy="{y}" '
    'r="{r}"/>'
)
_TICK: Final = Markup('<path class="{kind}" d="M{x} 1V{end}"/>')


def margin_bar(
    mean: tuple[float, float, float],
    pit: tuple[float, float, float],
    *,
    built_mm: float,
    limit_mm: float,
    pit_limit_mm: float,
) -> Markup:
    """Draw what is left between the limit (left tick) and as built (right tick).

    Parameters
    ----------
    mean, pit : tuple of float
        p10, p50 and p90 of the zone's mean, and under the deepest pit. [mm]
    built_mm, limit_mm, pit_limit_mm : float
        As built; the least allowed of either. [mm]

    Returns
    -------
    Markup
        The mean's bar above the pit's, each on its own way from limit to as built, so
        that a bar left of the tick is below its limit in every zone.
    """
    spans = [
        _drawn(kind, [_pixel(_between(x, limit, built_mm)) for x in values], y, radius)
        for kind, values, limit, y, radius in (
            ("mean", mean, limit_mm, 6, 3.5),
            ("pit", pit, pit_limit_mm, 16, 2.5),
        )
    ]
    ticks = [
        _TICK.format(kind=kind, x=_pixel(at), end=21)
        for kind, at in (("limit", 0.0), ("built", 1.0))
    ]
    title = (
        f"zone mean {number(mean[0])} to {number(mean[2])} mm, limit "
        f"{number(limit_mm)} mm; under the deepest pit {number(pit[0])} to "
        f"{number(pit[2])} mm, limit {number(pit_limit_mm)} mm"
    )
    parts = Markup("").join([*ticks, *spans])
    return _OPEN.format(height=22, title=title, parts=parts)


def interval_bar(
    low: float, middle: float, high: float, *, top: float, unit: str
) -> Markup:
    """Draw an interval on a scale from nothing to the top.

    Parameters
    ----------
    low, middle, high, top : float
        p10, p50, p90, and the end of the scale, in ``unit``. [-]
    unit : str
        Their unit.
    """
    scale = top if top > 0.0 else 1.0
    places = [
        round(2.0 + (_WIDTH - 6.0) * min(max(x / scale, 0.0), 1.0), 1)
        for x in (low, middle, high)
    ]
    title = f"{number(low)} to {number(high)} {unit}, scale to {number(top)} {unit}"
    parts = _TICK.format(kind="built", x=2, end=11) + _drawn("mean", places, 6, 3.0)
    return _OPEN.format(height=12, title=title, parts=parts)


def _between(value: float, limit: float, built: float) -> float:
    """Return where a thickness lies between limit and as built, 0 to 1 and beyond."""
    room = built - limit
    share = (value - limit) / room if room > 0.0 else 0.0
    return min(max(share, _BELOW), _ABOVE)


def _pixel(share: float) -> float:
    whole = _WIDTH - 8.0
    return round(4.0 + whole * (share - _BELOW) / (_ABOVE - _BELOW), 1)


def _drawn(kind: str, places: list[float], y: int, radius: float) -> Markup:
    a, m, b = places
    return _SPAN.format(kind=kind, a=a, m=m, b=b, y=y, r=radius)
