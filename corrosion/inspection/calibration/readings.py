"""Rows of thickness readings, and what any rate foresees for them."""

from dataclasses import dataclass, replace
from functools import cached_property
from typing import Final

import numpy as np

from corrosion.foundation.errors import InputError
from corrosion.foundation.types import Array, BoolArray, IntArray
from corrosion.inspection.calibration.rate_model import (
    INSIDE,
    LEVEL,
    OFFSET,
    PIT,
    WANDER,
    RatePrior,
    RateState,
)

__all__ = ["Readings", "Surfaces"]

_ALL: Final = slice(None)
_STEEPEST: Final = 50.0  # a factor of e^50 on a rate is beyond any reading


@dataclass(frozen=True, slots=True, kw_only=True)
class Surfaces:
    """By how much readings are too thick, by the surface they were taken on.

    Attributes
    ----------
    mean, sd : ndarray, shape (surfaces,)
        Of the bias of a campaign on each surface. [m]
    chance : ndarray, shape (campaigns, surfaces)
        Prior chance that a campaign read on each; rows sum to one. [-]
    """

    mean: Array
    sd: Array
    chance: Array

    @property
    def moments(self) -> tuple[Array, Array]:
        """Mean and standard deviation of each campaign's bias, (campaigns,) [m]."""
        mean = self.chance @ self.mean
        square = self.chance @ (self.mean**2 + self.sd**2)
        return mean, np.sqrt(square - mean**2)


