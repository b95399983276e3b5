"""Thickness left against its limit: the chance to be below, and when it passes."""

import numpy as np
import numpy.typing as npt

from corrosion.foundation.checks import share as checked_share
from corrosion.foundation.errors import InputError
from corrosion.foundation.types import Array, BoolArray


def chance_below(
    left: npt.ArrayLike,
    limit: npt.ArrayLike,
) -> Array:
    """Return the chance that the thickness left is below its limit.

    Parameters
    ----------
    left : array_like, shape (samples, ..., zones)
        Thickness left. [m]
    limit : array_like
        Least thickness allowed, broadcasts against ``left``. [m]

    Returns
    -------
    ndarray, shape (..., zones)
        Chance; at the limit is not below it. NaN where a thickness or the limit is
        NaN. [-]

    Examples
    --------
    >>> float(chance_below([0.008, 0.009, 0.010, 0.011], 0.0095))
    0.5
    """
    x = np.asarray(left, dtype=np.float64)
    least = np.asarray(limit, dtype=np.float64)
    chance = (x < least).mean(axis=0)
    return np.where(np.isnan(x + least).any(axis=0), np.nan, chance)


def date_chance_passes(
    times: npt.ArrayLike,
    chance: npt.ArrayLike,
    tolerance: npt.ArrayLike,
) -> Array:
    """Return when the chance to be below the limit passes the tolerance.

    Parameters
    ----------
    times : array_like, shape (times,)
        Moments, rising. [s]
    chance : array_like, shape (times, zones)
        Chance to be below the limit at those moments. [-]
    tolerance : array_like, shape (zones,) or ()
        Chance that is tolerated, 0 to 1. [-]

    Returns
    -------
    ndarray, shape (zones,)
        The moment at which the chance first exceeds the tolerance, linear between the
        moments given; the first of them where it does so already, NaN where it never
        does. [s]

    Raises
    ------
    InputError
        If the moments do not rise or do not fit ``chance``, or a tolerance lies outside
        0 to 1.

    Examples
    --------
    >>> date_chance_passes([0.0, 100.0], [[0.0], [1.0]], 0.25)
    array([25.])
    """
    t = np.asarray(times, dtype=np.float64)
    of_zones = np.asarray(chance, dtype=np.float64)
    accepted = checked_share(tolerance, name="date_chance_passes: tolerance")
    if t.ndim != 1 or of_zones.ndim != 2 or len(of_zones) != t.size:
        msg = (
            "date_chance_passes: chance must have shape (times, zones) with times of "
            f"shape (times,), got {of_zones.shape} and {t.shape}."
        )
        raise InputError(msg)
    if not np.all(np.diff(t) > 0.0):
        msg = "date_chance_passes: times must rise (s). Sort them, each once."
        raise InputError(msg)
    over = of_zones > accepted
    after = over.argmax(axis=0)
    before = np.maximum(after - 1, 0)
    zone = np.arange(of_zones.shape[1])
    low, high = of_zones[before, zone], of_zones[after, zone]
    rise = np.where(high > low, high - low, 1.0)  # 1: already over at the first moment
    part = np.where(after > before, (accepted - low) / rise, 0.0)
    passed = t[before] + part * (t[after] - t[before])
    return np.where(over.any(axis=0), passed, np.nan)


def substantial(
    built: npt.ArrayLike,
    limit: npt.ArrayLike,
    left: npt.ArrayLike,
    share: npt.ArrayLike,
) -> BoolArray:
    """Return where corrosion is substantial: wastage past a share of the margin.

    Parameters
    ----------
    built, limit, left : array_like
        Thickness as built, least allowed, and left. [m]
    share : array_like
        Share of the allowable wastage that counts as substantial, 0 to 1
        (``substantial_share`` of the basis table). [-]

    Returns
    -------
    ndarray of bool
        True where wastage exceeds that share of built less limit; any wastage does
        where nothing is allowed. False where an input is NaN. Broadcast shape.

    Raises
    ------
    InputError
        If the share lies outside 0 to 1.

    References
    ----------
    .. [1] IACS UR Z10, definition of substantial corrosion (from memory).

    Examples
    --------
    >>> bool(substantial(0.010, 0.008, 0.0084, 0.75))
    True
    """
    thick = np.asarray(built, dtype=np.float64)
    margin = np.maximum(thick - np.asarray(limit, dtype=np.float64), 0.0)
    allowed = checked_share(share, name="substantial: share") * margin
    return np.asarray(thick - np.asarray(left, dtype=np.float64) > allowed)
