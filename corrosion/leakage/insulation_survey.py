"""Insulation surveys: readings at one temperature, polarisation index, trend."""

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Final

import numpy as np
import numpy.typing as npt

from corrosion.foundation.assumptions import Assumptions, default_assumptions
from corrosion.foundation.errors import InputError
from corrosion.foundation.types import Array

_FEWEST: Final = 3  # readings
_SHORTEST: Final = 0.25  # years
_FLAT: Final = 1e-9  # a year


def at_reference(
    ohms: npt.ArrayLike,
    celsius: npt.ArrayLike,
    *,
    assumptions: Assumptions | None = None,
) -> Array:
    r"""Return insulation resistances as they would be at the reference temperature.

    Parameters
    ----------
    ohms, celsius : array_like, shape (n,)
        As read [Ω]; temperature of the branch when it was read. [°C]
    assumptions : Assumptions, optional

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


@dataclass(frozen=True, slots=True)
class InsulationTrend:
    """A straight line through the logarithms of a circuit's insulation."""

    year: float  # mean of the years in which it was read [year]
    # log2_ohm, slope: of the line at that year, and by the year [-], [1/year]
    log2_ohm: float
    slope: float
    error: float  # standard deviation of the readings about the line [-]
    # count, spread: readings, and the sum of squares of their years
    # about the mean [-], [year²]
    count: int
    spread: float

    def at(self, years: npt.ArrayLike) -> Array:
        """Return p10, p50 and p90 of the line in some years, ohms of shape (3, n).

        Student's t over the readings' own scatter, with two degrees of freedom taken
        by the line.
        """
        away = np.asarray(years, np.float64) - self.year
        error = self.error * np.sqrt(1.0 / self.count + away**2 / self.spread)
        middle = self.log2_ohm + self.slope * away
        return np.asarray(
            np.exp2(middle + self._t * np.stack([-error, 0.0 * error, error]))
        )

    @property
    def falls(self) -> float:
        """Chance that it falls, 0 to 1."""
        error = self.error / np.sqrt(self.spread)
        if error <= 0.0:
            return float(self.slope < 0.0)
        from scipy.special import stdtr  # noqa: PLC0415 - importing stays light

        return float(stdtr(self.count - 2, -self.slope / error))

    @property
    def halving_years(self) -> dict[str, float | None]:
        """Years in which it halves: p10, p50, p90; None where it does not."""
        error = self._t * self.error / np.sqrt(self.spread)
        slopes = {
            "p10": self.slope - error,
            "p50": self.slope,
            "p90": self.slope + error,
        }
        return {k: -1.0 / s if s < -_FLAT else None for k, s in slopes.items()}

    @property
    def _t(self) -> float:
        from scipy.special import stdtrit  # noqa: PLC0415 - importing stays light

        return float(stdtrit(self.count - 2, 0.9))


def insulation_trend(
    years: Sequence[float], ohms: Sequence[float]
) -> InsulationTrend | None:
    """Return how a circuit's insulation goes over the years, by its own readings.

    Parameters
    ----------
    years, ohms : sequence of float, shape (n,)
        When each was read [year]; at one temperature. [Ω]

    Returns
    -------
    InsulationTrend or None
        None: there are fewer than three readings, or less than a quarter of a year.

    Examples
    --------
    >>> trend = insulation_trend([2020, 2021, 2022], [8e6, 4e6, 2e6])
    >>> round(trend.halving_years["p50"], 6), trend.falls
    (1.0, 1.0)
    """
    at, seen = np.asarray(years, np.float64), np.log2(np.asarray(ohms, np.float64))
    if at.size < _FEWEST or np.ptp(at) < _SHORTEST:
        return None
    away = at - at.mean()
    spread = float(away @ away)
    slope = float(away @ seen) / spread
    rest = seen - seen.mean() - slope * away
    error = float(np.sqrt(rest @ rest / (at.size - 2)))
    return InsulationTrend(
        float(at.mean()), float(seen.mean()), slope, error, at.size, spread
    )
