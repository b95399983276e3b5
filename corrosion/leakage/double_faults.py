"""What it says of faults that they stood beside others of their system.

Two faults on different conductors close a loop through the hull, and more than a branch
carries opens it, whatever feeds the ship. So faults that are written to have stood
together passed less than that: of many, those of low resistance lie on one conductor.
"""

from collections.abc import Sequence
from dataclasses import dataclass
from itertools import pairwise
from typing import Final, cast

import numpy as np

from corrosion.foundation.types import Array, BoolArray, IntArray
from corrosion.foundation.units import DAY
from corrosion.leakage.dated_states import berth_at
from corrosion.leakage.earthed_stays import DrawnFaults, stood_until
from corrosion.leakage.earthing import is_earthed, median_earthing, supply_at
from corrosion.leakage.neutral_point import Phasors, median_admittance
from corrosion.leakage.wander import Wander
from corrosion.records.ship import Fault, Ship, System

_MOMENTS: Final = 12  # at most, at which those that stood together are looked at
_SWEEPS: Final = 3  # over all faults: one that is drawn anew may open another
_TRIES: Final = 12  # samples of a fault that are tried in place of one that opens


@dataclass(frozen=True, slots=True)
class Together:
    """A system at some moments of a log, and which of its faults stood then."""

    at: Array  # shape (moments,): ascending; the shore earthed nothing then [s]
    # stands, perhaps, shape (moments, faults): which stood for certain; which had been
    # found and nobody wrote how they ended
    stands: BoolArray
    perhaps: BoolArray
    # shift, spread, shape (moments, faults): mean and standard deviation of what their
    # resistances have moved since they were read [-]
    shift: Array
    spread: Array
    volts: Phasors  # shape (moments, c): of each conductor about the star point [V]
    # shape (moments, c): between each conductor and the hull, without faults [S]
    tied: Phasors
    # shape (moments,): between the star point, or the middle, and the hull [S]
    neutral: Array

    def stood(self, drawn: DrawnFaults) -> IntArray:
        """Return which sample each fault becomes, so that all can have stood.

        Parameters
        ----------
        drawn : DrawnFaults
            Samples of all faults of the system.

        Returns
        -------
        ndarray of int, shape (samples, faults)
            Itself where, beside the others of the same sample, less flowed through it
            than opens its branch; else another in which it does, if there is one. [-]
        """
        samples, faults = drawn.ohms.shape
        each, rng = np.arange(samples), np.random.default_rng(0)
        chosen = np.repeat(each[:, None], faults, axis=1)
        load = self._load(drawn)
        for _ in range(_SWEEPS):
            before = chosen.copy()
            for k in np.flatnonzero(self.stands.any(axis=0)).tolist():
                here = np.flatnonzero(self.stands[:, k])
                own = self._siemens(k, drawn, here)
                may = self._may_open(k, drawn, own)[chosen[:, k]]
                rows = np.flatnonzero(may)
                _add(load, here, own, drawn.pole[:, k], (chosen[rows, k], rows), -1.0)
                left = rows
                for tried in range(_TRIES):
                    which = chosen[left, k]
                    if tried:
                        which = rng.integers(samples, size=len(left))
                    beside = load[np.ix_(here, left)]
                    opens = self._opens(k, drawn, (which, own), beside, here)
                    stays = ~opens.any(axis=0)
                    chosen[left[stays], k] = which[stays]
                    left = left[~stays]
                    if not left.size:
                        break
                _add(load, here, own, drawn.pole[:, k], (chosen[rows, k], rows))
            if (before == chosen).all():
                break
        return chosen

    def opened(self, drawn: DrawnFaults) -> Array:
        """Return when those of which nobody wrote how they ended opened their branch.

        Parameters
        ----------
        drawn : DrawnFaults
            Samples of all faults of the system.

        Returns
        -------
        ndarray, shape (samples, faults)
            Between two of the moments; infinite: never, as far as is known. [s]
        """
        found = np.full(drawn.ohms.shape, np.inf)
        each, load = np.arange(len(found)), self._load(drawn)
        middle = self.at - 0.5 * np.diff(self.at, prepend=self.at[:1])
        for k in np.flatnonzero(self.perhaps.any(axis=0)).tolist():
            here = np.flatnonzero(self.perhaps[:, k])
            own = self._siemens(k, drawn, here)
            opens = self._opens(k, drawn, (each, own), load[here], here)
            when = np.where(opens, middle[here, None], np.inf)
            found[:, k] = when.min(axis=0)
        return found

    def _load(self, drawn: DrawnFaults) -> Phasors:
        """Return what is between each conductor and the hull, (moments, samples, c)."""
        each = np.arange(len(drawn.ohms))
        load = cast("Phasors", np.repeat(self.tied[:, None], len(each), axis=1))
        for k in np.flatnonzero(self.stands.any(axis=0)).tolist():
            here = np.flatnonzero(self.stands[:, k])
            own = self._siemens(k, drawn, here)
            _add(load, here, own, drawn.pole[:, k], (each, each))
        return load

    def _siemens(self, k: int, drawn: DrawnFaults, here: IntArray) -> Array:
        """Return the conductance of all samples of a fault, (here, samples) [S]."""
        moved = self.spread[here, k, None] * drawn.score[:, k]
        return np.asarray(np.exp(-self.shift[here, k, None] - moved) / drawn.ohms[:, k])

    def _may_open(self, k: int, drawn: DrawnFaults, own: Array) -> BoolArray:
        """Return which samples of a fault open its branch beside dead shorts."""
        volts = 2.0 * np.abs(self.volts).max() + np.abs(drawn.direct[:, k])
        return np.asarray(own.max(axis=0) * volts > drawn.most[:, k])

    def _opens(
        self,
        k: int,
        drawn: DrawnFaults,
        samples: tuple[IntArray, Array],
        load: Phasors,
        here: IntArray,
    ) -> BoolArray:
        """Return where some samples of a fault open its branch, (here, which).

        Given which, and the conductance of all; each beside a load that it is no part
        of, (here, which, c). [S]
        """
        which, volts = samples[0], self.volts[here]
        own = samples[1][:, which]
        total = load.sum(axis=2) + self.neutral[here, None]
        # Millman: what lifts its conductor without it
        lift = total * volts[:, drawn.pole[which, k]]
        lift = lift - (load @ volts[:, :, None])[..., 0]
        back = np.abs(total)
        amps = own * np.hypot(np.abs(lift), drawn.direct[which, k] * back)
        return np.asarray(amps > drawn.most[which, k] * (back + own))


