"""Currents at bare steel netted per stretch of constant state.

In seawater steel corrodes as fast as oxygen arrives, so a stray current that leaves
the steel adds to the natural one, and one that enters it takes from it.

Where this breaks down: far above about 10 A/m² the film on the steel, not this sum,
decides (part of a very high density may make oxygen or chlorine instead of dissolving
iron, so the sum errs to the safe side); in anaerobic mud, bacteria and not oxygen drive
the natural loss, and a current that enters protects less than here; on paint, a
strongly entering current may lift the coating, which is not counted.
"""

import numpy as np
import numpy.typing as npt

from corrosion.foundation.checks import not_negative, share
from corrosion.foundation.types import Array

__all__ = ["loss_density", "stray_part"]


def loss_density(
    natural: npt.ArrayLike,
    direct: npt.ArrayLike,
    alternating: npt.ArrayLike,
    fraction: npt.ArrayLike,
    protection: npt.ArrayLike,
) -> Array:
    r"""Return the current density that dissolves bare steel, all currents netted.

    All arguments broadcast, the sample axis first; densities are per square metre of
    bare steel, over one stretch of constant state.

    Parameters
    ----------
    natural : array_like
        Natural corrosion, >= 0. [A/m²]
    direct : array_like
        Direct stray current, positive where it leaves the steel. [A/m²]
    alternating : array_like
        Alternating stray current, rms, >= 0. [A/m²]
    fraction : array_like
        Share of the alternating current that dissolves steel, 0 to 1. [-]
    protection : array_like
        Cathodic protection that reaches the bare steel, >= 0. [A/m²]

    Returns
    -------
    ndarray
        Density that dissolves, never negative: a protected or cathodic stretch earns
        no credit against another. NaN where an input is NaN. [A/m²]

    Raises
    ------
    InputError
        If a density other than ``direct`` is negative, or ``fraction`` lies outside 0
        to 1.

    Notes
    -----
    .. math:: i = \max(0,\ i_n + i_{dc} + \alpha \, i_{ac} - i_p)

    The head of this module says where the sum breaks down.

    Examples
    --------
    >>> round(float(loss_density(0.04, 0.1, 2.0, 0.005, 0.02)), 3)
    0.13
    """
    i_n = not_negative(natural, name="loss_density: natural", unit="A/m²")
    i_dc = np.asarray(direct, dtype=np.float64)
    i_ac = not_negative(
        alternating, name="loss_density: alternating", unit="A/m²", fix="Give the rms."
    )
    alpha = share(fraction, name="loss_density: fraction")
    i_p = not_negative(protection, name="loss_density: protection", unit="A/m²")
    return np.maximum(0.0, (i_n - i_p) + i_dc + alpha * i_ac)


def stray_part(
    natural: npt.ArrayLike,
    direct: npt.ArrayLike,
    alternating: npt.ArrayLike,
    fraction: npt.ArrayLike,
    protection: npt.ArrayLike,
) -> Array:
    """Return how much of the loss is due to stray current: with it less without it.

    Parameters
    ----------
    natural, direct, alternating, fraction, protection : array_like
        As for `loss_density`. [A/m²], ``fraction`` [-]

    Returns
    -------
    ndarray
        The loss with stray current less the loss without. Signed: negative where
        stray current enters and spares steel, by no more than the loss without it
        (what a naive sum would credit beyond that is no credit at all). [A/m²]

    Raises
    ------
    InputError
        As `loss_density` does.

    Examples
    --------
    A strongly entering current spares the natural loss and no more:

    >>> float(stray_part(0.04, -5.0, 0.0, 0.005, 0.0))
    -0.04
    """
    with_stray = loss_density(natural, direct, alternating, fraction, protection)
    return with_stray - loss_density(natural, 0.0, 0.0, fraction, protection)
