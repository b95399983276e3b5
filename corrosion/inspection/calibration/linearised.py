r"""A Gaussian near the posterior of each sample, from which moves are proposed.

The loss is made linear about a point x* of each sample,

.. math:: d = J x + G g + \epsilon, \qquad x \sim N(0, \Sigma_z), \quad
          g \sim N(g_0, \Lambda_0^{-1}), \quad \epsilon \sim N(0, R)

with the unknowns x of one zone and g of all (shared ones, biases of campaigns). With
:math:`M = (J \Sigma J^T + R)^{-1}` of each zone,

.. math:: \Lambda = \Lambda_0 + \sum_z G^T M G, \qquad
          \hat g = \Lambda^{-1}\bigl(\Lambda_0 g_0 + \sum_z G^T M d\bigr), \qquad
          \hat x(g) = K (d - G g), \quad K = \Sigma J^T M

and a draw of x given g is x₀ + K (d − G g − J x₀ − ε) with x₀ and ε from their priors.
The reference is prior times *linear* likelihood, so that the target over the reference
is likelihood over linear likelihood: the prior drops out.
"""

from dataclasses import dataclass

import numpy as np

from corrosion.foundation.types import Array
from corrosion.inspection.calibration.rate_model import (
    INSIDE,
    LEVEL,
    RatePrior,
    RateState,
)
from corrosion.inspection.calibration.readings import Readings
from corrosion.inspection.calibration.slips import chance_wrong

__all__ = ["Linearised", "linearised", "nearest"]

_STEPS = 3
_FARTHEST = 1.5  # of a logarithm of a rate, in one step


@dataclass(frozen=True, slots=True)
class Linearised:
    """The linear model of every sample; "rows" are those of its gauged zones, padded.

    Attributes
    ----------
    data : ndarray, shape (samples, gauged, rows)
        d of the module's text. [m]
    zone : ndarray, shape (samples, gauged, rows, unknowns)
        J.
    common : ndarray, shape (samples, gauged, rows, shared + campaigns)
        G.
    gain : ndarray, shape (samples, gauged, unknowns, rows)
        K.
    variance : ndarray, shape (samples, gauged, rows)
        R. [m²]
    mean : ndarray, shape (samples, shared + campaigns)
        ĝ.
    root : ndarray, shape (samples, shared + campaigns, shared + campaigns)
        Root of the covariance of g: Λ⁻¹ = root rootᵀ.
    """

    data: Array
    zone: Array
    common: Array
    gain: Array
    variance: Array
    mean: Array
    root: Array

    def without_common(self, common: Array) -> Array:
        """Return d − G g, (samples, gauged, rows) [m]."""
        return np.asarray(self.data - np.einsum("szng,sg->szn", self.common, common))

    def off(self, left: Array, zones: Array) -> Array:
        """Return the residual of the linear model, (samples, gauged, rows) [m]."""
        return np.asarray(left - np.einsum("sznu,szu->szn", self.zone, zones))

    def mean_zones(self, left: Array) -> Array:
        """Return x̂ given d − G g, (samples, gauged, unknowns)."""
        return np.asarray(np.einsum("szun,szn->szu", self.gain, left))

    def draw_zones(self, rng: np.random.Generator, prior: Array, left: Array) -> Array:
        """Return a draw of x given d − G g and a draw from its prior."""
        noise = rng.standard_normal(left.shape) * np.sqrt(self.variance)
        return np.asarray(prior + self.mean_zones(self.off(left, prior) - noise))

    def draw_common(self, rng: np.random.Generator) -> Array:
        """Return a draw of g, (samples, shared + campaigns)."""
        normal = rng.standard_normal(self.mean.shape)
        return np.asarray(self.mean + np.einsum("sgh,sh->sg", self.root, normal))


