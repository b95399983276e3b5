r"""Gaussians near the posterior of each gauged zone, one for each of its cases.

A case of a zone says which of its readings are wrong, and in which knot, if any, an
unrecorded cause took metal.
Given a case, the loss is made linear about its likeliest point x* in each sample,

.. math:: d = J x + G g + \epsilon, \qquad x \sim N(0, \Sigma), \quad
          \epsilon \sim N(0, R)

with the unknowns x of the zone and g of all zones: shared ones, biases of campaigns.
With :math:`S = J \Sigma J^T + R = L L^T` the case's evidence given g is
:math:`N(d - G g;\, 0, S)`, and a draw of x given g is
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
from corrosion.inspection.calibration.readings import Readings

__all__ = ["Block", "Linear", "Near", "root_of", "solved", "spread_out", "whitened"]

_DEEPEST: Final = 30.0  # standard deviations at which a chance is nothing


@dataclass(frozen=True, slots=True)
class Linear:
    """Linear models of zones, the samples last; n readings a zone.

    Attributes
    ----------
    slope : ndarray, shape (unknowns, n, zones, ..., samples)
        J of the module's text.
    data : ndarray, shape (n, zones, ..., samples)
        d. [m]
    root : ndarray, shape (n, n, zones, ..., samples)
        L. [m]
    """

    slope: Array
    data: Array
    root: Array

    def left(self, levels: Array, read: Array) -> Array:
        """Return d − G g: levels (2, zones, ..., samples), bias (n, ..., samples)."""
        shared = self.slope[LEVEL] * levels[0] + self.slope[INSIDE] * levels[1]
        return np.asarray(self.data - shared + read)


@dataclass(frozen=True, kw_only=True)
class Block:
    """Gauged zones with equally many readings, and the cases each may have.

    Attributes
    ----------
    zones : ndarray of int, shape (zones,)
        Places among the gauged zones.
    rows : ndarray of int, shape (n, zones)
        Their rows.
    masked : ndarray of int, shape (m, zones)
        Which of the n readings a case may call wrong.
    cause : ndarray of int, shape (cases,)
        Knot of the unrecorded cause in each case, from 1; 0: none.
    wrong : ndarray of bool, shape (n, zones, cases)
        Which readings each case calls wrong.
    variance : ndarray, shape (n, zones, cases)
        R. [m²]
    linear : Linear
        Of all cases.
    spread : ndarray, shape (5, zones)
        Standard deviations of the unknowns but the wander, as of the prior.
    prior : RatePrior
        That prior.
    """

    zones: IntArray
    rows: IntArray
    masked: IntArray
    cause: IntArray
    wrong: BoolArray
    variance: Array
    linear: Linear
    spread: Array
    prior: RatePrior

    def evidence(self, levels: Array, bias: Array, odds: Array) -> tuple[Array, Array]:
        """Return the log chance of each case given all else, but for a constant.

        And the log chance that its unrecorded cause takes metal, not gives it. From
        levels (2, gauged, samples), biases (rows, samples) and log odds of rows to be
        wrong (rows, samples): both (zones, cases, samples) [-].
        """
        from scipy.special import log_ndtr  # noqa: PLC0415 - importing stays light

        left = self.linear.left(
            levels[:, self.zones, None], bias[self.rows][:, :, None]
        )
        # log N(d - G g; 0, S), but for a constant: half the squares of L^-1 (d - G g),
        # and the logs of L's diagonal. To it come the odds of each reading that the
        # case calls wrong, and the chance of its cause.
        white = whitened(self.linear.root, left)
        told = -0.5 * (white**2).sum(axis=0)
        told -= np.log(_diagonal(self.linear.root)).sum(axis=0)
        for own, row in zip(self.wrong, self.rows, strict=True):
            told += own[..., None] * odds[row][:, None]
        told += self._prior[:, None]
        takes = np.zeros_like(told)
        if self.cause.any():
            # A cause only takes. Its Gaussian is cut at nothing: the case counts by the
            # chance, given the readings, that the uncut amount is positive, and twice,
            # since the half that is cut away was as likely before.
            own, sd = self._taking
            acts = self.cause > 0
            score = (own * white[:, :, acts]).sum(axis=0) / sd
            takes[:, acts] = log_ndtr(np.clip(score, -_DEEPEST, None))
            told += takes
            told[:, acts] += np.log(2.0)  # of a half-normal amount
        return told, takes

    @cached_property
    def _taking(self) -> tuple[Array, Array]:
        """Mean of what a cause took by whitened residual, and its sd, where one acts.

        (n, zones, acting cases, samples) and (zones, acting cases, samples) [m].
        """
        acts = self.cause > 0
        variance = (self.spread[EXTRA] ** 2)[:, None, None]
        own = whitened(
            self.linear.root[:, :, :, acts],
            variance * self.linear.slope[EXTRA][:, :, acts],
        )
        return own, np.sqrt(variance - (own**2).sum(axis=0))

    @property
    def _prior(self) -> Array:
        """Log of the prior chance of each case's cause, (cases,) [-]."""
        share, knots = self.prior.extra_share, self.prior.knots
        if share == 0.0:
            return np.zeros(self.cause.size)
        chance = np.where(self.cause > 0, share / knots, 1.0 - share)
        return np.asarray(np.log(chance))

    def case(self, wrong: BoolArray, cause: IntArray) -> tuple[IntArray, BoolArray]:
        """Return the case nearest to what is wrong (rows, samples) and to causes.

        And whether it says just that, both (zones, samples).
        """
        own = wrong[self.rows]
        bits = [
            np.take_along_axis(own, pick[None, :, None], axis=0)[0]
            for pick in self.masked
        ]
        number = np.zeros(own.shape[1:], np.int64)
        for power, bit in enumerate(bits):
            number += bit * 2**power
        number += cause[self.zones] * 2 ** len(bits)
        same = own.sum(axis=0) == np.sum(bits, axis=0) if bits else ~own.any(axis=0)
        return number, np.asarray(same)

    def of(self, case: IntArray) -> Linear:
        """Return the linear model of one case a zone and sample, (zones, samples)."""
        return Linear(*(self._pick(part, case) for part in self._parts))

    @property
    def _parts(self) -> tuple[Array, Array, Array]:
        return self.linear.slope, self.linear.data, self.linear.root

    @staticmethod
    def _pick(values: Array, case: IntArray) -> Array:
        zones, cases, samples = values.shape[-3:]
        at = (np.arange(zones)[:, None] * cases + case) * samples
        flat = values.reshape(*values.shape[:-3], -1)
        return np.asarray(np.take(flat, at + np.arange(samples), -1, mode="clip"))

    def variance_of(self, case: IntArray) -> Array:
        """Return R of one case a zone and sample, (n, zones, samples) [m²]."""
        return self.variance[:, np.arange(len(case))[:, None], case]

    def wrong_of(self, case: IntArray) -> BoolArray:
        """Return which readings one case a zone calls wrong, (n, zones, samples)."""
        return self.wrong[:, np.arange(len(case))[:, None], case]

    def gain(self, linear: Linear, white: Array) -> Array:
        """Return Σ Jᵀ L⁻ᵀ white, (unknowns, zones, ..., samples)."""
        back = solved(linear.root, white)
        pulled = (linear.slope * back).sum(axis=1)
        return spread_out(self.prior, self.spread, pulled)


