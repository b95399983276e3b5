"""Which readings are wrong, how often this crew slips, and each campaign's bias."""

from collections.abc import Sequence
from typing import Final

import numpy as np

from corrosion.foundation.assumptions import Assumption, Assumptions
from corrosion.foundation.types import Array, BoolArray, IntArray
from corrosion.foundation.units import MM
from corrosion.inspection.calibration.readings import Readings, Surfaces
from corrosion.inspection.calibration.stratified import normal, uniform
from corrosion.inspection.calibration.triangular import root_of, solved, whitened
from corrosion.records.measured import Gauging

_PARTS: Final = 4
_LEAST: Final = 1e-300  # a chance of which the logarithm is taken
_SHARES: Final = np.geomspace(1e-5, 0.5, 64)  # beyond, readings would mean nothing


def chance_wrong(off: Array, slips: Array, readings: Readings) -> Array:
    """Return the chance that each reading is wrong, in each sample.

    Parameters
    ----------
    off : ndarray, shape (rows, samples)
        Read less foreseen, the campaign's bias counted in. [m]
    slips : ndarray, shape (samples,)
        Share of single readings that are wrong. [-]
    readings : Readings
        The rows.

    Returns
    -------
    ndarray, shape (rows, samples)
        Chances. [-]
    """
    sound = readings.sd[:, None] ** 2
    wrong = sound + readings.slip_sd[:, None] ** 2
    against = off**2 * (0.5 / wrong - 0.5 / sound).astype(off.dtype)
    against += (0.5 * np.log(wrong / sound)).astype(off.dtype)
    against -= readings.odds(slips).T
    return np.asarray(1.0 / (1.0 + np.exp(np.clip(against, -80.0, 80.0))))


