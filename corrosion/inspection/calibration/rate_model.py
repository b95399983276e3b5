r"""The rate of every plate as a random function of time, and its prior.

The loss of zone z is the loss that the records foresee, knot of time by knot, each
times a factor on the rate:

.. math:: u_{zk} = \sum_p L_{pz} s_p + \ell_z + w_{zk}, \qquad m_{zk} = e^{u_{zk}}

with unknowns s that zones share (standard normal, loading L: the ship, her exposures,
the eye that judged her paint), the zone's own level ℓ, and a wander w in time:
the average over each knot of an Ornstein-Uhlenbeck process [1]_ that forgets with the
``memory``. Its mean is half its variance below zero, so that the wander leaves the
long-run loss as it is. Knots need be no finer than the gaugings can tell apart. Beside
the rate, a zone has a factor on the loss of its inner face, an offset of its thickness
as rolled, and a factor on its deepest pit. In a few zones, a cause that no record names
(a fault never found, paint burnt off, a leak over it) took metal during one knot, or
from one on until the last reading: a half-normal amount, beside all rates.

References
----------
.. [1] G. E. Uhlenbeck and L. S. Ornstein, "On the theory of the Brownian motion",
   Physical Review 36, 1930, 823 (from memory).
"""

from collections.abc import Sequence
from dataclasses import dataclass, fields, replace
from functools import cached_property
from typing import Final

import numpy as np

from corrosion.foundation.types import Array, IntArray

LEVEL, INSIDE, OFFSET, PIT, EXTRA = range(5)
OWN: Final = 5
WANDER: Final = slice(OWN, None)
"""Columns of a zone's unknowns."""

STEEPEST: Final = 25.0
"""Logarithm of a factor on a rate that is beyond any reading."""

_JITTER: Final = 1e-9  # keeps a covariance of knots that lie close positive definite


@dataclass(frozen=True, kw_only=True)
class RatePrior:
    """What is known of the rates before any gauging.

    Arrays are of shape (zones,) where no other is said.
    """

    # shape (unknowns, zones): loading of each shared unknown on the logarithm of
    # each zone's rate [-]
    shared: Array
    # standard deviation of the logarithm of each zone's rate about what zones share [-]
    zone: Array
    wander: float  # standard deviation of the logarithm of the rate in time [-]
    # shape (knots + 1,): where each knot ends and the next begins, ascending [s]
    edges: Array
    memory: float  # time after which the wander keeps 1/e of itself [s]
    inside: Array  # standard deviation of the logarithm of the inner face's loss [-]
    offset: Array  # standard deviation of the thickness as rolled [m]
    # standard deviation of the logarithm of the deepest pit over the loss [-]
    pit: Array
    # shape (unknowns, zones): loading of each shared unknown on the logarithm of the
    # inner face's loss [-]
    inside_shared: Array
    # root mean square of what an unrecorded cause takes [m]
    extra: Array | float = 1e-9
    extra_share: float = 0.0  # share of zones with such a cause; 0: none [-]
    # chance that one that began before the last knot acts until its end [-]
    extra_lasts: float = 0.5
    # standard deviation of the logarithm of the spreads ``zone``, ``wander`` and
    # ``inside`` themselves, and of each unknown that zones share, which the gaugings
    # may then teach; 0: they are fixed [-]
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
        """Inverse of that covariance, shape (knots, knots) [-]."""
        return np.asarray(np.linalg.inv(self.correlation))

    @cached_property
    def root(self) -> Array:
        """Lower triangular root of that covariance, shape (knots, knots) [-]."""
        return np.asarray(np.linalg.cholesky(self.correlation))

    @property
    def cause_chances(self) -> Array:
        """Return the chance of each cause, as `cause_shares` counts them [-]."""
        begun = np.full(self.knots, self.extra_share / self.knots)
        on = begun[:-1] * self.extra_lasts
        begun[:-1] -= on
        return np.concatenate([[1.0 - self.extra_share], begun, on])

    def until(self, knots: int) -> "RatePrior":
        """Return the prior of the first knots alone."""
        return replace(self, edges=self.edges[: knots + 1])

    def deviations(self, zones: IntArray | slice) -> Array:
        """Return the standard deviation of each unknown but the wander, (zones, 5)."""
        extra = np.broadcast_to(self.extra, self.zone.shape)
        columns = (self.zone, self.inside, self.offset, self.pit, extra)
        return np.stack([column[zones] for column in columns], axis=1)

    def scaled(
        self,
        normal: Array,
        zones: IntArray | slice,
        spread: Array | None = None,
    ) -> Array:
        """Return unknowns of zones from standard normal numbers.

        Parameters
        ----------
        normal : ndarray, shape (samples, zones, 5 + knots)
            Standard normal numbers. [-]
        zones : ndarray of int or slice
            Which zones they are of.
        spread : ndarray, shape (samples, 3), optional
            Factors on the spreads from zone to zone, in time, and of the inner face;
            None: 1. [-]

        Returns
        -------
        ndarray
            In the same shape: level [-], inside [-], offset [m], pit [-], extra
            loss [m], either sign, wander about its mean [-].
        """
        drawn = np.empty_like(normal)
        drawn[..., :OWN] = normal[..., :OWN] * self.deviations(zones)
        wandering = normal[..., WANDER] @ self.root.T
        drawn[..., WANDER] = wandering * self.wander
        if spread is not None:
            drawn[..., LEVEL] *= spread[:, :1]
            drawn[..., WANDER] *= spread[:, 1:2, None]
            drawn[..., INSIDE] *= spread[:, 2:]
        return drawn

    @property
    def mean_wander(self) -> float:
        """Mean of the wander: the mean rate is then what the records foresee [-]."""
        return -0.5 * self.wander**2

    def ahead(self, past: Array, normal: Array, scale: Array) -> Array:
        """Return the wander over all knots given that over the first ones.

        Parameters
        ----------
        past : ndarray, shape (samples, zones, n)
            Wander over the first n knots. [-]
        normal : ndarray, shape (samples, zones, knots - n)
            Standard normal numbers of the others. [-]
        scale : ndarray, shape (samples, 1)
            Standard deviation of the wander. [-]

        Returns
        -------
        ndarray, shape (samples, zones, knots)
            ``past`` and what follows, which remembers it. [-]
        """
        n = past.shape[2]
        whole = self.correlation
        pull = np.linalg.solve(whole[:n, :n], whole[:n, n:])
        rest = np.linalg.cholesky(whole[n:, n:] - whole[n:, :n] @ pull)
        more = past @ pull + scale[..., None] * (normal @ rest.T)
        return np.concatenate([past, more], axis=2)