def spread_out(prior: RatePrior, spread: Array, pulled: Array) -> Array:
    """Return Σ times (unknowns, zones, ..., samples), in place."""
    tail = (1,) * (pulled.ndim - 2)
    pulled[:OWN] *= (spread**2).reshape(*spread.shape, *tail)
    covariance = prior.wander**2 * prior.correlation
    pulled[WANDER] = np.tensordot(covariance, pulled[WANDER], axes=1)
    return pulled


def whitened(root: Array, values: Array) -> Array:
    """Return L⁻¹ values; L (n, n, ...), values (n, ...)."""
    out = np.empty_like(values)
    for i in range(len(values)):
        rest = values[i]
        for j in range(i):
            rest = rest - root[i, j] * out[j]
        out[i] = rest / root[i, i]
    return out


def solved(root: Array, values: Array) -> Array:
    """Return L⁻ᵀ values; L (n, n, ...), values (n, ...)."""
    out = np.empty_like(values)
    for i in reversed(range(len(values))):
        rest = values[i]
        for j in range(i + 1, len(values)):
            rest = rest - root[j, i] * out[j]
        out[i] = rest / root[i, i]
    return out


def root_of(matrix: Array) -> Array:
    """Return the lower triangular roots of (n, n, ...), in place."""
    n = len(matrix)
    for j in range(n):
        for k in range(j):
            matrix[j:, j] -= matrix[j:, k] * matrix[j, k]
        matrix[j, j] = np.sqrt(matrix[j, j])
        matrix[j + 1 :, j] /= matrix[j, j]
    return matrix


def _diagonal(root: Array) -> Array:
    return root[np.arange(len(root)), np.arange(len(root))]


@dataclass(frozen=True, slots=True)
class Near:
    """Prior, readings, and the linear models of all cases of the gauged zones."""

    prior: RatePrior
    readings: Readings
    blocks: list[Block]
