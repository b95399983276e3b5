"""Alternating current at bare steel: the small share that dissolves it.

Most of an alternating current charges and discharges the double layer, and most of
what is dissolved in one half cycle is laid down again in the next.
"""

from typing import Final

import numpy as np
import numpy.typing as npt

from corrosion.foundation import assumptions
from corrosion.foundation.checks import not_negative, share
from corrosion.foundation.types import Array

__all__ = ["density_class", "dissolving_fraction"]

_MAINS: Final = (50.0, 60.0)
_DIRECT: Final = 1e-6  # slower than a cycle in eleven days is direct current [Hz]


def dissolving_fraction(
    fraction: npt.ArrayLike,
    hertz: npt.ArrayLike,
    *,
    exponent: npt.ArrayLike | None = None,
) -> Array:
    r"""Return the share of an alternating rms current that dissolves steel.

    Parameters
    ----------
    fraction : array_like
        That share at 50 or 60 Hz, 0 to 1. [-]
    hertz : array_like
        Frequency; 0 is direct current, all of which dissolves. [Hz]
    exponent : array_like, optional
        How steeply the share falls with frequency; None: the basis table. [-]

    Returns
    -------
    ndarray
        Share at that frequency, at most 1, in the broadcast shape; NaN where an input
        is NaN. [-]

    Raises
    ------
    InputError
        If the fraction lies outside 0 to 1 or the frequency is negative.

    Notes
    -----
    .. math:: \alpha(f) = \min\left(1, \alpha_{50/60} \, (f_m / f)^n\right)

    where :math:`f_m` is the end of the band from 50 to 60 Hz nearer to f. Experiments
    agree that the share falls with frequency and disagree on the law; n = 1/2 is that
    of diffusion into the water (judgement; the basis table). It is not tried below
    16 Hz or above 400 Hz.

    References
    ----------
    .. [1] R. A. Gummow, R. G. Wakelin and S. M. Segall, "AC corrosion: a challenge to
       pipeline integrity", Materials Performance 38(2), 1999, quoted for 50 and 60 Hz
       (from memory).

    Examples
    --------
    >>> dissolving_fraction(0.005, [0.0, 60.0, 240.0])
    array([1.    , 0.005 , 0.0025])
    """
    alpha = share(fraction, name="dissolving_fraction: fraction")
    f = not_negative(hertz, name="dissolving_fraction: hertz", unit="Hz")
    law = assumptions.value("ac_frequency_exponent") if exponent is None else exponent
    n = np.asarray(law, dtype=np.float64)
    scaled = alpha * (np.clip(f, *_MAINS) / np.maximum(f, _DIRECT)) ** n
    return np.where(f < _DIRECT, 1.0 + 0.0 * alpha, np.minimum(scaled, 1.0))


def density_class(rms_density: npt.ArrayLike) -> npt.NDArray[np.str_]:
    """Return how serious an alternating current density at bare steel is held to be.

    Parameters
    ----------
    rms_density : array_like
        Alternating current density at bare steel, rms. [A/m²]

    Returns
    -------
    ndarray of str
        ``harmless`` below 30 A/m², ``watch`` up to 100 A/m², ``serious`` above;
        ``unknown`` where NaN. In the shape of ``rms_density``.

    Raises
    ------
    InputError
        If a density is negative.

    References
    ----------
    .. [1] CEN/TS 15280 and ISO 18086, criteria for buried pipelines (from memory); both
       limits stand in the basis table.

    Examples
    --------
    >>> print(density_class([3.0, 30.0, 300.0]))
    ['harmless' 'watch' 'serious']
    """
    name = "density_class: rms_density"
    j = not_negative(rms_density, name=name, unit="A/m²")
    low = assumptions.value("ac_density_watch")
    high = assumptions.value("ac_density_serious")
    return np.select(
        [j < low, j <= high, j > high], ["harmless", "watch", "serious"], "unknown"
    )
