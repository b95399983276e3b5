"""By what the gaugings multiply each sample's losses."""

from dataclasses import dataclass

import numpy as np

from corrosion.foundation.types import Array

__all__ = ["Factors"]


@dataclass(frozen=True, slots=True, kw_only=True)
class Factors:
    """By what each sample's losses are multiplied.

    Attributes
    ----------
    moments : ndarray, shape (moments,)
        Ascending. [s]
    rate : ndarray, shape (samples, moments, zones)
        Natural loss of the sea side up to each moment over the records'. [-]
    inside : ndarray, shape (samples, zones)
        Loss of the inner face over the records'. [-]
    pit : ndarray, shape (samples, zones)
        What the deepest pit exceeds the rest by, over the records'. [-]
    offset : ndarray, shape (samples, zones)
        By how much each plate was rolled thicker than drawn. [m]
    extra : ndarray, shape (samples, moments, zones)
        Lost up to each moment by causes that no record names. [m]
    """

    moments: Array
    rate: Array
    inside: Array
    pit: Array
    offset: Array
    extra: Array

    def at(self, moments: Array) -> Array:
        """Return the rate's factor at other moments, (samples, n, zones) [-]."""
        return self._between(self.rate, moments)

    def extra_at(self, moments: Array) -> Array:
        """Return what unrecorded causes took by other moments, likewise [m]."""
        return self._between(self.extra, moments)

    def _between(self, values: Array, moments: Array) -> Array:
        when = np.clip(moments, self.moments[0], self.moments[-1])
        after = np.clip(np.searchsorted(self.moments, when), 1, len(self.moments) - 1)
        length = self.moments[after] - self.moments[after - 1]
        part = ((when - self.moments[after - 1]) / length)[:, None]
        early, late = values[:, after - 1], values[:, after]
        return np.asarray(early + part * (late - early))
