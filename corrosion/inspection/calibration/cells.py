r"""Gaussians near the posterior of each gauged zone, one for each of its cases.

A case of a zone says which of its readings are wrong, and in which knots, if any, an
unrecorded cause took metal. Given a case, the loss is made linear once for all samples,
about the likeliest point x* given the mean of what zones share,

.. math:: d = J x + G g + \epsilon, \qquad x \sim N(0, \Sigma), \quad
          \epsilon \sim N(0, R)

with the unknowns x of the zone and g of all zones: shared ones, biases of campaigns.
Samples differ in what the records foresee: by how much enters d, and as a shift of the
level, since the loss is linear in the rate. They differ in the spreads as well, so that
:math:`S = J \Sigma J^T + R = L L^T` is summed in each from parts that are common. The
case's evidence given g is :math:`N(d - G g;\, 0, S)`, and a draw of x given g is
:math:`x_0 + \Sigma J^T S^{-1} (d - G g - J x_0 - \epsilon)` with x₀ and ε from their
priors. Moves that propose a case by its evidence, and x from its Gaussian, reach all
answers that contradicting readings allow from wherever a sample is.
"""

from dataclasses import dataclass
from functools import cached_property
from typing import Final

import numpy as np

from corrosion.foundation.types import Array, BoolArray, IntArray
from corrosion.inspection.calibration.rate_model import (
    EXTRA,
    INSIDE,
    LEVEL,
    OWN,
    WANDER,
    RatePrior,
)
from corrosion.inspection.calibration.triangular import (
    root_of,
    single,
    solved,
    times,
    whitened,
)

_LOGISTIC: Final = 1.702  # 1 / (1 + exp(-1.702 z)) is within 0.01 of the normal law
_DEEPEST: Final = 30.0  # standard deviations at which a chance is nothing


@dataclass(frozen=True, slots=True)
class Given:
    """What zones are told, in every sample.

    Arrays are of shape (rows, samples) where no other is said.
    """

    # shape (2, gauged, samples): what is shared of the logarithms of rate
    # and inner face [-]
    levels: Array
    # what is read beyond the linear models' reference: biases of campaigns, less what a
    # sample's records foresee otherwise [m]
    read: Array
    more: Array  # logarithm of the sea side's loss over the reference's [-]
    odds: Array  # log odds of rows to be wrong [-]
    # shape (3, samples): factors on the spreads of level, wander and inner face [-]
    spread: Array


@dataclass(frozen=True, slots=True)
class Linear:
    """Linear models of one case a zone and sample; n readings a zone.

    Arrays are of shape (n, zones, samples) where no other is said.
    """

    slope: Array  # shape (unknowns, n, zones, samples): j of the module's text
    left: Array  # d - G g [m]
    root: Array  # shape (n, n, zones, samples): l [m]
    variance: Array  # r [m²]
    # shape (zones, samples): log chance of the case given all else, but
    # for a constant [-]
    told: Array
    wrong: BoolArray  # which readings it calls wrong

    def off(self, unknowns: Array) -> Array:
        """Return d - G g - J x, (n, zones, samples) [m]."""
        told = np.einsum("unzs,uzs->nzs", self.slope, unknowns)
        return np.asarray(self.left - told)


