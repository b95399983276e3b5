"""Which readings are wrong, how often this crew slips, and each campaign's bias."""

from typing import Final

import numpy as np

from corrosion.foundation.types import Array, BoolArray, IntArray
from corrosion.inspection.calibration.readings import Readings, Surfaces

__all__ = [
    "chance_wrong",
    "draw_biases",
    "draw_share",
    "draw_surfaces",
    "log_surfaces",
]

_SHARES: Final = np.geomspace(1e-5, 0.5, 64)  # beyond, readings would mean nothing


def chance_wrong(off: Array, slips: Array, readings: Readings) -> Array:
    """Return the chance that each reading is wrong, in each sample.

    Parameters
    ----------
    off : ndarray, shape (samples, rows)
        Read less foreseen, the campaign's bias counted in. [m]
    slips : ndarray, shape (samples,)
        Share of single readings that are wrong. [-]
    readings : Readings
        The rows.

    Returns
    -------
    ndarray, shape (samples, rows)
        Chances. [-]
    """
    odds = readings.odds(slips)
    odds = odds + readings.log_slipped(off) - readings.log_sound(off)
    return np.asarray(1.0 / (1.0 + np.exp(np.clip(-odds, -700.0, 700.0))))


def draw_share(rng: np.random.Generator, wrong: BoolArray, readings: Readings) -> Array:
    """Draw the share of wrong readings given which are, shape (samples,) [-].

    Parameters
    ----------
    rng : numpy.random.Generator
        Random numbers.
    wrong : ndarray of bool, shape (samples, rows)
        Which readings are wrong.
    readings : Readings
        The rows: a mean that agrees with others says less of single readings.

    Returns
    -------
    ndarray, shape (samples,)
        Share of single readings that are wrong, on a grid of its logarithm. [-]
    """
    odds = readings.odds(_SHARES)
    a, b = readings.slip_prior
    weight = wrong @ odds.T - np.logaddexp(0.0, odds).sum(axis=1)
    # of a beta distribution, by the logarithm of the share
    weight = weight + a * np.log(_SHARES) + (b - 1.0) * np.log1p(-_SHARES)
    reached = np.cumsum(np.exp(weight - weight.max(axis=1, keepdims=True)), axis=1)
    lot = rng.random((len(wrong), 1)) * reached[:, -1:]
    return np.asarray(_SHARES[(reached < lot).sum(axis=1)])


def log_surfaces(bias: Array, kinds: Surfaces) -> Array:
    """Return the log prior of biases over a Gaussian of the same moments, (n,) [-].

    Summed over what the surfaces may have been; biases (n, campaigns) [m].
    """
    mean, sd = kinds.moments
    own = np.log(kinds.sd) + 0.5 * ((bias[..., None] - kinds.mean) / kinds.sd) ** 2
    with np.errstate(divide="ignore"):
        told = np.logaddexp.reduce(np.log(kinds.chance) - own, axis=-1)
    told += np.log(sd) + 0.5 * ((bias - mean) / sd) ** 2
    return np.asarray(told.sum(axis=1))


def draw_surfaces(
    rng: np.random.Generator, bias: Array, readings: Readings
) -> IntArray:
    """Draw the surface of each campaign given its bias, (samples, campaigns)."""
    kinds = readings.surfaces
    with np.errstate(divide="ignore"):
        weight = np.log(kinds.chance) - np.log(kinds.sd)
    weight = weight - 0.5 * ((bias[..., None] - kinds.mean) / kinds.sd) ** 2
    reached = np.cumsum(np.exp(weight - weight.max(axis=-1, keepdims=True)), axis=-1)
    drawn = rng.random(bias.shape) * reached[..., -1]
    return np.asarray((reached < drawn[..., None]).sum(axis=-1), np.int64)


def draw_biases(
    rng: np.random.Generator,
    off: Array,
    wrong: BoolArray,
    surface: IntArray,
    offset_sd: Array,
    readings: Readings,
) -> tuple[Array, Array]:
    r"""Draw all campaigns' biases and all gauged zones' offsets together, exactly.

    Parameters
    ----------
    rng : numpy.random.Generator
        Random numbers.
    off : ndarray, shape (samples, rows)
        Thickness read less foreseen without offset and bias; positive: too thick. [m]
    wrong : ndarray of bool, shape (samples, rows)
        Which readings are wrong.
    surface : ndarray of int, shape (samples, campaigns)
        Which surface each campaign read on.
    offset_sd : ndarray, shape (zones,)
        Standard deviation of the thickness as rolled. [m]
    readings : Readings
        The rows.

    Returns
    -------
    bias : ndarray, shape (samples, campaigns)
        By how much each campaign reads too thick. [m]
    offset : ndarray, shape (samples, gauged zones)
        By how much each plate was rolled thicker than ordered. [m]

    Notes
    -----
    Given the losses a reading is offset + bias + error, all Gaussian. With weights w
    (inverse variances), the offsets integrated out of the precision of the biases:

    .. math:: P_{cd} = \delta_{cd} \Bigl(\sigma_c^{-2} + \sum_{r \in c} w_r\Bigr)
              - \sum_z \frac{W_{zc} W_{zd}}{\Lambda_z}, \qquad
              \Lambda_z = \tau_z^{-2} + \sum_{r \in z} w_r
    """
    kinds = readings.surfaces
    weight = 1.0 / (readings.sd**2 + wrong * readings.slip_sd**2)
    zones, campaigns = readings.zones, kinds.chance.shape[0]
    cell = np.searchsorted(zones, readings.zone) * campaigns + readings.campaign
    by = np.argsort(cell, kind="stable")
    cells, first = np.unique(cell[by], return_index=True)

    def by_cell(values: Array) -> Array:
        table = np.zeros((len(values), zones.size * campaigns))
        table[:, cells] = np.add.reduceat(values[:, by], first, axis=1)
        return table.reshape(len(values), zones.size, campaigns)

    w, wx = by_cell(weight), by_cell(weight * off)
    own = offset_sd[zones] ** -2.0 + w.sum(axis=2)
    light = w / own[..., None]
    mean, sd = kinds.mean[surface], kinds.sd[surface]
    precision = -np.einsum("szc,szd->scd", light, w)
    precision[:, range(campaigns), range(campaigns)] += sd**-2.0 + w.sum(axis=1)
    pull = (
        mean / sd**2 + wx.sum(axis=1) - np.einsum("szc,sz->sc", light, wx.sum(axis=2))
    )
    root = np.linalg.cholesky(precision)
    half = np.linalg.solve(root, pull[..., None])
    half += rng.standard_normal(half.shape)
    bias = np.linalg.solve(root.swapaxes(1, 2), half)[..., 0]
    left = wx.sum(axis=2) - np.einsum("szc,sc->sz", w, bias)
    offset = left / own + rng.standard_normal(own.shape) / np.sqrt(own)
    return bias, offset
