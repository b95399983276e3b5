"""Gaugings against posteriors that have a closed form."""

import numpy as np
import pytest
from scipy.special import ndtri

from corrosion.foundation.types import Array
from corrosion.inspection.calibration.likelihood import discrepancy, learn
from corrosion.inspection.calibration.measurements import Gauged

SAMPLES = 2**13
RNG = np.random.default_rng(20261125)


def scores(columns: int) -> Array:
    """Return standard normal columns, stratified and independently shuffled."""
    even = ndtri((np.arange(SAMPLES) + 0.5) / SAMPLES)
    return np.stack([RNG.permutation(even) for _ in range(columns)], axis=1)


def gaugings(zone: list[int], measured: list[float], readings: list[int]) -> Gauged:
    return Gauged(
        zone=np.array(zone),
        thickness=np.array(measured),
        sd=np.full(len(zone), 0.4),
        readings=np.array(readings),
        least=np.zeros(len(zone), np.bool_),
        allowance=0.3,
    )


@pytest.mark.published(
    source="normal prior, normal likelihood (any text on Bayesian statistics)",
    where="posterior mean and variance of the conjugate pair",
    status="computed",
)
def test_one_gauging_of_one_zone() -> None:
    # Thickness = model + discrepancy ~ N(10, 0.8² + 0.3²), gauged 9.2 ± 0.4/√4.
    model = 10.0 + 0.8 * scores(1)
    gauged = gaugings([0], [9.2], [4])
    learned = learn(model, gauged, 1, scores(1))
    thickness = model + discrepancy(model, gauged, scores(1))
    weight = learned.weights[:, 0]
    mean = weight @ thickness[:, 0]
    spread = np.sqrt(weight @ (thickness[:, 0] - mean) ** 2)
    before, noise = 0.8**2 + 0.3**2, 0.4**2 / 4
    assert mean == pytest.approx(10.0 - 0.8 * before / (before + noise), abs=0.005)
    assert spread == pytest.approx((1 / before + 1 / noise) ** -0.5, rel=0.02)


@pytest.mark.published(
    source="multivariate normal conditioning (any text on Bayesian statistics)",
    where="posterior of a hierarchical normal model",
    status="computed",
)
def test_a_gauged_zone_teaches_its_neighbours_through_what_they_share() -> None:
    # Five zones p_z = 10 − θ_z-factor·θ − φ_z; three gauged, one of them twice.
    lever = np.array([0.5, 0.4, 0.6, 0.5, 0.3])
    own = np.array([0.3, 0.4, 0.2, 0.3, 0.3])
    theta, phi = scores(1), scores(5)
    model = 10.0 - theta * lever - phi * own
    gauged = gaugings([0, 1, 1, 2], [9.4, 9.5, 9.6, 9.3], [4, 1, 2, 1])
    predicted = model[:, gauged.zone]
    learned = learn(predicted, gauged, 5, theta)
    thickness = model + discrepancy(predicted, gauged, scores(5))
    mean = (learned.weights * thickness).sum(axis=0)
    spread = np.sqrt((learned.weights * (thickness - mean) ** 2).sum(axis=0))

    prior = np.outer(lever, lever) + np.diag(own**2 + 0.3**2)
    see = np.zeros((4, 5))
    see[np.arange(4), gauged.zone] = 1.0
    noise = np.diag(gauged.sd**2 / gauged.readings)
    gain = prior @ see.T @ np.linalg.inv(see @ prior @ see.T + noise)
    expected = 10.0 + gain @ (gauged.thickness - 10.0)
    variance = np.diag(prior - gain @ see @ prior)
    assert mean == pytest.approx(expected, abs=0.012)
    assert spread == pytest.approx(np.sqrt(variance), rel=0.03)
    assert learned.shared_temper == 1.0
    assert learned.temper == pytest.approx(1.0)


@pytest.mark.published(
    source="Wiener process (any text on stochastic processes)",
    where="conditional on two noisy sightings",
    status="computed",
)
def test_a_wandering_departure_follows_the_latest_gauging() -> None:
    # Sighted at ages 1 and 4 with noise, asked for at age 9: solved by hand from
    # independent increments, W(4) = W(1) + N(0, 3), W(9) = W(4) + N(0, 5).
    drift, noise = 0.3, 0.4**2 / 4
    gauged = Gauged(
        zone=np.array([0, 0]),
        thickness=np.array([9.9, 9.0]),
        sd=np.full(2, 0.4),
        readings=np.array([4, 4]),
        least=np.zeros(2, np.bool_),
        allowance=1e-9,
        age=np.array([1.0, 4.0]),
        drift=drift,
    )
    off = discrepancy(np.full((SAMPLES, 2), 10.0), gauged, scores(1), age=9.0)[:, 0]
    early = drift**2 * 1.0
    gain = early / (early + noise)
    at_one, known = gain * -0.1, early * (1.0 - gain)
    later = known + drift**2 * 3.0
    gain = later / (later + noise)
    at_four, left = at_one + gain * (-1.0 - at_one), later * (1.0 - gain)
    assert off.mean() == pytest.approx(at_four, abs=1e-3)
    assert off.std() == pytest.approx(np.sqrt(left + drift**2 * 5.0), rel=1e-2)
