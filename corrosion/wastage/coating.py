"""The bare share of a painted zone with time, re-based on what was seen."""

from dataclasses import dataclass, replace
from functools import cache

import numpy as np
import numpy.typing as npt

from corrosion.foundation.checks import positive, share
from corrosion.foundation.types import Array


@dataclass(frozen=True, slots=True, kw_only=True)
class CoatingLaw:
    r"""How new paint breaks down.

    Attributes
    ----------
    initial : ndarray
        Bare share of new paint, 0 to 1. [-]
    life : ndarray
        Age at which 63 % of what was whole has failed, > 0. [s]
    exponent : float
        How steeply the breakdown curves upward, > 0; 1: steady at first. [-]
    least : float
        Least bare share of any paint. [-]

    Notes
    -----
    .. math:: f(t) = a + (1 - a) \left(1 - e^{-(t/\tau)^p}\right)

    Examples
    --------
    >>> law = CoatingLaw(initial=0.02, life=30.5, exponent=2.63, least=1e-6)
    >>> law.share([0.0, 10.0, 20.0, 30.0, 40.0]).round(2).tolist()
    [0.02, 0.07, 0.3, 0.62, 0.87]
    """

    initial: Array | float
    life: Array | float
    exponent: float
    least: float

    def share(self, age: npt.ArrayLike) -> Array:
        """Return the bare share at an age of the paint [s]; new where negative."""
        t = np.maximum(np.asarray(age, dtype=np.float64), 0.0)
        failed = -np.expm1(-((t / self.life) ** self.exponent))
        bare = self.initial + (1.0 - np.asarray(self.initial)) * failed
        return np.clip(bare, self.least, 1.0)

    def age_at(self, bare: Array) -> Array:
        """Return the age at which a bare share is reached [s]; 0 where it begins."""
        whole = 1.0 - np.asarray(self.initial)
        left = np.clip((1.0 - bare) / whole, 1e-9, 1.0)
        return np.asarray(self.life * (-np.log(left)) ** (1.0 / self.exponent))

    def mean_until(self, age: Array | float) -> Array:
        """Return the mean bare share from new to an age [s]."""
        return np.asarray(
            sum(0.5 * w * self.share(0.5 * age * (1.0 + x)) for x, w in _legendre())
        )


@cache
def _legendre() -> tuple[tuple[float, float], ...]:
    nodes, weights = np.polynomial.legendre.leggauss(8)
    return tuple(zip(nodes.tolist(), weights.tolist(), strict=True))


@dataclass(frozen=True, slots=True, kw_only=True)
class PaintState:
    """A zone's paint at one moment."""

    bare: Array  # bare share [-]
    # when the paint was put on; NaN: in the course of paintings that nobody wrote down,
    # a mean cycle [s]
    since: Array
    first: Array  # bare share when it was put on [-]


def coating_breakdown(  # noqa: PLR0913 - law, what was seen, what was painted
    moment: npt.ArrayLike,
    law: CoatingLaw,
    *,
    bare_seen_share: npt.ArrayLike,
    seen_moment: npt.ArrayLike,
    painted: npt.ArrayLike,
    interval: float,
    cycle: Array | None = None,
) -> PaintState:
    r"""Return the bare share of a zone at a moment, and since when the paint is on.

    All arguments broadcast, the sample axis first; NaN is not known.

    Parameters
    ----------
    moment : array_like
        From 1970-01-01 00:00, as all moments here. [s]
    law : CoatingLaw
        How new paint breaks down.
    bare_seen_share : array_like
        Bare share that was seen, 0 to 1. [-]
    seen_moment : array_like
        When it was seen. [s]
    painted : array_like
        When the zone was last painted. [s]
    interval : float
        Time between paintings before the last that is known, > 0. [s]
    cycle : ndarray, optional
        Mean bare share of such a cycle, where it is known already. [-]

    Returns
    -------
    PaintState
        In the broadcast shape; NaN where the moment is NaN.

    Raises
    ------
    InputError
        If a share lies outside 0 to 1, or the interval is not positive.

    Notes
    -----
    What was seen wins. After it the paint goes on as paint of that bare share does by
    the law. Between the last painting and the seeing the share rises with the law's
    exponent from new (or from what was seen, if less) to what was seen; a painting that
    is not known is put where the law, run backwards from what was seen, begins. A
    painting after the seeing starts anew. Before all that is known stands the mean of
    a repaint cycle.

    References
    ----------
    .. [1] Breakdown of 10, 30, 60 and 90 % after 10, 20, 30 and 40 years, 2 % at first:
       the table of a design guide for protected structures, as transcribed in a public
       file (life and exponent are our fit to it).

    Examples
    --------
    Seen 7 % bare and ten years on:

    >>> year = 365.25 * 86400.0
    >>> law = CoatingLaw(initial=0.02, life=30.5 * year, exponent=2.63, least=1e-6)
    >>> state = coating_breakdown(
    ...     10 * year, law, bare_seen_share=0.07, seen_moment=0.0,
    ...     painted=float("nan"), interval=5 * year,
    ... )
    >>> round(float(state.bare), 2)
    0.3
    """
    t, seen, new = (
        np.asarray(x, dtype=np.float64) for x in (moment, seen_moment, painted)
    )
    then = share(bare_seen_share, name="coating_breakdown: bare_seen_share")
    share(law.initial, name="coating_breakdown: initial")
    positive(law.life, name="coating_breakdown: life", unit="s")
    step = float(positive(interval, name="coating_breakdown: interval", unit="s"))
    unseen = np.isnan(seen) | np.isnan(then) | ((new > seen) & (t >= new))
    first = np.where(unseen, law.initial, np.fmin(law.initial, then))
    start = np.asarray(new)
    if unseen.all():
        begun = (t >= start).any()
        bare = law.share(t - start) if begun else np.zeros(np.shape(t - start + first))
    else:
        rebased = replace(law, initial=first)
        written, late = unseen | (new <= seen), t >= seen
        if late.any() or not written.all():  # powers are dear: none that nobody needs
            reached = rebased.age_at(np.where(unseen, first, then))
            start = np.where(written, new, seen - reached)
        # painted and seen at once, or nearly
        with np.errstate(divide="ignore", invalid="ignore", over="ignore"):
            part = np.where(late, 1.0, (t - start) / (seen - start))
        rising = np.clip(part, 0.0, 1.0)
        if not late.all():
            rising = rising**law.exponent
        bare = first + (then - first) * rising
        if late.any():
            after = rebased.share(reached + (t - seen))
            bare = np.where(late, np.maximum(after, then), bare)
        if unseen.any():
            bare = np.where(unseen, law.share(t - start), bare)
    unknown = ~(t >= start)  # NaN as well
    if unknown.any():
        mean = law.mean_until(step) if cycle is None else cycle
        bare = np.where(unknown, mean, bare)
    bare = np.where(np.isnan(t), np.nan, np.clip(bare, law.least, 1.0))
    return PaintState(
        bare=bare,
        since=np.broadcast_to(np.where(unknown, np.nan, start), bare.shape),
        first=np.broadcast_to(first, bare.shape),
    )
