"""The bare share of a painted zone with time, re-based on what was seen."""

import numpy as np
import numpy.typing as npt

from corrosion.foundation import assumptions
from corrosion.foundation.checks import positive, share
from corrosion.foundation.types import Array

__all__ = ["coating_breakdown"]


def coating_breakdown(  # noqa: PLR0913 - six facts about one coat of paint, and a moment
    moment: npt.ArrayLike,
    *,
    bare_seen_share: npt.ArrayLike,
    seen_moment: npt.ArrayLike,
    painted: npt.ArrayLike,
    initial: npt.ArrayLike,
    rate: npt.ArrayLike,
    interval: npt.ArrayLike,
) -> Array:
    r"""Return the bare share of a zone at a moment.

    All arguments broadcast, the sample axis first; NaN is not known.

    Parameters
    ----------
    moment : array_like
        From 1970-01-01 00:00, as all moments here. [s]
    bare_seen_share : array_like
        Bare share that was seen, 0 to 1. [-]
    seen_moment : array_like
        When it was seen. [s]
    painted : array_like
        When the zone was last painted. [s]
    initial : array_like
        Bare share of new paint, 0 to 1. [-]
    rate : array_like
        Growth of the bare share, > 0. [1/s]
    interval : array_like
        Time between paintings before the last that is known, > 0. [s]

    Returns
    -------
    ndarray
        Bare share in the broadcast shape, from ``bare_least_share`` of the basis table
        to 1; NaN where the moment is NaN. [-]

    Raises
    ------
    InputError
        If a share lies outside 0 to 1, or rate or interval is not positive.

    Notes
    -----
    New paint breaks down steadily, as in [1]_:

    .. math:: f(t) = \min(1,\ a + b \, t)

    What was seen wins. After it, the share grows from there at rate b. Between the last
    painting and the seeing it runs straight from a (or what was seen, if less) to what
    was seen; a painting that is not known is put where the line of slope b through what
    was seen meets a. A painting after the seeing starts anew at a. Before all that is
    known stands the mean of a repaint cycle, a + b × interval / 2.

    References
    ----------
    .. [1] DNV-RP-B401, "Cathodic protection design", coating breakdown factor (from
       memory).

    Examples
    --------
    Seen 10 % bare and five years on, growing by 2 % a year:

    >>> year = 365.25 * 86400.0
    >>> share = bare_share(
    ...     5 * year, bare_seen_share=0.1, seen_moment=0.0, painted=float("nan"),
    ...     initial=0.02, rate=0.02 / year, interval=5 * year,
    ... )
    >>> round(float(share), 3)
    0.2
    """
    t, seen, new = (
        np.asarray(x, dtype=np.float64) for x in (moment, seen_moment, painted)
    )
    then = share(bare_seen_share, name="bare_share: bare_seen_share")
    a = share(initial, name="bare_share: initial")
    b = positive(rate, name="bare_share: rate", unit="1/s")
    cycle = a + 0.5 * b * positive(interval, name="bare_share: interval", unit="s")

    unseen = np.isnan(seen) | np.isnan(then) | ((new > seen) & (t >= new))
    fresh = np.where(t >= new, a + b * (t - new), cycle)
    first = np.minimum(a, then)
    start = np.where(new <= seen, new, seen - (then - first) / b)
    with np.errstate(divide="ignore", invalid="ignore"):  # painted and seen at once
        rising = first + (then - first) * (t - start) / (seen - start)
    until_seen = np.where(t < start, cycle, rising)
    rebased = np.where(t >= seen, then + b * (t - seen), until_seen)

    f = np.where(unseen, fresh, rebased)
    f = np.clip(f, assumptions.value("bare_least_share"), 1.0)
    return np.where(np.isnan(t), np.nan, f)
