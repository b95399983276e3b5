"""Thickness measurements as arrays, and how they scatter about the model's plate."""

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
import numpy.typing as npt

from corrosion.foundation import assumptions
from corrosion.foundation.errors import InputError, LookupFailed
from corrosion.foundation.types import Array, BoolArray, IntArray
from corrosion.foundation.units import MM, YEAR
from corrosion.records.ship import Gauging

__all__ = ["Gauged", "gauged"]


@dataclass(frozen=True, slots=True, kw_only=True)
class Gauged:
    """Thickness measurements as arrays, one entry a gauging.

    Attributes
    ----------
    zone : ndarray of int, shape (G,)
        Position on the zone axis.
    thickness : ndarray, shape (G,)
        Mean of the readings, or the least found. [m]
    sd : ndarray, shape (G,)
        Standard uncertainty of one reading. [m]
    readings : ndarray of int, shape (G,)
        Number of readings.
    least : ndarray of bool, shape (G,)
        True where the least found is given, not the mean.
    allowance : float
        Standard deviation of the part of a zone's departure from the model that was
        there from the beginning. [m]
    age : ndarray, shape (G,), optional
        Age of the ship at each gauging; None: all at the beginning. [s]
    drift : float, optional
        Growth of the wandering part's standard deviation. [m/√s]

    Raises
    ------
    InputError
        If a thickness, an uncertainty, a count or the allowance is not positive.
    """

    zone: IntArray
    thickness: Array
    sd: Array
    readings: IntArray
    least: BoolArray
    allowance: float
    age: Array | None = None
    drift: float = 0.0

    def __post_init__(self) -> None:
        for name, unit in (("thickness", " m"), ("sd", " m"), ("readings", "")):
            values = np.asarray(getattr(self, name))
            bad = np.flatnonzero(~(values > 0))
            if bad.size:
                msg = (
                    f"Gauged: {name} must be > 0{unit}, got {values[bad[0]]:g}{unit} "
                    f"at gauging {bad[0] + 1} ({bad.size} of {values.size})."
                )
                raise InputError(msg)
        if not self.allowance > 0.0:
            msg = f"Gauged: allowance must be > 0 m, got {self.allowance:g} m."
            raise InputError(msg)

    @property
    def variance(self) -> Array:
        """Variance of each gauging about the zone's plate, shape (G,), in m².

        The mean of n readings has sd²/n. The least found is one reading of a spot
        that the pit model describes no better than the allowance.
        """
        of_mean = self.sd**2 / self.readings
        of_least = self.sd**2 + self.allowance**2
        return np.where(self.least, of_least, of_mean)

    def common(self, which: IntArray, age: npt.ArrayLike) -> Array:
        """Covariance of some gaugings' departures with those of other ages, in m².

        Of shape (len(which), ...) for ages [s] of shape (...).
        """
        mine = np.zeros(self.zone.size) if self.age is None else self.age
        together = np.minimum.outer(mine[which], np.asarray(age, np.float64))
        return np.asarray(self.allowance**2 + self.drift**2 * together)

    def within(self, which: IntArray) -> Array:
        """Covariance of some gaugings about the model, shape (g, g), in m²."""
        ages = np.zeros(which.size) if self.age is None else self.age[which]
        return self.common(which, ages) + np.diag(self.variance[which])


def gauged(
    gaugings: Sequence[Gauging], zones: Sequence[str], *, built: float = 0.0
) -> Gauged:
    """Return the gaugings of the records as arrays.

    Parameters
    ----------
    gaugings : sequence of Gauging
        As written; a blank uncertainty is taken from the basis table.
    zones : sequence of str
        Zone ids, in the order of the zone axis.
    built : float, optional
        When she was built, from 1970-01-01 00:00. [s]

    Returns
    -------
    Gauged
        In the same order.

    Raises
    ------
    LookupFailed
        If a gauging names no such zone.
    """
    position = {zone: index for index, zone in enumerate(zones)}
    for row in gaugings:
        if row.zone not in position:
            unknown = LookupFailed.among("zone", row.zone, zones)
            raise unknown
    blank = assumptions.value("gauging_sd_mm") * MM
    return Gauged(
        zone=np.array([position[row.zone] for row in gaugings], np.int64),
        thickness=np.array([row.thickness for row in gaugings], np.float64),
        sd=np.array([blank if row.sd is None else row.sd for row in gaugings], float),
        readings=np.array([row.readings for row in gaugings], np.int64),
        least=np.array([row.kind == "least" for row in gaugings], np.bool_),
        allowance=assumptions.value("model_sd_mm") * MM,
        age=np.array([max(row.date.middle - built, 0.0) for row in gaugings], float),
        drift=assumptions.value("model_drift_mm") * MM / np.sqrt(YEAR),
    )
