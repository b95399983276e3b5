"""Alternating current at bare steel: the small share that dissolves it.

Most of an alternating current charges and discharges the double layer, and most of
what is dissolved in one half cycle is laid down again in the next.
"""

from typing import Final

import numpy as np
import numpy.typing as npt

from corrosion.foundation.assumptions import default_assumptions
from corrosion.foundation.checks import not_negative, share
from corrosion.foundation.types import Array

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
    if exponent is None:
        exponent = default_assumptions().value("ac_frequency_exponent")
    n = np.asarray(exponent, dtype=np.float64)
    scaled = alpha * (np.clip(f, *_MAINS) / np.maximum(f, _DIRECT)) ** n
    return np.where(f < _DIRECT, 1.0 + 0.0 * alpha, np.minimum(scaled, 1.0))