@dataclass(frozen=True, kw_only=True)
class Block:
    """Gauged zones with equally many readings, and the cases each may have.

    Arrays are of shape (n, zones, cases) where no other is said.
    """

    zones: IntArray  # shape (zones,): places among the gauged zones
    rows: IntArray  # shape (n, zones): their rows
    masked: IntArray  # shape (m, zones): which of the n readings a case may call wrong
    cause: IntArray  # shape (cases,): which unrecorded cause acts in each case; 0: none
    wrong: BoolArray  # which readings each case calls wrong
    variance: Array  # r [m²]
    slope: Array  # shape (unknowns, n, zones, cases): J
    data: Array  # d of the reference [m]
    # shape (4, n, n, zones, cases): of S: what no spread moves, and what goes with the
    # square of each [m²]
    parts: Array
    # shape (5, zones): standard deviations of the unknowns but the wander, as
    # of the prior
    spread: Array
    prior: RatePrior  # that prior

    def guess(self, given: Given) -> Array:
        """Return the log chance of each case, nearly and but for a constant.

        Given all else, at spreads of one: (zones, cases, samples) [-].
        """
        n, zones = self.rows.shape
        told = np.empty((zones, 2 + 2 * n, given.levels.shape[-1]), np.float32)
        told[:, 0] = 1.0
        told[:, 1] = given.levels[1, self.zones]
        more = given.levels[0, self.zones] + given.more[self.rows]
        told[:, 2 : 2 + n] = more.swapaxes(0, 1)
        told[:, 2 + n :] = given.read[self.rows].swapaxes(0, 1)
        maps, constant = self._maps
        cases = self.cause.size
        white = maps @ told
        squares = white[:, : n * cases].reshape(zones, n, cases, -1)
        chance = np.einsum("zncs,zncs->zcs", squares, squares)
        chance *= np.float32(-0.5)
        chance += constant[..., None]
        for pick in self.masked:
            at = np.arange(zones)
            own = single(self.wrong[pick, at])
            chance += own[..., None] * given.odds[self.rows[pick, at]][:, None]
        # A cause only takes. Its Gaussian is cut at nothing: the case counts by the
        # chance, given the readings, that the uncut amount is positive.
        if self.cause.any():
            score = np.clip(white[:, n * cases :], -_DEEPEST, _DEEPEST)
            chance[:, self.cause > 0] -= np.log1p(np.exp(-score))
        return np.asarray(chance)

    @cached_property
    def _maps(self) -> tuple[Array, Array]:
        """What all cases make of what zones are told, and the constants of each.

        By whitened residual and by how surely a cause takes metal: (zones, n cases +
        acting cases, 2 + 2 n) and (zones, cases), in single precision.
        """
        n, zones, cases = self.data.shape
        root = root_of(self.parts.sum(axis=0))
        inverse = whitened(root, np.eye(n)[..., None, None])  # L^-1, (n, n, ...)
        by = np.empty((2 + 2 * n, n, zones, cases))
        by[0] = np.einsum("ijzc,jzc->izc", inverse, self.data)
        by[1] = -np.einsum("ijzc,jzc->izc", inverse, self.slope[INSIDE])
        by[2 + n :] = inverse.swapaxes(0, 1)
        by[2 : 2 + n] = -by[2 + n :] * self.slope[LEVEL][:, None]
        variance = (self.spread[EXTRA] ** 2)[:, None]
        own = whitened(root, self.slope[EXTRA] * variance)
        sd = np.sqrt(variance - (own**2).sum(axis=0))
        takes = _LOGISTIC * (by * own).sum(axis=1) / sd
        maps = np.concatenate(
            [
                by.transpose(2, 1, 3, 0).reshape(zones, n * cases, -1),
                takes[..., self.cause > 0].transpose(1, 2, 0),
            ],
            axis=1,
        )
        constant = self._prior - np.log(_diagonal(root)).sum(axis=0)
        return single(maps), single(constant)

    @cached_property
    def _prior(self) -> Array:
        """Log of the prior chance of each case's cause, (cases,) [-].

        Twice that of one that takes, since the half that is cut away was as likely.
        """
        with np.errstate(divide="ignore"):
            chance = np.log(self.prior.cause_chances[self.cause])
        return single(chance + np.log(2.0) * (self.cause > 0))

    def case(self, wrong: BoolArray, cause: IntArray) -> tuple[IntArray, BoolArray]:
        """Return the case nearest to what is wrong (rows, samples) and to causes.

        And whether it says just that, both (zones, samples).
        """
        own = wrong[self.rows]
        bits = [own[pick, np.arange(pick.size)] for pick in self.masked]
        number = cause[self.zones] * 2 ** len(bits)
        for power, bit in enumerate(bits):
            number += bit * 2**power
        same = own.sum(axis=0) == np.sum(bits, axis=0) if bits else ~own.any(axis=0)
        return number, np.asarray(same)

    def of(self, case: IntArray, given: Given) -> Linear:
        """Return the linear model of one case a zone and sample, (zones, samples)."""
        at = np.arange(len(case))[:, None] * self.cause.size + case
        n, picked = len(self.rows), np.take(self._table, at, 1, mode="clip")
        left, variance, wrong = picked[: 3 * n].reshape(3, n, *case.shape)
        end = (3 + len(self.slope)) * n
        slope = picked[3 * n : end].reshape(-1, n, *case.shape)
        left += given.read[self.rows]
        left -= slope[LEVEL] * (given.levels[0, self.zones] + given.more[self.rows])
        left -= slope[INSIDE] * given.levels[1, self.zones]
        root = np.zeros((n, n, *case.shape), picked.dtype)
        total, *parts = picked[end:].reshape(4, -1, *case.shape)
        for part, square in zip(parts, given.spread**2, strict=True):
            total += part * square
        root[self._lower] = total
        root = root_of(root)
        white = whitened(root, left)
        told = self._prior[case] - np.log(_diagonal(root)).sum(axis=0)
        told -= 0.5 * (white**2).sum(axis=0)
        told += (wrong * given.odds[self.rows]).sum(axis=0)
        return Linear(slope, left, root, variance, told, wrong > 0.0)

    @cached_property
    def _lower(self) -> tuple[IntArray, IntArray]:
        return np.tril_indices(len(self.rows))

    @cached_property
    def _table(self) -> Array:
        """All that differs from case to case, (..., zones cases)."""
        parts = (
            self.data,
            self.variance,
            self.wrong,
            *self.slope,
            *self.parts[:, *self._lower],
        )
        flat = [part.reshape(-1, part.shape[-2] * part.shape[-1]) for part in parts]
        return single(np.concatenate(flat))

    def gain(self, linear: Linear, off: Array, spread: Array) -> Array:
        """Return Σ Jᵀ S⁻¹ of residuals (n, zones, samples), (unknowns, zones, ...)."""
        back = solved(linear.root, whitened(linear.root, off))
        return self.pulled(linear, back, spread)

    def pulled(self, linear: Linear, back: Array, spread: Array) -> Array:
        """Return Σ Jᵀ back, (unknowns, zones, samples)."""
        pulled = np.einsum("unzs,nzs->uzs", linear.slope, back)
        return spread_out(self.prior, self.spread, pulled, spread)


def spread_out(
    prior: RatePrior, sd: Array, pulled: Array, spread: Array | None = None
) -> Array:
    """Return Σ times (unknowns, zones, ...), in place; spread (3, ...)."""
    tail = (1,) * (pulled.ndim - 2)
    pulled[:OWN] *= (sd**2).reshape(*sd.shape, *tail)
    covariance = (prior.wander**2 * prior.correlation).astype(pulled.dtype)
    pulled[WANDER] = times(covariance, pulled[WANDER])
    if spread is not None:
        pulled[LEVEL] *= spread[0] ** 2
        pulled[WANDER] *= spread[1] ** 2
        pulled[INSIDE] *= spread[2] ** 2
    return pulled


def _diagonal(root: Array) -> Array:
    return root[np.arange(len(root)), np.arange(len(root))]
