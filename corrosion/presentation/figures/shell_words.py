"""What the unfolded hull says: colours of zones, words that fit, one sentence."""

from typing import Final

import numpy as np
import pandas as pd

from corrosion.presentation.figures import theme
from corrosion.presentation.figures.quantities import Quantity
from corrosion.presentation.figures.shell_layout import Patch

_LETTER: Final = 6.6
_LINE: Final = 14.0
_UNKNOWN: Final = "#c3c9cf"


def zone_colours(zones: pd.DataFrame, asked: Quantity) -> list[str]:
    """Return each zone's fill; grey where the value is not known."""
    values = asked.values(zones)
    low, high = asked.span(values)
    normalise = theme.normalise(values, low, high)
    return [
        theme.at_share(asked.stops, float(share)) if np.isfinite(share) else _UNKNOWN
        for share in normalise
    ]


def words_of(
    patch: Patch, zone: str, value: str, scale: tuple[float, float]
) -> list[str]:
    """Return the lines of words that fit into a patch: id and value, id, or none.

    Parameters
    ----------
    patch : Patch
        Where the zone is drawn.
    zone, value : str
        Its id, and its value as text.
    scale : tuple of float
        Pixels a frame, and pixels a metre of girth. [px]
    """
    width, height = patch.width * scale[0], patch.height * scale[1]
    lines = [zone, value]
    if height < 2.0 * _LINE + 4.0:
        joined = f"{zone}  {value}"
        lines = [joined] if len(joined) * _LETTER < width else [zone]
    wide = max(len(line) for line in lines) * _LETTER
    return lines if wide < width and height >= _LINE else []


def shell_words(zones: pd.DataFrame, asked: Quantity) -> str:
    """Return in one sentence what the unfolded shell shows."""
    values = asked.values(zones)
    if not np.isfinite(values).any():
        return f"Shell unfolded, {len(zones)} zones; {asked.label.lower()} not known."
    worst = np.nanargmin(values) if asked.low_is_worse else np.nanargmax(values)
    word = "least" if asked.low_is_worse else "most"
    row = zones.iloc[int(worst)]
    return (
        f"Shell unfolded, {len(zones)} zones coloured by {asked.label.lower()}; "
        f"{word} in {row['zone']}, {row['name']}: {asked.text(float(values[worst]))}."
    )
