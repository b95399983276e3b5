r"""Anodes: how their shape meets the water, and how long they last.

The forms are those that design codes of cathodic protection share (from memory, quoted
in public files).
"""

import numpy as np

from corrosion.foundation.errors import InputError


def dwight(resistivity: float, length: float, radius: float) -> float:
    r"""Return the resistance of a long stand-off anode [Ω].

    .. math:: R = \frac{\rho}{2 \pi L} \left(\ln \frac{4 L}{r} - 1\right)

    Parameters
    ----------
    resistivity : float
        Of the water. [Ω·m]
    length, radius : float
        Length, at least four radii, and radius of a round one of its girth. [m]

    Returns
    -------
    float
        Resistance to remote earth. [Ω]

    Raises
    ------
    InputError
        If it is not long.

    Examples
    --------
    >>> round(dwight(0.27, 1.2, 0.0828), 4)
    0.1096
    """
    if length < 4.0 * radius:
        msg = f"dwight: length must be 4 radii or more, got {length:g} and {radius:g} m"
        raise InputError(msg)
    ohms = resistivity / (2.0 * np.pi * length) * (np.log(4.0 * length / radius) - 1.0)
    return float(ohms)


def lloyd(resistivity: float, length: float, width: float) -> float:
    r"""Return the resistance of a long flush anode, :math:`\rho / 2 S` [Ω].

    Parameters
    ----------
    resistivity : float
        Of the water. [Ω·m]
    length, width : float
        Of the plate; *S* is their mean. [m]

    Returns
    -------
    float
        Resistance to remote earth. [Ω]

    Examples
    --------
    >>> round(lloyd(0.27, 0.6, 0.15), 4)
    0.36
    """
    return resistivity / (length + width)


def mccoy(resistivity: float, area: float) -> float:
    r"""Return the resistance of a short flush anode or bracelet [Ω].

    .. math:: R = 0.315 \rho / \sqrt A

    Parameters
    ----------
    resistivity, area : float
        Of the water [Ω·m]; that faces the water. [m²]

    Returns
    -------
    float
        Resistance to remote earth. [Ω]

    Examples
    --------
    >>> round(mccoy(0.27, 0.072), 4)
    0.317
    """
    return 0.315 * resistivity / float(np.sqrt(area))