def cause_shares(edges: Array) -> Array:
    """Return how what an unrecorded cause takes is shared among knots, (causes, knots).

    First that there is none; then one that acts in each knot alone; then one that acts
    evenly from each knot but the last on until the last ends.
    """
    length = np.diff(edges)
    on = np.triu(np.broadcast_to(length, (length.size, length.size)))[:-1]
    alone = np.eye(length.size)
    none = np.zeros((1, length.size))
    return np.concatenate([none, alone, on / on.sum(axis=1, keepdims=True)])


@dataclass(frozen=True, slots=True, kw_only=True)
class RateState:
    """Samples of all that the gaugings may move.

    Arrays are of shape (samples, campaigns) where no other is said.
    """

    # shape (samples, unknowns): standard normal unknowns that zones share [-]
    shared: Array
    # shape (samples, zones, 5 + knots): unknowns of each zone,
    # as from `RatePrior.scaled`
    zones: Array
    bias: Array  # by how much all readings of a campaign are too thick [m]
    surface: IntArray  # which surface each campaign read on, where it was not written
    slips: Array  # shape (samples,): share of the readings that are wrong [-]
    # shape (samples, 3): factors on the spreads of the rate from zone to zone and in
    # time, and of the inner face's loss from zone to zone [-]
    spread: Array
    # shape (samples, zones): which unrecorded cause took metal, as `cause_shares`
    # counts them; 0: none
    cause: IntArray

    def of_samples(self, some: slice) -> "RateState":
        """Return some of the samples alone."""
        return RateState(
            **{one.name: getattr(self, one.name)[some] for one in fields(self)}
        )

    def wander_scale(self, prior: RatePrior) -> Array:
        """Return the standard deviation of the wander, (samples, 1) [-]."""
        return np.asarray(prior.wander * self.spread[:, 1:2])

    @property
    def extra(self) -> Array:
        """What an unrecorded cause took in all, (samples, zones) [m]."""
        return np.asarray(np.where(self.cause > 0, self.zones[..., EXTRA], 0.0))

    def rates(self, prior: RatePrior) -> Array:
        """Return the factor on each zone's rate by knot, (samples, zones, knots)."""
        level = self.shared @ prior.shared + self.zones[..., LEVEL]
        wander = self.zones[..., WANDER] + prior.mean_wander
        # beyond any reading; infinite it would make what is not lost not a number
        return np.asarray(np.exp(np.minimum(level[:, :, None] + wander, STEEPEST)))


def joined(parts: Sequence[RateState]) -> RateState:
    """Return the samples of several, one after another."""
    whole = {
        # a child's arrays lie otherwise, and sums would differ in their last digit
        one.name: np.ascontiguousarray(
            np.concatenate([getattr(part, one.name) for part in parts])
        )
        for one in fields(RateState)
    }
    return RateState(**whole)
