"""Gaugings teach: measured thickness gives each sample of the estimate its weight.

The samples differ in *shared* unknowns θ (the natural loss of this ship, the share of
alternating current that dissolves steel, the shore earth) and in unknowns φ of each
zone alone (its bare share, its pits), drawn from independent columns. A gauged zone z
with thickness p_z(θ, φ_z) has the likelihood L_z(θ, φ_z), so that

    weight of a sample for zone z  ∝  L_z(θ, φ_z) · Π_{k≠z} M_k(θ),
    M_k(θ) = ∫ L_k(θ, φ_k) p(φ_k) dφ_k.

A zone's own gauging speaks of its own unknowns; the gaugings of other zones reach it
through the shared unknowns only. That is exact because the columns of φ are
independent: given θ, another zone's gauging says nothing about φ_z. Multiplying
the raw likelihoods of hundreds of gaugings instead would be unbiased and useless: one
lucky draw of all φ at once would carry the whole weight. M_k is approximated by a
normal about a quadratic response of p_k to the normal scores of θ, whose residual is
the part that the zone's own unknowns explain.

Model and plate differ by more than the unknowns say: every zone has a discrepancy δ_z
between model and plate, normal about zero, of two parts: one that was there from the
beginning (an unrecorded insert, a plate ordered thicker; the allowance) and one that
wanders from year to year (wear, a loss that no record explains; the drift, a Wiener
process since she was built). It is integrated out of the likelihood and given back by
:func:`discrepancy`, so that a gauged zone moves to its latest gauging even where no
sample fits, and a loss between two campaigns is believed.

Limits: an unknown that several zones share but that is not among the shared columns
handed in (a single fault's current) is learned by each gauged zone for itself; strongly
skewed responses make M_k wider than it should be, which learns too little, not too
much; where the weight would still rest on few samples the likelihood is tempered, and
the exponent and the effective number of samples are reported.
"""

from collections.abc import Iterator

import numpy as np

from corrosion.foundation.types import Array, IntArray
from corrosion.inspection.calibration.measurements import Gauged
from corrosion.inspection.calibration.weights import Learned, zone_weights

__all__ = [
    "discrepancy",
    "learn",
    "log_likelihood",
    "shared_log_likelihood",
]


def log_likelihood(predicted: Array, gauged: Gauged, zones: int) -> Array:
    r"""Return the log-likelihood of all gaugings of each zone together.

    Several gaugings of a zone share its discrepancy δ from the model, so that ten
    campaigns cannot prove the model right ten times over.

    Parameters
    ----------
    predicted : ndarray, shape (S, G)
        Thickness at the gauging's date: the zone's mean, or the least over the spots
        looked at where the least was written. [m]
    gauged : Gauged
        What was measured, G entries.
    zones : int
        Number of zones Z.

    Returns
    -------
    ndarray, shape (S, Z)
        Up to a constant of each zone; 0 where a zone was never gauged. [-]

    Notes
    -----
    .. math:: \ell_z = -\tfrac12 r_z^T (C_z + V_z)^{-1} r_z

    with the residuals r of the zone's gaugings, the covariance C of their departures
    and the diagonal V of their variances.
    """
    residual = (gauged.thickness - predicted).T
    result = np.zeros((predicted.shape[0], zones))
    for zone, mine in _zones(gauged):
        solved = np.linalg.solve(gauged.within(mine), residual[mine])
        result[:, zone] = -0.5 * (residual[mine] * solved).sum(axis=0)
    return result


