"""How long faults stand: the product-limit estimate, standing faults censored."""

import warnings
from collections.abc import Sequence
from dataclasses import dataclass
from math import inf

import numpy as np
import numpy.typing as npt

from corrosion.foundation.errors import InputError
from corrosion.foundation.types import Array, BoolArray
from corrosion.foundation.units import HOUR
from corrosion.records.ship import Fault


@dataclass(frozen=True, slots=True, kw_only=True)
class Survival:
    """Share of faults still standing, against hours.

    Arrays are of shape (K,) where no other is said.
    """

    hours: Array  # zero, and every hour count at which a fault was cleared, rising [h]
    standing: Array  # share still standing just after that hour [-]
    # low, high: confidence band of 95 %, of the log-log form that stays within 0 and 1;
    # NaN where all are cleared [-]
    low: Array
    high: Array
    # first hour at which no more than half still stand; infinite where more than half
    # outlast the records [h]
    median: float

    def curve(self) -> list[list[float | None]]:
        """Return rows of hours, share still standing, low and high (None: unknown)."""
        rows = np.stack([self.hours, self.standing, self.low, self.high], axis=1)
        return [
            [None if np.isnan(cell) else float(cell) for cell in row] for row in rows
        ]


def kaplan_meier(durations_h: npt.ArrayLike, observed: npt.ArrayLike) -> Survival:
    r"""Return the product-limit estimate of the share still standing.

    Parameters
    ----------
    durations_h : array_like, shape (N,)
        How long each fault stood, or has stood so far. [h]
    observed : array_like of bool, shape (N,)
        True where its end was seen; False where it still stands (censored).

    Returns
    -------
    Survival
        The curve with its errors and band, and the median.

    Raises
    ------
    InputError
        If the two differ in length, there is none, or a duration is negative or not
        a number.

    Notes
    -----
    With d_i cleared of n_i standing at hour t_i [1]_:

    .. math:: \hat S(t) = \prod_{t_i \le t} (1 - d_i / n_i), \quad
              \mathrm{se} = \hat S \sqrt{\textstyle\sum d_i / (n_i (n_i - d_i))}

    Censored at the hour of a clearing counts as standing through it. The band is
    symmetrical in log(-log S).

    References
    ----------
    .. [1] E. L. Kaplan and P. Meier, "Nonparametric estimation from incomplete
       observations", J. Am. Stat. Assoc. 53, 1958, 457-481 (from memory).

    Examples
    --------
    >>> kaplan_meier([1.0, 2.0, 3.0], [True, False, True]).standing.round(3).tolist()
    [1.0, 0.667, 0.0]
    """
    hours = np.asarray(durations_h, np.float64)
    ended = np.asarray(observed, np.bool_)
    if hours.shape != ended.shape or hours.ndim != 1 or hours.size == 0:
        msg = (
            "kaplan_meier: needs one duration and one 'observed' for each fault, got "
            f"{hours.size} and {ended.size}."
        )
        raise InputError(msg)
    bad = np.flatnonzero(~(hours >= 0.0))
    if bad.size:
        msg = (
            f"kaplan_meier: durations must be 0 h or more, got {hours[bad[0]]:g} h at "
            f"index {bad[0]} ({bad.size} of {hours.size}). Leave unknown ones out."
        )
        raise InputError(msg)
    from scipy.stats import CensoredData, ecdf  # noqa: PLC0415 - importing stays light

    survival = ecdf(CensoredData.right_censored(hours, ~ended)).sf
    seen = np.isin(survival.quantiles, hours[ended])
    times, standing = survival.quantiles[seen], survival.probabilities[seen]
    with warnings.catch_warnings():  # the band is NaN where all are cleared
        warnings.simplefilter("ignore", RuntimeWarning)
        band = survival.confidence_interval(method="log-log")
    low, high = (
        edge.probabilities[seen]  # type: ignore[attr-defined]  # stubs say float64
        for edge in (band.low, band.high)
    )
    half = np.flatnonzero(standing <= 0.5 + 1e-12)
    return Survival(
        hours=np.concatenate([[0.0], times]),
        standing=np.concatenate([[1.0], standing]),
        low=np.concatenate([[1.0], low]),
        high=np.concatenate([[1.0], high]),
        median=float(times[half[0]]) if half.size else inf,
    )


@dataclass(frozen=True, slots=True, kw_only=True)
class Durations:
    """How long the faults of a log stood.

    Arrays are of shape (N,) where no other is said.
    """

    # from found to cleared, or to the present: no fault stood for less [h]
    from_found: Array
    cleared: BoolArray  # false where it still stands
    note: str  # one sentence on what the beginnings mean for the curve


def durations(faults: Sequence[Fault], as_of: float) -> Durations:
    """Return how long the faults of a log stood.

    A fault is found at a known date and began at an unknown one: the curve over
    ``from_found`` is a lower bound of how long faults stand.

    Parameters
    ----------
    faults : sequence of Fault
        As written; a date as wide as a year counts by its middle, or by ``as_of`` if
        that comes first. Faults found after ``as_of`` are left out, and a clearing
        after it has not happened yet.
    as_of : float
        The present, from 1970-01-01 00:00. [s]

    Returns
    -------
    Durations
        One entry a fault found by then.

    Raises
    ------
    InputError
        If no fault was found by then.
    """
    known = [fault for fault in faults if fault.found.earliest <= as_of]
    if not known:
        msg = "durations: needs at least one fault found by the date asked for, got 0."
        raise InputError(msg)
    found = np.array([min(fault.found.middle, as_of) for fault in known])
    ends = np.array(
        [inf if fault.cleared is None else fault.cleared.middle for fault in known]
    )
    cleared = ends <= as_of
    end = np.minimum(ends, as_of)
    checked = sum(fault.last_good is not None for fault in known)
    note = (
        "Hours are counted from when a fault was found; it began earlier, at a time "
        f"not written down. {checked} of {len(known)} faults have a "
        "last good check, from which they stood no longer; "
        f"{int((~cleared).sum())} still stand; they count for their hours so far."
    )
    return Durations(
        from_found=np.maximum(end - found, 0.0) / HOUR,
        cleared=cleared,
        note=note,
    )