def _add(
    load: Phasors,
    here: IntArray,
    own: Array,
    pole: IntArray,
    samples: tuple[IntArray, IntArray],
    sign: float = 1.0,
) -> None:
    """Add some samples of a fault to the load of some rows, in place."""
    which, rows = samples
    load[here[:, None], rows, pole[which]] += sign * own[:, which]


def stood_together(
    ship: Ship,
    system: System,
    faults: Sequence[Fault],
    wander: Wander,
    as_of: float | None = None,
) -> Together | None:
    """Return a system at moments at which faults stood together for certain.

    Parameters
    ----------
    ship, system : Ship, System
    faults : sequence of Fault
        All ground faults of the system.
    wander : Wander
    as_of : float, optional
        Date of the estimate; None: when the last was found. [s]

    Returns
    -------
    Together or None
        None: no two did while the shore did not earth them.
    """
    low = np.array([fault.found.latest for fault in faults])
    now = low.max(initial=0.0) + DAY if as_of is None else as_of
    until = [stood_until(fault, now) for fault in faults]
    high = np.array([-np.inf if at is None else min(at, now) for at in until])
    edges = np.unique(np.concatenate([low[low < high], high[low < high]]))
    middles = [
        at
        for at in (0.5 * (a + b) for a, b in pairwise(edges))
        if ((low < at) & (at < high)).sum() > 1
        and not is_earthed(system, berth_at(ship, at))
    ]
    if not middles:
        return None
    if len(middles) > _MOMENTS:
        some = np.linspace(0, len(middles) - 1, _MOMENTS).round().astype(np.int64)
        middles = [middles[k] for k in some]
    moments = np.array(middles)[:, None]
    read = np.array([fault.found.middle for fault in faults])
    perhaps = np.array([at is None for at in until]) & (low < moments)
    last = np.where(np.isinf(high), now, high)
    lasts = _lasts(ship, moments, low, last)
    shift, spread = wander.over(np.abs(moments - read), lasts)
    fed = [supply_at(system, berth_at(ship, at)) for at in middles]
    ties = [
        median_earthing(system, berth_at(ship, at), ship.assumptions).parts(system)
        for at in middles
    ]
    healthy = [median_admittance(one, assumptions=ship.assumptions) for one in fed]
    tied = np.repeat(np.array(healthy)[:, None], len(system.conductors), axis=1)
    return Together(
        at=moments[:, 0],
        stands=(low < moments) & (moments < high),
        perhaps=perhaps,
        shift=shift,
        spread=spread,
        volts=np.array([one.star_volts for one in fed]),
        tied=tied + np.array([each for _, each in ties]),
        neutral=np.array([neutral for neutral, _ in ties]),
    )


def _lasts(ship: Ship, moments: Array, low: Array, high: Array) -> Array:
    """Return for how long each fault stood in the stay of each moment [s]."""
    dates = [w.middle for b in ship.berths for w in (b.start, b.end) if w is not None]
    moves = np.array([-np.inf, *sorted(dates), np.inf])
    after = np.searchsorted(moves, moments)
    since, until = np.maximum(low, moves[after - 1]), np.minimum(high, moves[after])
    return np.asarray(np.maximum(until - since, 0.0))