def discrepancy(
    predicted: Array, gauged: Gauged, normal: Array, *, age: float = 0.0
) -> Array:
    """Return what to add to each zone's thickness so that it meets its gaugings.

    Parameters
    ----------
    predicted : ndarray, shape (S, G)
        As in :func:`log_likelihood`. [m]
    gauged : Gauged
        What was measured, G entries.
    normal : ndarray, shape (S, Z)
        Standard normal numbers, one column a zone. [-]
    age : float, optional
        Age of the ship at which the thickness is wanted. [s]

    Returns
    -------
    ndarray, shape (S, Z)
        Samples of the discrepancy of plate from model given the gaugings, for use with
        the weights of :func:`learn`; a zone never gauged keeps its whole spread about
        zero. Positive: thicker than the model. [m]

    Notes
    -----
    The normal conditional on the zone's gaugings, with k the covariance of the
    discrepancy now with theirs: mean :math:`k^T (C + V)^{-1} r`, variance
    :math:`c - k^T (C + V)^{-1} k`.
    """
    whole = gauged.allowance**2 + gauged.drift**2 * age
    result: Array = np.sqrt(whole) * normal
    for zone, mine in _zones(gauged):
        common = gauged.common(mine, age)
        pull = np.linalg.solve(gauged.within(mine), common)
        rest = np.sqrt(max(whole - float(common @ pull), 0.0))
        mean = (gauged.thickness[mine] - predicted[:, mine]) @ pull
        result[:, zone] = mean + rest * normal[:, zone]
    return result


def shared_log_likelihood(
    predicted: Array, gauged: Gauged, zones: int, shared: Array
) -> Array:
    """Return what each zone's gaugings say of the shared unknowns alone.

    Parameters
    ----------
    predicted : ndarray, shape (S, G)
        As in :func:`log_likelihood`. [m]
    gauged : Gauged
        What was measured, G entries.
    zones : int
        Number of zones Z.
    shared : ndarray, shape (S, P)
        The unknowns that all zones share, in any unit: only their ranks are used.

    Returns
    -------
    ndarray, shape (S, Z)
        log M of the module's text, up to a constant of each zone; 0 where a zone was
        never gauged. [-]
    """
    response = _response(shared)
    samples, terms = response.shape
    fitted = (predicted.T @ response) @ response.T
    own = predicted.T - fitted
    miss = gauged.thickness[:, np.newaxis] - fitted
    result = np.zeros((samples, zones))
    for zone, mine in _zones(gauged):
        spread = own[mine] @ own[mine].T / max(samples - terms, 1)
        spread += gauged.within(mine)
        solved = np.linalg.solve(spread, miss[mine])
        result[:, zone] = -0.5 * (miss[mine] * solved).sum(axis=0)
    return result


def learn(predicted: Array, gauged: Gauged, zones: int, shared: Array) -> Learned:
    """Return what the gaugings teach: the weights of the samples for each zone.

    Parameters
    ----------
    predicted : ndarray, shape (S, G)
        As in :func:`log_likelihood`. [m]
    gauged : Gauged
        What was measured, G entries.
    zones : int
        Number of zones Z.
    shared : ndarray, shape (S, P)
        The unknowns that all zones share, in any unit.

    Returns
    -------
    Learned
        Weights, effective numbers and tempers.
    """
    return zone_weights(
        log_likelihood(predicted, gauged, zones),
        shared_log_likelihood(predicted, gauged, zones, shared),
    )


def _zones(gauged: Gauged) -> Iterator[tuple[int, IntArray]]:
    """Yield each gauged zone with the positions of its gaugings."""
    for zone in np.unique(gauged.zone):
        yield int(zone), np.flatnonzero(gauged.zone == zone)


def _response(shared: Array) -> Array:
    """Return orthonormal constant, linear and quadratic terms of normal scores.

    At most a quarter as many as there are samples, the linear ones first.
    """
    from scipy.special import ndtri  # noqa: PLC0415 - importing corrosion stays light

    samples = shared.shape[0]
    varied = shared[:, np.ptp(shared, axis=0) > 0.0]
    ranks = np.argsort(np.argsort(varied, axis=0, kind="stable"), axis=0)
    scores = ndtri((ranks + 0.5) / samples)
    terms = np.hstack([np.ones((samples, 1)), scores, scores**2])
    return np.linalg.qr(terms[:, : max(1, samples // 4)])[0]