def draw_share(rng: np.random.Generator, wrong: BoolArray, readings: Readings) -> Array:
    """Draw the share of wrong readings given which are, shape (samples,) [-].

    Parameters
    ----------
    rng : numpy.random.Generator
        Random numbers.
    wrong : ndarray of bool, shape (rows, samples)
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
    # of a beta distribution, by the logarithm of the share
    weight = a * np.log(_SHARES) + (b - 1.0) * np.log1p(-_SHARES)
    weight = (weight - np.logaddexp(0.0, odds).sum(axis=1))[:, None] + odds @ wrong
    return np.asarray(_SHARES[drawn_of(rng, weight)])


def drawn_of(rng: np.random.Generator, weight: Array) -> IntArray:
    """Return one of the first axis by its log chances."""
    reached = np.cumsum(np.exp(weight - weight.max(axis=0)), axis=0)
    lot = uniform(rng, weight.shape[1:])
    return np.asarray((reached < lot * reached[-1]).sum(axis=0))


def _of_surfaces(bias: Array, kinds: Surfaces) -> Array:
    """Return the log prior by surface, (surfaces, campaigns, n) [-]."""
    with np.errstate(divide="ignore"):
        weight = np.log(kinds.chance) - np.log(kinds.sd)
    off = (bias - kinds.mean[:, None, None]) / kinds.sd[:, None, None]
    return np.asarray(weight.T[..., None] - 0.5 * off**2)


def log_surfaces(bias: Array, kinds: Surfaces, mean: Array, sd: Array) -> Array:
    """Return the log prior of biases over a Gaussian of given moments, (n,) [-].

    Summed over what the surfaces may have been; biases (campaigns, n) [m].
    """
    each = np.exp(_of_surfaces(bias, kinds)).sum(axis=0)
    told = np.log(np.maximum(each, _LEAST))
    told += 0.5 * ((bias - mean[:, None]) / sd[:, None]) ** 2
    return np.asarray(told.sum(axis=0))


def draw_surfaces(
    rng: np.random.Generator, bias: Array, readings: Readings
) -> IntArray:
    """Draw the surface of each campaign given its bias, (campaigns, samples)."""
    return drawn_of(rng, _of_surfaces(bias, readings.surfaces))


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
    off : ndarray, shape (rows, samples)
        Thickness read less foreseen without offset and bias; positive: too thick. [m]
    wrong : ndarray of bool, shape (rows, samples)
        Which readings are wrong.
    surface : ndarray of int, shape (campaigns, samples)
        Which surface each campaign read on.
    offset_sd : ndarray, shape (gauged zones,)
        Standard deviation of the thickness as rolled. [m]
    readings : Readings
        The rows.

    Returns
    -------
    bias : ndarray, shape (campaigns, samples)
        By how much each campaign reads too thick. [m]
    offset : ndarray, shape (gauged zones, samples)
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
    sound = readings.sd[:, None] ** 2
    slipped = sound + readings.slip_sd[:, None] ** 2
    weight = np.where(wrong, 1.0 / slipped, 1.0 / sound)
    pulls = weight * off
    campaigns, by_zone = len(surface), readings.one_hot
    of = np.arange(campaigns)[:, None] == readings.campaign
    own = offset_sd[:, None] ** -2.0 + by_zone @ weight
    offset_pull = by_zone @ pulls
    w = np.stack([by_zone[:, one] @ weight[one] for one in of])  # (c, zones, samples)
    light = w / own
    mean, sd = kinds.mean[surface], kinds.sd[surface]
    pull = mean / sd**2 + of @ pulls - np.einsum("czs,zs->cs", light, offset_pull)
    precision = -np.einsum("czs,dzs->cds", light, w)
    precision[range(campaigns), range(campaigns)] += sd**-2.0 + of @ weight
    root = root_of(precision)
    half = whitened(root, pull) + normal(rng, pull.shape)
    bias = solved(root, half)
    left = offset_pull - np.einsum("czs,cs->zs", w, bias)
    offset = left / own + normal(rng, own.shape) / np.sqrt(own)
    return bias, offset


def surfaces_of(
    rows: Sequence[Gauging], campaigns: IntArray, given: Assumptions
) -> Surfaces:
    """Return by how much each campaign (gaugings,) may read too thick."""
    even = given.value("gauging_bias_prepared_mm") * MM
    found = _parts(given["gauging_bias_as_found_mm"])
    paint = _parts(given["gauging_bias_through_paint_mm"])
    of = {
        "prepared": ((0.0, even),),
        "as found": found,
        "through paint": paint,
        "echo to echo": ((0.0, even),),
    }
    kinds = [(name, *part) for name, parts in of.items() for part in parts]
    share = {name: 1.0 / len(parts) for name, parts in of.items()}
    likely = {
        name: given.value(f"surface_{name.replace(' ', '_')}_chance")
        for name in ("prepared", "as found", "through paint")
    }
    weight = [likely.get(name, 0.0) * share[name] for name, *_ in kinds]
    blank = np.array(weight) / sum(weight)  # nobody forgets that it was echo to echo
    chance = np.tile(blank, (campaigns.max() + 1, 1))
    for k, row in enumerate(rows):
        if row.surface is not None:
            chance[campaigns[k]] = [
                share[name] * (row.surface == name) for name, *_ in kinds
            ]
    return Surfaces(
        mean=np.array([mean for _, mean, _ in kinds]),
        sd=np.array([sd for *_, sd in kinds]),
        chance=chance,
    )


def _parts(one: Assumption) -> tuple[tuple[float, float], ...]:
    """Return mean and standard deviation of equal parts of a lognormal, in metres.

    A bias that is never negative as normal distributions, which are drawn exactly.
    """
    from scipy.special import ndtri  # noqa: PLC0415 - importing corrosion stays light

    uniform = (np.arange(200) + 0.5) / 200
    values = one.median * np.exp(np.log(one.geometric_sd) * ndtri(uniform)) * MM
    return tuple((float(h.mean()), float(h.std())) for h in np.split(values, _PARTS))
