"""Resistivity of the water she lies in."""

import warnings

import numpy as np
import numpy.typing as npt

from corrosion.foundation.errors import InputError, ValidityWarning
from corrosion.foundation.types import Array

FRESH = 2.0
"""Practical salinity below which water is fresh: the lower end of PSS-78. [g/kg]"""

_SALTEST = 42.0
_COLDEST, _WARMEST = -2.0, 40.0
_DECISIEMENS = 0.1  # 1 mS/cm in S/m


def resistivity(salinity: npt.ArrayLike, temperature: npt.ArrayLike) -> Array:
    r"""Return the resistivity of seawater at the surface.

    Arguments broadcast against each other by the numpy rules.

    Parameters
    ----------
    salinity : array_like
        Dissolved salt, taken as practical salinity, > 0. [g/kg]
    temperature : array_like
        Temperature on ITS-90, from -5 to 100. [°C]

    Returns
    -------
    ndarray
        Resistivity, NaN where an input is NaN; has the broadcast shape. [Ω·m]

    Raises
    ------
    InputError
        If a salinity is not positive, or either value is one that no sea has.

    Warns
    -----
    ValidityWarning
        Outside 2 to 42 g/kg or -2 to 40 °C, the range of the practical salinity
        scale.

    Notes
    -----
    The reciprocal of the conductivity of TEOS-10 at no sea pressure,
    :math:`\rho = 1/C(S_P, t, 0)` [1]_.

    References
    ----------
    .. [1] IOC, SCOR and IAPSO, "The international thermodynamic equation of seawater
       - 2010", with its own toolbox ``gsw`` (``C_from_SP``).

    Examples
    --------
    >>> round(float(resistivity(35.0, 10.0)), 4)
    0.2625
    """
    salt, warmth = np.broadcast_arrays(
        np.asarray(salinity, dtype=np.float64), np.asarray(temperature, np.float64)
    )
    where = "resistivity"
    _refuse(
        salt,
        (salt <= 0.0) | (salt > 300.0),
        f"{where}: salinity must be > 0 and at most 300 g/kg",
        "g/kg",
        "Salinity in parts per million or mg/kg is a "
        "thousand times too large; fresh water is described by its resistivity",
    )
    _refuse(
        warmth,
        (warmth < -5.0) | (warmth > 100.0),
        f"{where}: temperature must be from -5 to 100 °C",
        "°C",
        "Give degrees Celsius, not kelvin",
    )
    _warn(salt, FRESH, _SALTEST, f"{where}: salinity", "g/kg")
    _warn(warmth, _COLDEST, _WARMEST, f"{where}: temperature", "°C")
    import gsw  # noqa: PLC0415 - importing corrosion stays light

    known = np.isfinite(salt) & np.isfinite(warmth)
    conductivity = np.full(salt.shape, np.nan)
    conductivity[known] = gsw.C_from_SP(salt[known], warmth[known], 0.0)
    return np.asarray(1.0 / (_DECISIEMENS * conductivity))


def _refuse(
    values: Array, wrong: npt.NDArray[np.bool_], must: str, unit: str, remedy: str
) -> None:
    if wrong.any():
        first = float(values[wrong].flat[0])
        msg = (
            f"{must}, got {first:g} {unit} ({int(wrong.sum())} of {values.size}). "
            f"{remedy}."
        )
        raise InputError(msg)


def _warn(values: Array, low: float, high: float, what: str, unit: str) -> None:
    outside = (values < low) | (values > high)
    if outside.any():
        first = float(values[outside].flat[0])
        warnings.warn(
            f"{what} outside {low:g} to {high:g} {unit}, where the practical salinity "
            f"scale holds: got {first:g} {unit}",
            ValidityWarning,
            stacklevel=3,
        )
