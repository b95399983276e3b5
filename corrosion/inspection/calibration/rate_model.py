r"""The rate of every plate as a random function of time, and its prior.

The loss of zone z is the loss that the records foresee, knot of time by knot, each
times a factor on the rate:

.. math:: u_{zk} = \sum_p L_{pz} s_p + \ell_z + w_{zk}, \qquad m_{zk} = e^{u_{zk}}

with unknowns s that zones share (standard normal, loading L: the ship, her exposures,
the eye that judged her paint), the zone's own level ℓ, and a wander w in time:
the average over each knot of an Ornstein-Uhlenbeck process [1]_ that forgets with the
``memory``. Its mean is half its variance below zero, so that the wander leaves the
long-run loss as it is. Knots need be no finer than the gaugings can tell apart. Beside the rate, a zone has a factor on the loss of its
inner face, an offset of its thickness as rolled, and two normal scores of its deepest
pit.

References
----------
.. [1] G. E. Uhlenbeck and L. S. Ornstein, "On the theory of the Brownian motion",
   Physical Review 36, 1930, 823 (from memory).
"""

from dataclasses import dataclass
from functools import cached_property
from typing import Final

import numpy as np

from corrosion.foundation.types import Array

__all__ = ["LEVEL", "INSIDE", "OFFSET", "PITS", "WANDER", "RatePrior", "RateState"]

LEVEL, INSIDE, OFFSET, PITS, WANDER = (  # columns of a zone's unknowns
    0,
    1,
    2,
    slice(3, 5),
    slice(5, None),
)
_JITTER: Final = 1e-9  # keeps a covariance of knots that lie close positive definite


