"""How the people of a ship keep records: clerks who round dates, what goes missing."""

from dataclasses import dataclass
from datetime import UTC, datetime

import numpy as np

from corrosion.foundation.types import Array, IntArray
from corrosion.validation.nature import HOUR, NOW, YEAR

_FORMS = ("%Y-%m-%d %H:%M", "%Y-%m-%d", "%Y-%m", "%Y")


@dataclass(frozen=True, slots=True, kw_only=True)
class Habits:
    """What people write, each a chance unless said."""

    good: float = 0.5  # a fault's last good check
    cleared: float = 0.92  # that a fault was cleared, and when
    years_only: bool = False  # every date of a fault is a year
    campaigns: int = 5  # most gauging campaigns of a life; 0: never gauged
    # a gauging of another plate, misread, or taken from the drawing
    slips: float = 0.03
    dockings: bool = True  # whether any docking or painting is written down
    # whether a recorder writes the current of each system into the hull, on change, for
    # the last two years
    recorder: bool = False


def coarseness(found: Array, hours: Array, rng: np.random.Generator) -> IntArray:
    """Return how coarsely each fault's dates are written: 0 minute, 1 day, 2 month, 3.

    The older an entry and the longer the fault stood, the coarser.
    """
    age = (NOW - found) / YEAR
    blur = 0.45 * np.log10(np.maximum(hours, 1.0)) + 0.05 * age
    blur += 0.4 * rng.standard_normal(len(found))
    return np.digitize(blur, [0.9, 1.7, 2.5]).astype(np.int64)


def written_date(moment: float, level: int) -> str:
    """Return a date as a clerk writes it.

    ``moment``: from 1970-01-01 [s]. ``level``: 0 minute, 1 day, 2 month, 3 year.
    """
    days, rest = divmod(moment, 24.0 * HOUR)
    start = datetime.fromordinal(719163 + int(days)).replace(tzinfo=UTC)
    whole = start.replace(hour=int(rest // HOUR), minute=int(rest % HOUR // 60.0))
    return whole.strftime(_FORMS[level])
