"""Rows of thickness readings, and what any rate foresees for them."""

from dataclasses import dataclass, replace
from functools import cached_property
from typing import Final

import numpy as np

from corrosion.foundation.errors import InputError
from corrosion.foundation.types import Array, BoolArray, IntArray
from corrosion.inspection.calibration.rate_model import (
    EXTRA,
    INSIDE,
    LEVEL,
    OFFSET,
    PIT,
    STEEPEST,
    WANDER,
    RatePrior,
    RateState,
)
from corrosion.inspection.calibration.triangular import single

_ALL: Final = slice(None)
_LEAST: Final = 1e-9  # a loss of which the logarithm is taken [m]
_MOST: Final = 3.0  # by how much the logarithm of a sample's loss differs at most


@dataclass(frozen=True, slots=True, kw_only=True)
class Surfaces:
    """By how much readings are too thick, by the surface they were taken on.

    Arrays are of shape (surfaces,) where no other is said.
    """

    # mean, sd: of the bias of a campaign on each surface [m]
    mean: Array
    sd: Array
    # shape (campaigns, surfaces): prior chance that a campaign read on each; rows
    # sum to one [-]
    chance: Array

    @property
    def moments(self) -> tuple[Array, Array]:
        """Mean and standard deviation of each campaign's bias, (campaigns,) [m]."""
        return self.moments_of(self.chance)

    def moments_of(self, chance: Array) -> tuple[Array, Array]:
        """Return the same at other chances, (campaigns, surfaces)."""
        mean = chance @ self.mean
        square = chance @ (self.mean**2 + self.sd**2)
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
        wrong; 0: the share of wrong readings says nothing of it. [-]
    backed : ndarray, shape (rows,)
        Odds of each to be wrong over those of a single reading: less where it is the
        mean of several, or where another of its zone and day bears it out. [-]
    replaced : ndarray, shape (rows,)
        Odds of each to be of a plate that is no more there, whatever that share. [-]
    slip_sd : ndarray, shape (rows,)
        What each adds to that if it is wrong. [m]
    slip_prior : tuple of float
        Prior of the share of single readings that are wrong, as wrong and sound ones
        already seen: of a beta distribution. [-]
    sea : ndarray, shape (samples, rows, knots)
        Loss up to the reading that the records foresee on the sea side, by knot, at a
        rate factor of one. [m]
    inside, fixed : ndarray, shape (samples, rows)
        Loss of the inner face at a factor of one, and loss that no rate moves. [m]
    caused : ndarray, shape (rows, causes)
        Share of what each unrecorded cause took, that it had by the reading. [-]
    pitted : ndarray of bool, shape (rows,)
        Which tell of the deepest pit: their loss on the sea side and by other causes is
        that at a pit of median depth.
    surfaces : Surfaces
        What the campaigns' biases may be.

    Raises
    ------
    InputError
        If an uncertainty is not positive.

    Notes
    -----
    Samples are the last axis in here, "(rows, samples)", so that the numbers of one row
    lie together: moves are made a few hundred times.
    """

    zone: IntArray
    campaign: IntArray
    gone: Array
    sd: Array
    times: Array
    backed: Array
    replaced: Array
    slip_sd: Array
    slip_prior: tuple[float, float]
    sea: Array
    inside: Array
    fixed: Array
    caused: Array
    pitted: BoolArray
    surfaces: Surfaces

    def __post_init__(self) -> None:
        if not ((self.sd > 0.0).all() and (self.slip_sd > 0.0).all()):
            msg = "Readings: every standard uncertainty must be > 0 m."
            raise InputError(msg)

    @property
    def samples(self) -> int:
        """Number of samples."""
        return len(self.sea)

    def of_zones(self, which: IntArray) -> "Readings":
        """Return the rows of some zones alone."""
        return self.of_rows(np.isin(self.zone, which))

    def of_samples(self, some: slice) -> "Readings":
        """Return the rows for some of the samples alone."""
        sea, inside, fixed = self.sea[some], self.inside[some], self.fixed[some]
        return replace(self, sea=sea, inside=inside, fixed=fixed)

    def of_rows(self, own: BoolArray) -> "Readings":
        """Return some of the rows alone."""
        return replace(
            self,
            zone=self.zone[own],
            campaign=self.campaign[own],
            gone=self.gone[own],
            sd=self.sd[own],
            times=self.times[own],
            backed=self.backed[own],
            replaced=self.replaced[own],
            slip_sd=self.slip_sd[own],
            sea=self.sea[:, own],
            inside=self.inside[:, own],
            fixed=self.fixed[:, own],
            caused=self.caused[own],
            pitted=self.pitted[own],
        )

    @cached_property
    def zones(self) -> IntArray:
        """The zones that were gauged, ascending."""
        return np.unique(self.zone)

    @cached_property
    def place(self) -> IntArray:
        """Place of each row's zone among the gauged ones, (rows,)."""
        return np.searchsorted(self.zones, self.zone)

    @cached_property
    def one_hot(self) -> Array:
        """One where a row is of a gauged zone, (gauged, rows): adds rows up [-]."""
        own = np.arange(self.zones.size)[:, None] == self.place
        return np.asarray(own, np.float64)

    @cached_property
    def by_row(self) -> tuple[Array, Array, Array]:
        """``sea`` (knots, rows, samples), and ``inside`` and ``fixed`` likewise."""
        sea = np.ascontiguousarray(self.sea.transpose(2, 1, 0))
        return sea, np.ascontiguousarray(self.inside.T), np.array(self.fixed.T)

    @cached_property
    def single(self) -> tuple[Array, ...]:
        """The same in single precision."""
        return tuple(single(part) for part in self.by_row)

    @cached_property
    def typical(self) -> tuple[Array, Array, Array]:
        """Means over the samples: as ``by_row``, without samples."""
        return tuple(part.mean(axis=-1) for part in self.by_row)

    @cached_property
    def otherwise(self) -> tuple[Array, Array]:
        """By how much samples differ from the mean: ``fixed``, and log of the sea side.

        Both (rows, samples) [m] and [-], in single precision.
        """
        sea, _, fixed = self.by_row
        lost = np.maximum(sea.sum(axis=0), _LEAST)
        more = np.log(lost / np.maximum(sea.mean(axis=-1).sum(axis=0), _LEAST)[:, None])
        differ = fixed - fixed.mean(axis=-1, keepdims=True)
        return single(differ), single(np.clip(more, -_MOST, _MOST))

    @cached_property
    def lined(self) -> IntArray:
        """Rows with an inner face to lose."""
        return np.flatnonzero(self.inside.any(axis=0))

    @cached_property
    def pits(self) -> IntArray:
        """Rows that tell of a pit."""
        return np.flatnonzero(self.pitted)

    def loss(
        self,
        unknowns: Array,
        levels: Array,
        cause: IntArray,
        which: IntArray | slice = _ALL,
    ) -> Array:
        """Return the loss that the readings should show, without any bias.

        Parameters
        ----------
        unknowns : ndarray, shape (5 + knots, gauged, n)
            Unknowns of the gauged zones, in n of the samples.
        levels : ndarray, shape (2, gauged, n)
            What is shared of the logarithms of their rates, the mean wander in it, and
            of their inner faces' loss. [-]
        cause : ndarray of int, shape (gauged, n)
            Which unrecorded cause acted; 0: none.
        which : ndarray of int or slice
            The n samples.

        Returns
        -------
        ndarray, shape (rows, n)
            Loss. [m]
        """
        light = unknowns.dtype == np.float32
        sea, inside, fixed = self.single if light else self.by_row
        total = (levels[0] + unknowns[LEVEL]) + unknowns[WANDER]
        rate = np.exp(np.minimum(total, STEEPEST))
        loss = fixed[:, which].copy()
        for knot, own in zip(sea, rate, strict=True):
            loss += knot[:, which] * own[self.place]
        if self.pits.size:
            loss[self.pits] *= np.exp(unknowns[PIT][self.place[self.pits]])
        if self.lined.size:
            at = self.place[self.lined]
            inner = np.exp(levels[1][at] + unknowns[INSIDE][at])
            loss[self.lined] += inner * inside[self.lined][:, which]
        if cause.any():
            loss += self.share(cause) * unknowns[EXTRA][self.place]
        return np.asarray(loss - unknowns[OFFSET][self.place])

    def share(self, cause: IntArray) -> Array:
        """Return the share that causes (gauged, n) had taken, (rows, n) [-]."""
        at = np.arange(len(self.place))[:, None] * self.caused.shape[1]
        return np.asarray(np.take(single(self.caused), at + cause[self.place]))

    def unknowns(self, state: RateState) -> Array:
        """Return the unknowns of the gauged zones, (5 + knots, gauged, samples)."""
        return np.ascontiguousarray(state.zones[:, self.zones].transpose(2, 1, 0))

    def of_all(self, state: RateState, prior: RatePrior) -> Array:
        """Return the loss at every row, without any bias, (samples, rows) [m]."""
        levels = self.levels(state.shared.T, prior)
        return self.loss(self.unknowns(state), levels, self.cause(state)).T

    def cause(self, state: RateState) -> IntArray:
        """Return which unrecorded cause acted, (gauged, samples)."""
        return np.ascontiguousarray(state.cause[:, self.zones].T)

    def levels(self, shared: Array, prior: RatePrior) -> Array:
        """Return what is shared of rate and inner face, (2, gauged, samples) [-].

        From the shared unknowns, (unknowns, samples).
        """
        loads = np.concatenate([prior.shared, prior.inside_shared], axis=1)
        loads = loads.reshape(len(shared), 2, -1)[..., self.zones]
        loads = loads.reshape(len(shared), -1).astype(shared.dtype)
        levels = (loads.T @ shared).reshape(2, len(self.zones), -1)
        levels[0] += prior.mean_wander
        return levels

    def odds(self, slips: Array) -> Array:
        """Return the log odds of rows to be wrong, (n, rows), of shares (n,) [-]."""
        single = np.log(slips / (1.0 - slips))
        told = single[:, None] * self.times + np.log(self.backed)
        return np.asarray(np.log(np.exp(told) + self.replaced))
