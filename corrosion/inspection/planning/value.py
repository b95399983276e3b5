"""What a gauging is worth before it is made: the risk that it is expected to remove."""

from typing import Final

import numpy as np
import numpy.typing as npt

from corrosion.foundation.assumptions import Assumptions
from corrosion.foundation.errors import InputError
from corrosion.foundation.types import Array, IntArray

__all__ = ["gauging_value", "readings_for"]

_THRESHOLDS: Final = np.linspace(-4.0, 4.0, 49)


def gauging_value(
    left: Array,
    *,
    limit: npt.ArrayLike,
    consequence: npt.ArrayLike,
    sd: npt.ArrayLike,
    assumptions: Assumptions,
) -> Array:
    r"""Return the expected reduction of risk by one gauging of each zone.

    A zone is either left as it is, at a risk of its chance below limit times its
    consequence, or renewed, which costs as much as the risk at ``renewal_chance``
    (basis table). Without a gauging the cheaper of the two is taken for all samples;
    after a gauging it is taken knowing the reading. The value is the difference [1]_.
    A zone that is certainly sound, or certainly gone, is worth nothing: no reading
    would change what is done.

    Parameters
    ----------
    left : ndarray, shape (S, Z)
        Thickness left at the horizon, or the lesser of the margins over both limits
        (then with ``limit`` 0). [m]
    limit : array_like, shape (Z,)
        Least allowed. [m]
    consequence : array_like, shape (Z,)
        1 to 5. [-]
    sd : array_like, shape (Z,)
        Standard uncertainty with which a gauging today tells ``left``: of the
        measurement, and of the loss from now to the horizon. > 0. [m]
    assumptions : Assumptions
        The ship's.

    Returns
    -------
    ndarray, shape (Z,)
        0 to consequence / 4 (at a renewal chance of 0.5), in units of chance times
        consequence. [-]

    Raises
    ------
    InputError
        If an ``sd`` is not positive.

    Notes
    -----
    With renewal at a chance t, standard normal distribution Φ, and renewal on a reading
    below y:

    .. math:: R_1 = c \min_y \frac{1}{S} \sum_s \bigl( t\,\Phi(\tfrac{y - x_s}{\sigma})
              + [x_s < x_{lim}]\,\Phi(\tfrac{x_s - y}{\sigma}) \bigr), \quad
              R_0 = c \min(P, t), \quad v = R_0 - R_1

    The chance below limit falls as the reading rises, so that one threshold y is the
    best rule. It is sought within four standard deviations of the limit.

    References
    ----------
    .. [1] H. Raiffa and R. Schlaifer, "Applied Statistical Decision Theory", 1961
       (preposterior analysis, from memory).

    Examples
    --------
    >>> from corrosion.foundation.assumptions import default_assumptions
    >>> table = default_assumptions()
    >>> sound, doubtful = np.full(101, 0.012), np.linspace(0.007, 0.012, 101)
    >>> left = np.stack([sound, doubtful], axis=1)
    >>> value = gauging_value(
    ...     left, limit=0.008, consequence=[4, 4], sd=2e-4, assumptions=table
    ... )
    >>> value.round(2).tolist()
    [0.0, 0.33]
    """
    from scipy.special import ndtr  # noqa: PLC0415 - importing corrosion stays light

    sigma = np.asarray(sd, np.float64)
    if not (sigma > 0.0).all():
        msg = f"gauging_value: sd must be > 0 m, got {np.min(sigma):g} m."
        raise InputError(msg)
    above = (left - np.asarray(limit, np.float64)) / sigma
    below = above < 0.0
    renewal = assumptions.value("renewal_chance")
    without = np.minimum(below.mean(axis=0), renewal)
    best = without
    for threshold in _THRESHOLDS:
        sound_reading = ndtr(above - threshold)
        renewed = renewal * (1.0 - sound_reading).mean(axis=0)
        best = np.minimum(best, renewed + (below * sound_reading).mean(axis=0))
    return np.asarray(np.asarray(consequence, np.float64) * (without - best))


def readings_for(area: npt.ArrayLike, *, assumptions: Assumptions) -> IntArray:
    """Return the fewest thickness readings that a zone needs.

    Parameters
    ----------
    area : array_like
        Plate area of the zone, 0 or more. [m²]
    assumptions : Assumptions
        The ship's.

    Returns
    -------
    ndarray of int
        One for each ``gauging_area_per_reading_m2``, at least
        ``gauging_readings_least`` (basis table). [-]

    Examples
    --------
    >>> from corrosion.foundation.assumptions import default_assumptions
    >>> readings_for([2.0, 50.0], assumptions=default_assumptions()).tolist()
    [5, 13]
    """
    each = assumptions.value("gauging_area_per_reading_m2")
    count = np.ceil(np.asarray(area, np.float64) / each).astype(np.int64)
    return np.maximum(count, int(assumptions.value("gauging_readings_least")))
