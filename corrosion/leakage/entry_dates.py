"""What the dates of an entry of a log say of a fault by themselves."""

import numpy as np

from corrosion.foundation.units import DAY
from corrosion.leakage.dated_states import berth_at
from corrosion.leakage.earthing import is_earthed
from corrosion.records.dates import When
from corrosion.records.measured import SHORE_CABLE
from corrosion.records.ship import Fault, Ship

_AT_ONCE = 90.0  # found and cleared in the same minute, or on either side of one [s]
_COARSE = 2.0 * DAY  # a date wider than this is coarse
_MONTH = 30.4  # [days]


def coarseness(fault: Fault) -> float:
    """Return how coarse a fault's dates are: 0 to a day or two, 1 a month, 1.7 a year.

    Parameters
    ----------
    fault : Fault

    Returns
    -------
    float
        Logarithm of the widest date's width in days over that of a month's. [-]
    """
    dates = (fault.found, fault.ended)
    width = max(when.width for when in dates if when is not None)
    return float(np.log(width / DAY) / np.log(_MONTH)) if width > _COARSE else 0.0


def last_check(fault: Fault) -> When | None:
    """Return when what a fault broke was last found healthy, as its own entry says.

    It is the last look before the finding, so that the gap tells how often is looked.
    An entry of another fault is no check of this one: its circuit may have been open,
    and nobody looked for this.
    """
    return fault.last_good if fault.source == "ground fault" else None


def healthy_rounds(ship: Ship, fault: Fault) -> tuple[When | None, When | None]:
    """Return the last rounds before a fault at which its system was healthy.

    A round that somebody wrote down bounds when the fault began. It is not the last
    look: most looks are written nowhere.

    ``any_round``, ``thorough``: the last round before; and the last one that looked at
    more than lamps and volts, from which a fault of high resistance stays hidden.
    """
    rounds = [
        row
        for row in ship.readings
        if row.fault is None
        and row.system == fault.system
        and row.circuit in (None, fault.circuit)
        and row.circuit != SHORE_CABLE
        and row.time.latest <= fault.found.earliest
        and fault.source == "ground fault"
    ]
    tested = [r for r in rounds if r.insulation is not None or r.monitor is not None]
    last = [
        max((r.time for r in some), key=lambda when: when.latest, default=None)
        for some in (rounds, tested)
    ]
    return last[0], last[1]


def tripped(ship: Ship, fault: Fault) -> bool:
    """Return whether a fault opened its own branch as soon as it began.

    Nobody finds and clears a fault within one minute; an earthed supply does.
    """
    end = fault.ended
    if fault.source != "ground fault" or end is None:
        return False
    together = abs(end.middle - fault.found.middle) <= _AT_ONCE
    exact = max(end.width, fault.found.width) <= _AT_ONCE
    berth = berth_at(ship, fault.found.middle)
    return (
        together
        and exact
        and any(s.name == fault.system and is_earthed(s, berth) for s in ship.systems)
    )