@dataclass(frozen=True, kw_only=True)
class RatePrior:
    """What is known of the rates before any gauging.

    Attributes
    ----------
    shared : ndarray, shape (unknowns, zones)
        Loading of each shared unknown on the logarithm of each zone's rate. [-]
    zone, wander : float
        Standard deviation of the logarithm of the rate from zone to zone, and in time.
        [-]
    edges : ndarray, shape (knots + 1,)
        Where each knot ends and the next begins, ascending. [s]
    memory : float
        Time after which the wander keeps 1/e of itself. [s]
    inside : ndarray, shape (zones,)
        Standard deviation of the logarithm of the inner face's loss. [-]
    offset : ndarray, shape (zones,)
        Standard deviation of the thickness as rolled. [m]
    learned : float
        Standard deviation of the logarithm of the two spreads ``zone`` and ``wander``
        themselves, which the gaugings may then teach; 0: they are fixed. [-]
    """

    shared: Array
    zone: float
    wander: float
    edges: Array
    memory: float
    inside: Array
    offset: Array
    learned: float = 0.0

    @property
    def knots(self) -> int:
        """Number of knots."""
        return self.edges.size - 1

    @cached_property
    def correlation(self) -> Array:
        r"""Covariance of the wander's averages over knots, (knots, knots).

        In units of the variance at one time: with h the knot's length and g the gap
        between two knots, both over the memory,

        .. math:: \frac{2 (h - 1 + e^{-h})}{h^2}, \qquad
                  \frac{(1 - e^{-h}) (1 - e^{-h'})}{h h'} e^{-g}
        """
        length = np.diff(self.edges) / self.memory
        begin, end = self.edges[:-1] / self.memory, self.edges[1:] / self.memory
        gap = np.maximum(begin[:, None] - end, begin - end[:, None])
        ends = -np.expm1(-length) / length
        apart = np.multiply.outer(ends, ends) * np.exp(-np.maximum(gap, 0.0))
        own = 2.0 * (length + np.expm1(-length)) / length**2
        np.fill_diagonal(apart, own + _JITTER)
        return apart

    @cached_property
    def precision(self) -> Array:
        """Inverse of that covariance, shape (knots, knots). [-]"""
        return np.linalg.inv(self.correlation)

    @cached_property
    def root(self) -> Array:
        """Lower triangular root of that covariance, shape (knots, knots). [-]"""
        return np.linalg.cholesky(self.correlation)

    def until(self, knots: int) -> "RatePrior":
        """Return the prior of the first knots alone."""
        return RatePrior(
            shared=self.shared,
            zone=self.zone,
            wander=self.wander,
            edges=self.edges[: knots + 1],
            memory=self.memory,
            inside=self.inside,
            offset=self.offset,
            learned=self.learned,
        )

    def scaled(self, normal: Array, spread: Array, zones: Array | slice) -> Array:
        """Return unknowns of zones from standard normal numbers.

        Parameters
        ----------
        normal : ndarray, shape (samples, zones, 5 + knots)
            Standard normal numbers. [-]
        spread : ndarray, shape (samples, 2)
            Factors on the spreads from zone to zone and in time. [-]
        zones : ndarray of int or slice
            Which zones they are of.

        Returns
        -------
        ndarray
            In the same shape: level [-], inside [-], offset [m], pit scores [-],
            wander about its mean [-].
        """
        drawn = np.empty_like(normal)
        drawn[..., LEVEL] = normal[..., LEVEL] * self.zone * spread[:, :1]
        drawn[..., INSIDE] = normal[..., INSIDE] * self.inside[zones]
        drawn[..., OFFSET] = normal[..., OFFSET] * self.offset[zones]
        drawn[..., PITS] = normal[..., PITS]
        wandering = normal[..., WANDER] @ self.root.T
        drawn[..., WANDER] = wandering * (self.wander * spread[:, 1:, None])
        return drawn

    def covariance(self, zones: Array | slice) -> Array:
        """Return the covariance of zones' unknowns, (zones, 5 + knots, 5 + knots)."""
        inside, offset = self.inside[zones], self.offset[zones]
        count = 5 + self.knots
        whole = np.zeros((len(inside), count, count))
        whole[:, LEVEL, LEVEL] = self.zone**2
        whole[:, INSIDE, INSIDE] = inside**2
        whole[:, OFFSET, OFFSET] = offset**2
        whole[:, PITS, PITS] = np.eye(2)
        whole[:, WANDER, WANDER] = self.wander**2 * self.correlation
        return whole

    def mean_wander(self, spread: Array) -> Array:
        """Return the mean of the wander, shape (samples, 1, 1) [-]."""
        return np.asarray(-0.5 * (self.wander * spread[:, 1, None, None]) ** 2)

    def ahead(self, past: Array, normal: Array, spread: Array) -> Array:
        """Return the wander over all knots given that over the first ones.

        Parameters
        ----------
        past : ndarray, shape (samples, zones, n)
            Wander over the first n knots. [-]
        normal : ndarray, shape (samples, zones, knots - n)
            Standard normal numbers of the others. [-]
        spread : ndarray, shape (samples, 2)
            Factors on the spreads.

        Returns
        -------
        ndarray, shape (samples, zones, knots)
            ``past`` and what follows, which remembers it. [-]
        """
        n = past.shape[2]
        whole = self.correlation
        pull = np.linalg.solve(whole[:n, :n], whole[:n, n:])
        rest = np.linalg.cholesky(whole[n:, n:] - whole[n:, :n] @ pull)
        scale = self.wander * spread[:, 1:, None]
        return np.concatenate([past, past @ pull + scale * (normal @ rest.T)], axis=2)


@dataclass(frozen=True, slots=True, kw_only=True)
class RateState:
    """Samples of all that the gaugings may move.

    Attributes
    ----------
    shared : ndarray, shape (samples, unknowns)
        Standard normal unknowns that zones share. [-]
    zones : ndarray, shape (samples, zones, 5 + knots)
        Unknowns of each zone, as from :meth:`RatePrior.scaled`.
    bias : ndarray, shape (samples, campaigns)
        By how much all readings of a campaign are too thick. [m]
    surface : ndarray of int, shape (samples, campaigns)
        Which surface each campaign read on, where it was not written.
    slips : ndarray, shape (samples,)
        Share of the readings that are wrong. [-]
    spread : ndarray, shape (samples, 2)
        Factors on the spreads of the rate from zone to zone and in time. [-]
    """

    shared: Array
    zones: Array
    bias: Array
    surface: Array
    slips: Array
    spread: Array

    def rates(self, prior: RatePrior) -> Array:
        """Return the factor on each zone's rate by knot, (samples, zones, knots)."""
        level = self.shared @ prior.shared + self.zones[..., LEVEL]
        wander = self.zones[..., WANDER] + prior.mean_wander(self.spread)
        return np.asarray(np.exp(level[:, :, None] + wander))
