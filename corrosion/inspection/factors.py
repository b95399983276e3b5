"""By what the gaugings multiply each sample's losses."""

from dataclasses import dataclass
from functools import cached_property

import numpy as np

from corrosion.foundation.types import Array, BoolArray


@dataclass(frozen=True, kw_only=True)
class PitLaw:
    """Law of the logarithm of the factor on each zone's deepest pit.

    All of shape (samples, zones); without unit.
    """

    drawn: Array  # a draw of each
    # mean, sd: of a normal law; sd 0: it is `mean`
    mean: Array
    sd: Array
    most: Array  # where that is cut off; infinite: nowhere
    least: Array  # where it is cut off from below; minus infinity: nowhere

    def times(self, more: Array) -> "PitLaw":
        """Return the law of factors that are higher by a logarithm, likewise [-]."""
        return PitLaw(
            drawn=self.drawn + more,
            mean=self.mean + more,
            sd=self.sd,
            most=self.most + more,
            least=self.least + more,
        )

    def beyond(self, limit: Array) -> Array:
        """Return the chance of a logarithm above a limit, (samples, zones) [-]."""
        less, most = self._ends
        below = self._short_of(np.minimum(limit, self.most)) - less
        whole = np.maximum(most - less, 1e-12)
        return np.asarray(np.clip(1.0 - below / whole, 0.0, 1.0))

    @cached_property
    def _ends(self) -> tuple[Array, Array]:
        return self._short_of(self.least), self._short_of(self.most)

    def _short_of(self, limit: Array) -> Array:
        """Return the chance of less than a limit were the law cut off nowhere [-]."""
        from scipy.special import ndtr  # noqa: PLC0415 - importing stays light

        return np.asarray(ndtr((limit - self.mean) / np.maximum(self.sd, 1e-12)))


@dataclass(frozen=True, slots=True, kw_only=True)
class Factors:
    """By what each sample's losses are multiplied."""

    moments: Array  # shape (moments,): ascending [s]
    # rate, whole, shape (samples, moments, zones): natural loss of the sea side up to
    # each moment over the records': of the plate that is there, and with plates
    # that were renewed [-]
    rate: Array
    whole: Array
    # shape (samples, zones): loss of the inner face over the records' [-]
    inside: Array
    pit: PitLaw  # what the deepest pit exceeds the even loss by, over the records'
    # shape (samples, zones): by how much each plate was rolled thicker than drawn [m]
    offset: Array
    # shape (samples, moments, zones): lost up to each moment by causes that
    # no record names [m]
    extra: Array
    # shape (samples, moments, zones): what such a cause takes after the last gauging if
    # it goes on [m]
    going_on: Array
    lasts: BoolArray  # shape (samples, zones): where it does: `extra` holds it there
    lasts_chance: Array  # shape (samples, zones): chance that it does [-]

    def at(self, moments: Array) -> Array:
        """Return the rate's factor at other moments, (samples, n, zones) [-]."""
        return self._between(self.rate, moments)

    def whole_at(self, moments: Array) -> Array:
        """Return that of all plates that were there, likewise [-]."""
        return self._between(self.whole, moments)

    def extra_at(self, moments: Array) -> Array:
        """Return what unrecorded causes took by other moments, likewise [m]."""
        return self._between(self.extra, moments)

    def either(self, moment: float) -> list[tuple[Array, Array]]:
        """Return both futures of an unrecorded cause: chances, and what they take.

        More, or less, than in each sample at a moment: (samples, zones) [-] and [m].
        """
        on = self._between(self.going_on, np.array([moment]))[:, 0]
        if not on.any():
            return [(np.ones(()), np.zeros(()))]
        return [
            (self.lasts_chance, np.where(self.lasts, 0.0, on)),
            (1.0 - self.lasts_chance, np.where(self.lasts, -on, 0.0)),
        ]

    def _between(self, values: Array, moments: Array) -> Array:
        if np.array_equal(moments, self.moments):
            return values
        same = np.searchsorted(self.moments, moments).clip(max=len(self.moments) - 1)
        if np.array_equal(moments, self.moments[same]):
            return np.take(values, same, axis=1)
        when = np.clip(moments, self.moments[0], self.moments[-1])
        after = np.clip(np.searchsorted(self.moments, when), 1, len(self.moments) - 1)
        length = self.moments[after] - self.moments[after - 1]
        part = ((when - self.moments[after - 1]) / length)[:, None]
        early, late = values[:, after - 1], values[:, after]
        return np.asarray(early + part * (late - early))
