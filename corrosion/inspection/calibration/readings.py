"""Rows of thickness readings, and what any rate foresees for them."""

from dataclasses import dataclass, replace
from functools import cached_property
from typing import Final

import numpy as np
from numpy.typing import ArrayLike

from corrosion.foundation.errors import InputError
from corrosion.foundation.types import Array, BoolArray, IntArray
from corrosion.inspection.calibration.rate_model import (
    INSIDE,
    LEVEL,
    OFFSET,
    PITS,
    WANDER,
    RatePrior,
    RateState,
)

__all__ = ["PitResponse", "Readings", "Surfaces"]

_SCORE_STEP: Final = 1e-3
_STEEPEST: Final = 50.0  # a factor of e^50 on a rate is beyond any reading


@dataclass(frozen=True, slots=True, kw_only=True)
class PitResponse:
    """How the deepest pit answers, for rows that tell the least thickness found.

    Attributes
    ----------
    sea : ndarray, shape (samples, rows, knots)
        Loss since the last painting at bare steel, from the sea side, by knot; 0 in
        rows of means. [m]
    fixed : ndarray, shape (samples, rows)
        The same by other causes than the rate. [m]
    extent : ndarray, shape (samples, rows)
        Logarithm of the bare area over the reference area. [-]
    factor, factor_sd : float
        Median of the pitting factor, and standard deviation of its logarithm. [-]
    scale : float
        Gumbel scale over the most likely deepest pit. [-]
    """

    sea: Array
    fixed: Array
    extent: Array
    factor: float
    factor_sd: float
    scale: float

    def beyond(self, scores: Array, extent: Array) -> Array:
        """Return by what the deepest pit exceeds the loss at bare steel, over it [-].

        Of two standard normal scores (..., 2): of the pitting factor, and of the
        extreme among the zone's pits.
        """
        from scipy.special import log_ndtr  # noqa: PLC0415 - importing stays light

        gumbel = extent - np.log(-log_ndtr(scores[..., 1]))
        mode = self.factor * np.exp(self.factor_sd * scores[..., 0])
        return np.asarray(np.maximum(mode * (1.0 + self.scale * gumbel), 1.0) - 1.0)


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
    slip_sd : float
        What a wrong one adds to that. [m]
    sea : ndarray, shape (samples, rows, knots)
        Loss up to the reading that the records foresee on the sea side, by knot, at a
        rate factor of one. [m]
    inside, fixed : ndarray, shape (samples, rows)
        Loss of the inner face at a factor of one, and loss that no rate moves. [m]
    surfaces : Surfaces
        What the campaigns' biases may be.
    pits : PitResponse or None
        None: every row is a mean.

    Raises
    ------
    InputError
        If an uncertainty is not positive.
    """

    zone: IntArray
    campaign: IntArray
    gone: Array
    sd: Array
    slip_sd: float
    sea: Array
    inside: Array
    fixed: Array
    surfaces: Surfaces
    pits: PitResponse | None = None

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
        pits = self.pits
        return replace(
            self,
            zone=self.zone[own],
            campaign=self.campaign[own],
            gone=self.gone[own],
            sd=self.sd[own],
            sea=self.sea[:, own],
            inside=self.inside[:, own],
            fixed=self.fixed[:, own],
            pits=None
            if pits is None
            else replace(
                pits,
                sea=pits.sea[:, own],
                fixed=pits.fixed[:, own],
                extent=pits.extent[:, own],
            ),
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
    def _pits(self) -> tuple[Array, Array, Array]:
        assert self.pits is not None
        laid = (self.pits.sea, self.pits.fixed, self.pits.extent)
        sea, fixed, extent = map(self._by_pair, laid)
        return sea, fixed, extent

    def loss(
        self, unknowns: Array, level: Array, pairs: IntArray | slice = slice(None)
    ) -> Array:
        """Return the loss that the readings of zones should show, without any bias.

        Parameters
        ----------
        unknowns : ndarray, shape (pairs, 5 + knots)
            A zone's unknowns, in each sample.
        level : ndarray, shape (pairs,)
            Mean of the logarithm of its rate: what is shared, and of the wander. [-]
        pairs : ndarray of int or slice
            Which pairs of sample and gauged zone, zones fastest.

        Returns
        -------
        ndarray, shape (pairs, most)
            By reading, as ``rows`` lists them. [m]
        """
        total = (level + unknowns[:, LEVEL])[:, None] + unknowns[:, WANDER]
        rate = np.exp(np.minimum(total, _STEEPEST))
        inside, fixed = self._other
        loss = np.einsum("pnk,pk->pn", self._sea[pairs], rate) + fixed[pairs]
        loss += np.exp(unknowns[:, INSIDE, None]) * inside[pairs]
        if self.pits is not None:
            sea, taken, extent = (part[pairs] for part in self._pits)
            beyond = self.pits.beyond(unknowns[:, None, PITS], extent)
            loss += beyond * (np.einsum("pnk,pk->pn", sea, rate) + taken)
        return np.asarray(loss - unknowns[:, OFFSET, None])

    def slope(self, unknowns: Array, level: Array) -> tuple[Array, Array]:
        """Return the loss of all pairs, and its derivative by each unknown.

        As `loss`, (pairs, most) [m] and (pairs, most, 5 + knots).
        """
        total = (level + unknowns[:, LEVEL])[:, None] + unknowns[:, WANDER]
        rate = np.exp(np.minimum(total, _STEEPEST))[:, None, :]
        by_knot = self._sea * rate
        inside, fixed = self._other
        inner = np.exp(unknowns[:, INSIDE, None]) * inside
        slope = np.zeros((*inner.shape, unknowns.shape[1]))
        loss = inner + fixed - unknowns[:, OFFSET, None]
        if self.pits is not None:
            sea, taken, extent = self._pits
            scores = unknowns[:, None, PITS]
            beyond = self.pits.beyond(scores, extent)
            at_pit = (sea * rate).sum(axis=-1) + taken
            for column, score in enumerate(np.eye(2) * _SCORE_STEP):
                more = self.pits.beyond(scores + score, extent) - beyond
                slope[..., 3 + column] = at_pit * more / _SCORE_STEP
            by_knot = by_knot + beyond[..., None] * sea * rate
            loss = loss + beyond * taken
        slope[..., WANDER] = by_knot
        slope[..., LEVEL] = by_knot.sum(axis=-1)
        slope[..., INSIDE] = inner
        slope[..., OFFSET] = -1.0
        return loss + slope[..., LEVEL], slope

    def of_all(self, state: RateState, prior: RatePrior) -> Array:
        """Return the loss at every row, without any bias, (samples, rows) [m]."""
        unknowns = state.zones[:, self.zones].reshape(-1, state.zones.shape[-1])
        loss = self.loss(unknowns, self.levels(state, prior).ravel())
        by_zone = loss.reshape(self.samples, -1)[:, self.real.ravel()]
        out = np.empty((self.samples, self.zone.size))
        out[:, self.rows[self.real]] = by_zone
        return out

    def levels(self, state: RateState, prior: RatePrior) -> Array:
        """Return the mean of the rate's logarithm, (samples, gauged zones) [-]."""
        shared = state.shared @ prior.shared[:, self.zones]
        return np.asarray(shared + prior.mean_wander(state.spread)[:, 0])

    def log_sound(self, off: Array, rows: ArrayLike = ...) -> Array:
        """Return the log density of residuals [m] of sound readings."""
        sd = self.sd[rows]
        return np.asarray(-0.5 * (off / sd) ** 2 - np.log(sd))

    def log_slipped(self, off: Array, rows: ArrayLike = ...) -> Array:
        """Return the log density of residuals [m] of wrong readings."""
        variance = self.sd[rows] ** 2 + self.slip_sd**2
        return np.asarray(-0.5 * off**2 / variance - 0.5 * np.log(variance))

    def log_likelihood(self, off: Array, slips: Array, rows: ArrayLike = ...) -> Array:
        """Return the log density of residuals, sound or wrong with a chance.

        Parameters
        ----------
        off : ndarray, shape (n, ...)
            Read less foreseen. [m]
        slips : ndarray, shape (n,)
            Chance to be wrong. [-]
        rows : array_like of int, optional
            Which rows the last axes are.

        Returns
        -------
        ndarray
            In the same shape. [-]
        """
        share = slips.reshape(-1, *[1] * (off.ndim - 1))
        sound = np.log1p(-share) + self.log_sound(off, rows)
        wrong = np.log(share) + self.log_slipped(off, rows)
        apart = np.exp(-np.abs(sound - wrong))
        return np.asarray(np.maximum(sound, wrong) + np.log1p(apart))