def linearised(
    state: RateState,
    prior: RatePrior,
    readings: Readings,
    wrong: Array | None = None,
) -> Linearised:
    """Return the linear model about a state.

    Parameters
    ----------
    state : RateState
        Where it touches.
    prior : RatePrior
        The prior of all unknowns.
    readings : Readings
        What was read.
    wrong : ndarray, shape (samples, rows of the readings), optional
        Chance that each reading is wrong: it counts by so much less; None: as it is at
        ``state``. [-]

    Returns
    -------
    Linearised
        About a gauged zone's rows.
    """
    samples, gauged = readings.samples, readings.zones
    own = state.zones[:, gauged]
    flat = own.reshape(-1, own.shape[-1])
    levels = readings.levels(state.shared, prior).reshape(-1, 2)
    loss, slope = readings.slope(flat, levels)
    shape = (samples, gauged.size, -1)
    loss, slope = loss.reshape(shape), slope.reshape(*shape[:2], *slope.shape[1:])
    campaigns = state.bias.shape[1]
    one_hot = np.eye(campaigns)[readings.campaign[readings.rows]]
    common = np.concatenate(
        [
            slope[..., LEVEL, None] * prior.shared[:, gauged].T[:, None, :]
            + slope[..., INSIDE, None] * prior.inside_shared[:, gauged].T[:, None, :],
            np.broadcast_to(-one_hot, (samples, *one_hot.shape)),
        ],
        axis=-1,
    )
    data = readings.gone[readings.rows] - loss
    data = data + np.einsum("sznu,szu->szn", slope, own)
    count = state.shared.shape[1]
    data += np.einsum("szng,sg->szn", common[..., :count], state.shared)
    off = readings.gone[readings.rows] + np.einsum("znc,sc->szn", one_hot, state.bias)
    if wrong is None:
        doubt = chance_wrong(off - loss, state.slips, readings, readings.rows)
    else:
        doubt = wrong[:, readings.rows]
    sound = readings.sd[readings.rows] ** 2
    variance = 1.0 / ((1.0 - doubt) / sound + doubt / (sound + readings.slip_sd**2))
    real = readings.real[..., None]
    slope, common = slope * real, common * real
    data = data * readings.real
    covariance = prior.covariance(gauged)
    spread = np.einsum("zuv,sznv->szun", covariance, slope)
    inner = np.einsum("sznu,szum->sznm", slope, spread)
    inner[..., range(inner.shape[-1]), range(inner.shape[-1])] += variance
    inverse = np.linalg.inv(inner)
    gain = np.einsum("szun,sznm->szum", spread, inverse)
    light = np.einsum("sznm,szmg->szng", inverse, common)
    first = np.concatenate(
        [np.ones(state.shared.shape[1]), readings.surfaces.moments[1] ** -2.0]
    )
    at = np.concatenate([np.zeros(state.shared.shape[1]), readings.surfaces.moments[0]])
    precision = np.einsum("szng,sznh->sgh", common, light) + np.diag(first)
    pull = np.einsum("szng,szn->sg", light, data) + first * at
    root = np.linalg.inv(np.linalg.cholesky(precision)).swapaxes(1, 2)
    mean = np.einsum("sgh,skh,sk->sg", root, root, pull)
    return Linearised(
        data=data,
        zone=slope,
        common=common,
        gain=gain,
        variance=variance,
        mean=mean,
        root=root,
    )


def nearest(state: RateState, prior: RatePrior, readings: Readings) -> Linearised:
    """Return the linear model about each sample's likeliest point (Gauss-Newton).

    It hangs on what is not moved (the records' losses, a sample each) and on where the
    search began, not on where the samples are later: moves that propose from it keep
    the posterior.
    """
    model = linearised(state, prior, readings)
    count = state.shared.shape[1]
    for _ in range(_STEPS):
        zones = state.zones.copy()
        there = model.mean_zones(model.without_common(model.mean))
        step = there - zones[:, readings.zones]
        zones[:, readings.zones] += np.clip(step, -_FARTHEST, _FARTHEST)
        state = RateState(
            shared=model.mean[:, :count],
            zones=zones,
            bias=model.mean[:, count:],
            surface=state.surface,
            slips=state.slips,
            spread=state.spread,
            odd=state.odd,
        )
        model = linearised(state, prior, readings)
    return model
