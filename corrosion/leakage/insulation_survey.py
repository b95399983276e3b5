"""Insulation surveys: readings at one temperature, polarisation index, trend."""

from collections.abc import Sequence

import numpy as np
import numpy.typing as npt

from corrosion.foundation.assumptions import Assumptions, default_assumptions
from corrosion.foundation.errors import InputError
from corrosion.foundation.types import Array

__all__ = ["at_reference", "halving_years", "polarisation_index"]


def at_reference(
    ohms: npt.ArrayLike,
    celsius: npt.ArrayLike,
    *,
    assumptions: Assumptions | None = None,
) -> Array:
    r"""Return insulation resistances as they would be at the reference temperature.

    Parameters
    ----------
    ohms : array_like, shape (n,)
        As read. [Ω]
    celsius : array_like, shape (n,)
        Temperature of the branch when it was read. [°C]
    assumptions : Assumptions, optional
        A ship's; None: the table of the file.

    Returns
    -------
    ndarray, shape (n,)
        At ``insulation_reference_celsius``, 40 °C in the table. [Ω]

    Notes
    -----
    Insulation halves each ``insulation_halving_k``, 10 K in the table:

    .. math:: R_{40} = R_T \cdot 2^{(T - 40) / 10}

    as IEEE Std 43 corrects windings of which nothing better is known (from memory);
    for cables a rule of thumb.

    Examples
    --------
    >>> at_reference([8e6, 8e6], [20.0, 40.0]).tolist()
    [2000000.0, 8000000.0]
    """
    table = default_assumptions() if assumptions is None else assumptions
    warmer = np.asarray(celsius, np.float64) - table.value(
        "insulation_reference_celsius"
    )
    doublings = warmer / table.value("insulation_halving_k")
    return np.asarray(np.asarray(ohms, np.float64) * np.exp2(doublings))


def polarisation_index(one_minute_ohm: float, ten_minutes_ohm: float) -> float:
    """Return a machine's insulation after ten minutes over that after one.

    Dry, clean windings go on charging and reach 2 or more; about 1 is wet or dirty
    (common practice).

    Parameters
    ----------
    one_minute_ohm, ten_minutes_ohm : float
        Insulation after so long under voltage. [Ω]

    Returns
    -------
    float
        Their ratio. [-]

    Raises
    ------
    InputError
        If either is not positive.

    Examples
    --------
    >>> polarisation_index(20e6, 50e6)
    2.5
    """
    if not (one_minute_ohm > 0.0 and ten_minutes_ohm > 0.0):
        msg = (
            "a polarisation index needs two resistances above 0 Ω, got "
            f"{one_minute_ohm:g} and {ten_minutes_ohm:g}."
        )
        raise InputError(msg)
    return ten_minutes_ohm / one_minute_ohm


def halving_years(years: Sequence[float], ohms: Sequence[float]) -> float | None:
    """Return in how many years a circuit's insulation halves, by its own readings.

    Parameters
    ----------
    years : sequence of float
        When each was read. [year]
    ohms : sequence of float
        At one temperature. [Ω]

    Returns
    -------
    float or None
        By a straight line through the logarithms; None: it does not fall, or there
        are fewer than three readings or less than a quarter of a year. [year]

    Examples
    --------
    >>> round(halving_years([2020, 2021, 2022], [8e6, 4e6, 2e6]), 6)
    1.0
    >>> halving_years([2020, 2021, 2022], [2e6, 4e6, 8e6]) is None
    True
    """
    at = np.asarray(years, np.float64)
    if at.size < 3 or np.ptp(at) < 0.25:
        return None
    slope = float(np.polyfit(at - at.mean(), np.log2(np.asarray(ohms)), 1)[0])
    return -1.0 / slope if slope < -1e-9 else None
