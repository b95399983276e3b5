"""The truth of an invented ship: one draw from the very prior of the estimate.

Everything that an estimate does not know is drawn once by the code that draws it a
thousand times there: when each fault began, its resistance and conductor, where it is,
the water's and the paint's unknowns, and how each zone departs from the model. Dates,
the bare share and what is written of a system or a quay are what the prior is
conditional on, so the truth is drawn about them. A current that somebody measures is
constant from then on, as the estimate takes it to be; its truth is what the network
drove when the fault was found.
"""

from dataclasses import dataclass, replace

import numpy as np

from corrosion.estimate import set_clock
from corrosion.foundation import assumptions
from corrosion.foundation.sampling import Draws
from corrosion.foundation.types import Array
from corrosion.foundation.units import MM, YEAR
from corrosion.history.inputs import Books, Case, prepare
from corrosion.history.integrate import keep_books
from corrosion.inspection.outlook import Outlook, look_ahead
from corrosion.records.ship import Ship
from corrosion.simulate.crew import Log, gauge, read_faults
from corrosion.simulate.ships import AS_OF, invent

__all__ = ["Truth", "Wander", "rehearse"]


@dataclass(frozen=True, slots=True)
class Wander:
    """How each zone departs from the model, at any moment of the clock.

    Attributes
    ----------
    moments : ndarray, shape (moments,)
        Ascending. [s]
    departure_at : ndarray, shape (moments, zones)
        To be added to the thickness. [m]
    """

    moments: Array
    departure_at: Array

    @classmethod
    def drawn(
        cls, moments: Array, built: float, zones: int, rng: np.random.Generator
    ) -> "Wander":
        """Draw an allowance from the beginning, and a walk with the years."""
        steps = np.diff(np.maximum(moments - built, 0.0), prepend=0.0)
        drift = assumptions.value("model_drift_mm") * MM / np.sqrt(YEAR)
        walk = np.cumsum(
            drift * np.sqrt(steps)[:, None] * rng.standard_normal((len(steps), zones)),
            axis=0,
        )
        start = assumptions.value("model_sd_mm") * MM * rng.standard_normal(zones)
        return cls(moments, start + walk)

    def departure(self, moment: float) -> Array:
        """Return the departure at one of the moments, shape (1, zones) [m]."""
        return self.departure_at[[int(np.searchsorted(self.moments, moment))]]

    def pick(self, values: Array) -> Array:
        """Return the values: there is one sample, and it is the truth."""
        return values


@dataclass(frozen=True, slots=True, kw_only=True)
class Truth:
    """What is true of an invented ship.

    Attributes
    ----------
    case : Case
        One sample of everything.
    books : Books
        What was lost.
    outlook : Outlook
        What is left, now and ahead.
    """

    case: Case
    books: Books
    outlook: Outlook


def rehearse(seed: int) -> tuple[Ship, Truth]:
    """Invent a ship, draw her truth and let a crew write it down.

    Parameters
    ----------
    seed : int
        The same seed rehearses the same ship.

    Returns
    -------
    Ship
        The records: readings off instruments, dates as exact as they are old, blanks.
    Truth
        What they are about.
    """
    plan = invent(seed)
    rng = np.random.default_rng([seed, 2])
    clock = set_clock(plan, AS_OF)
    case = prepare(plan, Draws(1, int(rng.integers(2**31))), clock)
    log: Log = read_faults(case, rng)
    faults = replace(case.faults, amps=log.amps)
    case = replace(case, faults=faults)
    (books,) = keep_books(case, [case.faults.spans])
    gauged = [row.date.middle for row in plan.gaugings]
    wander = Wander.drawn(
        np.unique([*clock.moments, *gauged]), clock.start, len(plan.zones), rng
    )
    gaugings = gauge(case, books, wander.departure, rng)
    records = replace(plan, faults=log.faults, gaugings=gaugings)
    outlook = look_ahead(case, books, wander)
    return records, Truth(case=case, books=books, outlook=outlook)
