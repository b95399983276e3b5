"""Faraday's law: from charge to mass, from current density to depth, and back.

Current is positive where it leaves the metal into the water; that is the current that
dissolves. One mole of electrons dissolves one equivalent weight of the metal.
"""

from typing import Final

import numpy as np
import numpy.typing as npt

from corrosion.foundation.checks import not_negative
from corrosion.foundation.types import Array
from corrosion.foundation.units import MM, YEAR
from corrosion.wastage import metals
from corrosion.wastage.metals import Metal

_ENTERING: Final = (
    "Positive is current that leaves the metal; current that enters dissolves nothing: "
    "clip it to 0."
)


def equivalent_weight(metal: str | Metal) -> float:
    r"""Return the mass that one mole of electrons dissolves.

    Parameters
    ----------
    metal : str or Metal
        A name of the metals table, or a metal.

    Returns
    -------
    float
        Equivalent weight. [g/mol]

    Raises
    ------
    LookupFailed
        If there is no metal of that name.

    Notes
    -----
    .. math:: \frac{1}{EW} = \sum_i \frac{n_i f_i}{W_i} \tag{1}

    with valence, mass share and atomic mass of each element [1]_.

    References
    ----------
    .. [1] ASTM G102, "Standard Practice for Calculation of Corrosion Rates and Related
       Information from Electrochemical Measurements" (from memory).

    Examples
    --------
    >>> round(equivalent_weight("steel"), 2)
    27.92
    """
    return metals.metal(metal).equivalent_weight


def mass_loss(charge: npt.ArrayLike, metal: str | Metal = "steel") -> Array:
    r"""Return the mass that a charge dissolves on leaving the metal.

    Parameters
    ----------
    charge : array_like
        Charge that left the metal into the water, any shape; NaN passes. [C]
    metal : str or Metal, optional
        A name of the metals table, or a metal.

    Returns
    -------
    ndarray
        Mass dissolved, in the shape of ``charge``. [kg]

    Raises
    ------
    InputError
        If a charge is negative: current that enters the metal dissolves nothing.
    LookupFailed
        If there is no metal of that name.

    See Also
    --------
    charge_to_dissolve : the way back.

    Notes
    -----
    .. math:: m = \frac{Q \, EW}{F} \tag{2}

    One faraday dissolves one equivalent weight, if all of the charge goes to the metal.

    References
    ----------
    .. [1] ASTM G102 (from memory).

    Examples
    --------
    One ampere for a year of 365 days, in kilograms of iron:

    >>> round(float(mass_loss(365 * 86400.0)), 3)
    9.126
    """
    q = not_negative(charge, name="mass_loss: charge", unit="C", fix=_ENTERING)
    return q / metals.metal(metal).charge_per_mass


def penetration_rate(
    current_density: npt.ArrayLike, metal: str | Metal = "steel"
) -> Array:
    r"""Return how fast a surface recedes; linear and signed.

    A conversion of units: the sign is kept, so that the difference of two densities
    converts too. Pass the density at the bare metal, not over the whole zone.

    Parameters
    ----------
    current_density : array_like
        Current that dissolves metal, a square metre of bare metal. [A/m²]
    metal : str or Metal, optional
        A name of the metals table, or a metal.

    Returns
    -------
    ndarray
        Rate of recession, in the shape of ``current_density``. [m/s]

    Raises
    ------
    LookupFailed
        If there is no metal of that name.

    Notes
    -----
    .. math:: v = \frac{i \, EW}{F \rho} \tag{3}

    References
    ----------
    .. [1] ASTM G102 (from memory).

    Examples
    --------
    >>> round(float(penetration_rate(1.0)) * 1e12, 2)
    36.77
    """
    i = np.asarray(current_density, dtype=np.float64)
    return i / metals.metal(metal).charge_per_volume


def penetration_mm_per_year(
    current_density: npt.ArrayLike, metal: str | Metal = "steel"
) -> Array:
    """Return how many millimetres a current density takes in 365.25 days.

    Parameters
    ----------
    current_density : array_like
        Current that leaves the metal, a square metre of bare metal, any shape; NaN
        passes. [A/m²]
    metal : str or Metal, optional
        A name of the metals table, or a metal.

    Returns
    -------
    ndarray
        Loss of depth, in the shape of ``current_density``. [mm/year]

    Raises
    ------
    InputError
        If a density is negative: current that enters the metal dissolves nothing.
    LookupFailed
        If there is no metal of that name.

    Examples
    --------
    >>> round(float(penetration_mm_per_year(1.0)), 3)
    1.16
    """
    where = "penetration_mm_per_year: current_density"
    i = not_negative(current_density, name=where, unit="A/m²", fix=_ENTERING)
    return penetration_rate(i, metal) * (YEAR / MM)
