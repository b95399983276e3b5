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

Model and plate differ by more than the unknowns say: every zone has a constant
departure δ_z ~ N(0, allowance²) between model and plate (an unrecorded insert, a plate
ordered thicker). It is integrated out of the likelihood and given back by
:func:`departure`, so that a gauged zone moves to its gauging even where no sample
fits.

Limits: an unknown that several zones share but that is not among the shared columns
handed in (a single fault's current) is learned by each gauged zone for itself; strongly
skewed responses make M_k wider than it should be, which learns too little, not too
much; where the weight would still rest on few samples the likelihood is tempered, and
the exponent and the effective number of samples are reported.
"""

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from corrosion import basis
from corrosion.errors import InputError, LookupFailed
from corrosion.inspection.weights import Learned, zone_weights
from corrosion.records.ship import Gauging
from corrosion.types import Array, BoolArray, IntArray
from corrosion.units import MM

__all__ = [
    "Gauged",
    "departure",
    "gauged",
    "learn",
    "log_likelihood",
    "shared_log_likelihood",
]


@dataclass(frozen=True, slots=True, kw_only=True)
class Gauged:
    """Thickness measurements as arrays, one entry a gauging.

    Attributes
    ----------
    zone : ndarray of int, shape (G,)
        Position on the zone axis.
    thickness : ndarray, shape (G,)
        Mean of the readings, or the least found. [m]
    sd : ndarray, shape (G,)
        Standard uncertainty of one reading. [m]
    readings : ndarray of int, shape (G,)
        Number of readings.
    least : ndarray of bool, shape (G,)
        True where the least found is given, not the mean.
    allowance : float
        Standard deviation of a zone's departure from the model. [m]

    Raises
    ------
    InputError
        If a thickness, an uncertainty, a count or the allowance is not positive.
    """

    zone: IntArray
    thickness: Array
    sd: Array
    readings: IntArray
    least: BoolArray
    allowance: float

    def __post_init__(self) -> None:
        for name, unit in (("thickness", " m"), ("sd", " m"), ("readings", "")):
            values = np.asarray(getattr(self, name))
            bad = np.flatnonzero(~(values > 0))
            if bad.size:
                msg = (
                    f"Gauged: {name} must be > 0{unit}, got {values[bad[0]]:g}{unit} "
                    f"at gauging {bad[0] + 1} ({bad.size} of {values.size})."
                )
                raise InputError(msg)
        if not self.allowance > 0.0:
            msg = f"Gauged: allowance must be > 0 m, got {self.allowance:g} m."
            raise InputError(msg)

    @property
    def variance(self) -> Array:
        """Variance of each gauging about the zone's plate, shape (G,), in m².

        The mean of n readings has sd²/n. The least found is one reading of a spot
        that the pit model describes no better than the allowance.
        """
        of_mean = self.sd**2 / self.readings
        of_least = self.sd**2 + self.allowance**2
        return np.where(self.least, of_least, of_mean)


def gauged(gaugings: Sequence[Gauging], zones: Sequence[str]) -> Gauged:
    """Return the gaugings of the records as arrays.

    Parameters
    ----------
    gaugings : sequence of Gauging
        As written; a blank uncertainty is taken from the basis table.
    zones : sequence of str
        Zone ids, in the order of the zone axis.

    Returns
    -------
    Gauged
        In the same order.

    Raises
    ------
    LookupFailed
        If a gauging names no such zone.
    """
    position = {zone: index for index, zone in enumerate(zones)}
    for row in gaugings:
        if row.zone not in position:
            unknown = LookupFailed.among("zone", row.zone, zones)
            raise unknown
    blank = basis.value("gauging_sd_mm") * MM
    return Gauged(
        zone=np.array([position[row.zone] for row in gaugings], np.int64),
        thickness=np.array([row.thickness for row in gaugings], np.float64),
        sd=np.array([blank if row.sd is None else row.sd for row in gaugings], float),
        readings=np.array([row.readings for row in gaugings], np.int64),
        least=np.array([row.kind == "least" for row in gaugings], np.bool_),
        allowance=basis.value("model_sd_mm") * MM,
    )


def log_likelihood(predicted: Array, gauged: Gauged, zones: int) -> Array:
    r"""Return the log-likelihood of all gaugings of each zone together.

    Several gaugings of a zone share its departure δ from the model, so that ten
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
    .. math:: \ell_z = -\tfrac12 \Bigl( \sum_g \frac{r_g^2}{v_g}
              - \frac{(\sum_g r_g / v_g)^2}{1/\tau^2 + \sum_g 1/v_g} \Bigr)

    with residuals r, variances v and allowance τ (Sherman and Morrison's inverse).
    """
    precision = _by_zone(1.0 / gauged.variance, gauged, zones)
    residual = gauged.thickness - predicted
    pull = residual @ precision
    total = gauged.allowance**-2 + precision.sum(axis=0)
    return np.asarray(-0.5 * (residual**2 @ precision - pull**2 / total))


def departure(predicted: Array, gauged: Gauged, zones: int, normal: Array) -> Array:
    """Return what to add to each zone's thickness so that it meets its gaugings.

    Parameters
    ----------
    predicted : ndarray, shape (S, G)
        As in :func:`log_likelihood`. [m]
    gauged : Gauged
        What was measured, G entries.
    zones : int
        Number of zones Z.
    normal : ndarray, shape (S, Z)
        Standard normal numbers, one column a zone. [-]

    Returns
    -------
    ndarray, shape (S, Z)
        Samples of the departure of plate from model given the gaugings, for use with
        the weights of :func:`learn`; a zone never gauged keeps the allowance's own
        spread about zero. Positive: thicker than the model. [m]
    """
    precision = _by_zone(1.0 / gauged.variance, gauged, zones)
    total = gauged.allowance**-2 + precision.sum(axis=0)
    mean = (gauged.thickness - predicted) @ precision / total
    return np.asarray(mean + normal / np.sqrt(total))


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
    for zone in np.unique(gauged.zone):
        mine = np.flatnonzero(gauged.zone == zone)
        spread = own[mine] @ own[mine].T / max(samples - terms, 1)
        spread += np.diag(gauged.variance[mine]) + gauged.allowance**2
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


def _by_zone(values: Array, gauged: Gauged, zones: int) -> Array:
    """Spread one value a gauging into a (G, Z) matrix, each in its zone's column."""
    matrix = np.zeros((values.size, zones))
    matrix[np.arange(values.size), gauged.zone] = values
    return matrix


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