@dataclass(frozen=True, kw_only=True)
class Readings:
    """Readings as rows, one a zone, day, campaign and kind.

    Attributes
    ----------
    zone, campaign : ndarray of int, shape (rows,)
        Zone of each, and the campaign whose bias it shares.
    gone : ndarray, shape (rows,)
        Thickness as ordered less thickness read; negative where thicker. [m]
    sd : ndarray, shape (rows,)
        Standard uncertainty of a sound one, its campaign's bias left out. [m]
    times : ndarray, shape (rows,)
        How many gaugings that agree each row is the mean of: all would have to be
        wrong. [-]
    slip_sd : float
        What a wrong one adds to that. [m]
    sea : ndarray, shape (samples, rows, knots)
        Loss up to the reading that the records foresee on the sea side, by knot, at a
        rate factor of one. [m]
    inside, fixed : ndarray, shape (samples, rows)
        Loss of the inner face at a factor of one, and loss that no rate moves. [m]
    pitted : ndarray of bool, shape (rows,)
        Which tell of the deepest pit: their loss on the sea side and by other causes is
        that at a pit of median depth.
    surfaces : Surfaces
        What the campaigns' biases may be.

    Raises
    ------
    InputError
        If an uncertainty is not positive.
    """

    zone: IntArray
    campaign: IntArray
    gone: Array
    sd: Array
    times: Array
    slip_sd: float
    sea: Array
    inside: Array
    fixed: Array
    pitted: BoolArray
    surfaces: Surfaces

    def __post_init__(self) -> None:
        if not ((self.sd > 0.0).all() and self.slip_sd > 0.0):
            msg = "Readings: every standard uncertainty must be > 0 m."
            raise InputError(msg)

    @property
    def samples(self) -> int:
        """Number of samples."""
        return len(self.sea)

    def of_zones(self, which: IntArray) -> "Readings":
        """Return the rows of some zones alone."""
        own = np.isin(self.zone, which)
        return replace(
            self,
            zone=self.zone[own],
            campaign=self.campaign[own],
            gone=self.gone[own],
            sd=self.sd[own],
            times=self.times[own],
            sea=self.sea[:, own],
            inside=self.inside[:, own],
            fixed=self.fixed[:, own],
            pitted=self.pitted[own],
        )

    @cached_property
    def zones(self) -> IntArray:
        """The zones that were gauged, ascending."""
        return np.unique(self.zone)

    @cached_property
    def rows(self) -> IntArray:
        """Rows of each gauged zone, (gauged, most); where there are fewer, 0."""
        own = [np.flatnonzero(self.zone == zone) for zone in self.zones]
        table = np.zeros((len(own), max(map(len, own))), np.int64)
        for place, rows in zip(table, own, strict=True):
            place[: rows.size] = rows
        return table

    @cached_property
    def real(self) -> BoolArray:
        """Which entries of ``rows`` stand for a row, (gauged, most)."""
        counts = np.bincount(self.zone)[self.zones]
        return np.asarray(np.arange(self.rows.shape[1]) < counts[:, None])

    def _by_pair(self, values: Array) -> Array:
        """Return something of rows by pairs of sample and gauged zone."""
        laid = values[:, self.rows]
        return laid.reshape(-1, *laid.shape[2:])

    @cached_property
    def _sea(self) -> Array:
        return self._by_pair(self.sea)

    @cached_property
    def _other(self) -> tuple[Array, Array]:
        return self._by_pair(self.inside), self._by_pair(self.fixed)

    @cached_property
    def _pitted(self) -> Array:
        return np.tile(self.pitted[self.rows], (self.samples, 1)).astype(np.float64)

    def loss(
        self, unknowns: Array, levels: Array, pairs: IntArray | slice = slice(None)
    ) -> Array:
        """Return the loss that the readings of zones should show, without any bias.

        Parameters
        ----------
        unknowns : ndarray, shape (pairs, 4 + knots)
            A zone's unknowns, in each sample.
        levels : ndarray, shape (pairs, 2)
            What is shared of the logarithms of its rate, the mean wander in it, and of
            its inner face's loss. [-]
        pairs : ndarray of int or slice
            Which pairs of sample and gauged zone, zones fastest.

        Returns
        -------
        ndarray, shape (pairs, most)
            By reading, as ``rows`` lists them. [m]
        """
        total = (levels[:, 0] + unknowns[:, LEVEL])[:, None] + unknowns[:, WANDER]
        rate = np.exp(np.minimum(total, _STEEPEST))
        inside, fixed = self._other
        loss = np.einsum("pnk,pk->pn", self._sea[pairs], rate) + fixed[pairs]
        if self.pitted.any():
            loss *= np.exp(self._pitted[pairs] * unknowns[:, PIT, None])
        if inside.any():
            inner = np.exp(levels[:, 1] + unknowns[:, INSIDE])
            loss += inner[:, None] * inside[pairs]
        return np.asarray(loss - unknowns[:, OFFSET, None])

    def slope(self, unknowns: Array, levels: Array) -> tuple[Array, Array]:
        """Return the loss of all pairs, and its derivative by each unknown.

        As `loss`, (pairs, most) [m] and (pairs, most, 4 + knots).
        """
        total = (levels[:, 0] + unknowns[:, LEVEL])[:, None] + unknowns[:, WANDER]
        rate = np.exp(np.minimum(total, _STEEPEST))[:, None, :]
        inside, fixed = self._other
        deeper = np.exp(self._pitted * unknowns[:, PIT, None])
        by_knot = self._sea * rate * deeper[..., None]
        inner = np.exp(levels[:, 1] + unknowns[:, INSIDE])[:, None] * inside
        slope = np.empty((*inner.shape, unknowns.shape[1]))
        slope[..., WANDER] = by_knot
        slope[..., LEVEL] = by_knot.sum(axis=-1)
        slope[..., INSIDE] = inner
        slope[..., OFFSET] = -1.0
        outer = slope[..., LEVEL] + deeper * fixed
        slope[..., PIT] = self._pitted * outer
        return outer + inner - unknowns[:, OFFSET, None], slope

    def of_all(self, state: RateState, prior: RatePrior) -> Array:
        """Return the loss at every row, without any bias, (samples, rows) [m]."""
        unknowns = state.zones[:, self.zones].reshape(-1, state.zones.shape[-1])
        loss = self.loss(unknowns, self.levels(state.shared, prior).reshape(-1, 2))
        by_zone = loss.reshape(self.samples, -1)[:, self.real.ravel()]
        out = np.empty((self.samples, self.zone.size))
        out[:, self.rows[self.real]] = by_zone
        return out

    def levels(self, shared: Array, prior: RatePrior) -> Array:
        """Return what is shared of rate and inner face, (samples, gauged zones, 2)."""
        rate = shared @ prior.shared[:, self.zones] + prior.mean_wander
        return np.stack([rate, shared @ prior.inside_shared[:, self.zones]], axis=2)

    def log_sound(self, off: Array, rows: IntArray | slice = _ALL) -> Array:
        """Return the log density of residuals [m] of sound readings."""
        sd = self.sd[rows]
        return np.asarray(-0.5 * (off / sd) ** 2 - np.log(sd))

    def log_slipped(self, off: Array, rows: IntArray | slice = _ALL) -> Array:
        """Return the log density of residuals [m] of wrong readings."""
        variance = self.sd[rows] ** 2 + self.slip_sd**2
        return np.asarray(-0.5 * off**2 / variance - 0.5 * np.log(variance))

    def log_likelihood(
        self, off: Array, slips: Array, rows: IntArray | slice = _ALL
    ) -> Array:
        """Return the log density of residuals, sound or wrong with a chance.

        Parameters
        ----------
        off : ndarray, shape (n, ...)
            Read less foreseen. [m]
        slips : ndarray, shape (n,)
            Chance to be wrong. [-]
        rows : ndarray of int or slice, optional
            Which rows the last axes are.

        Returns
        -------
        ndarray
            In the same shape. [-]
        """
        odds = self.odds(slips, off.ndim, rows)
        sound = self.log_sound(off, rows)
        wrong = odds + self.log_slipped(off, rows)
        apart = np.exp(-np.abs(sound - wrong))
        either = np.maximum(sound, wrong) + np.log1p(apart)
        return np.asarray(either - np.logaddexp(0.0, odds))

    def odds(self, slips: Array, axes: int, rows: IntArray | slice = _ALL) -> Array:
        """Return the log odds of rows to be wrong, of so many axes [-]."""
        share = slips.reshape(-1, *[1] * (axes - 1))
        return np.asarray(np.log(share / (1.0 - share)) * self.times[rows])
