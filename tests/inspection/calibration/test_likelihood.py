from dataclasses import replace

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from scipy.special import ndtri
from scipy.stats import multivariate_normal

from corrosion.foundation.errors import InputError, LookupFailed
from corrosion.foundation.types import Array
from corrosion.inspection.calibration.likelihood import (
    discrepancy,
    learn,
    log_likelihood,
    shared_log_likelihood,
)
from corrosion.inspection.calibration.measurements import Gauged, gauged
from corrosion.records.dates import When
from corrosion.records.ship import Gauging

S, Z = 4096, 40
EVEN = ndtri((np.arange(S) + 0.5) / S)


def normals(columns: int, seed: int = 1) -> Array:
    rng = np.random.default_rng(seed)
    return np.stack([rng.permutation(EVEN) for _ in range(columns)], axis=1)


def measured(zone: list[int], thickness: list[float]) -> Gauged:
    """Return means of four readings of 0.3 mm each, allowance 0.3 mm."""
    return Gauged(
        zone=np.array(zone),
        thickness=np.array(thickness),
        sd=np.full(len(zone), 0.3e-3),
        readings=np.full(len(zone), 4),
        least=np.zeros(len(zone), np.bool_),
        allowance=0.3e-3,
    )


def test_joint_likelihood_is_the_multivariate_normal() -> None:
    gauging = replace(
        measured([0, 1, 0, 0], [9.1e-3, 8.0e-3, 9.0e-3, 8.8e-3]),
        readings=np.array([4, 1, 9, 2]),
        least=np.array([False, False, False, True]),
    )
    predicted = 9e-3 + 0.4e-3 * normals(4)[:50]
    ours = log_likelihood(predicted, gauging, 3)
    mine = [0, 2, 3]
    noise = [0.3e-3**2 / 4, 0.3e-3**2 / 9, 0.3e-3**2 + 0.3e-3**2]
    joint = multivariate_normal(np.zeros(3), np.diag(noise) + 0.3e-3**2)
    theirs = np.asarray(joint.logpdf(gauging.thickness[mine] - predicted[:, mine]))
    assert ours[:, 0] - ours[0, 0] == pytest.approx(theirs - theirs[0])
    assert (ours[:, 2] == 0.0).all()


def test_departure_is_the_mean_of_prior_and_gaugings_by_precision() -> None:
    gauging = replace(measured([0, 0], [8e-3, 9e-3]), readings=np.array([1, 9]))
    predicted = np.full((S, 2), 10e-3)
    off = discrepancy(predicted, gauging, normals(2))
    precision = np.array([1 / 0.3**2, 1 / 0.3**2, 9 / 0.3**2])
    mean = precision @ [0.0, -2.0, -1.0] / precision.sum()
    assert off[:, 0].mean() * 1e3 == pytest.approx(mean, rel=1e-6)
    assert off[:, 0].std() * 1e3 == pytest.approx(precision.sum() ** -0.5, rel=1e-3)
    assert off[:, 1].std() * 1e3 == pytest.approx(0.3, rel=1e-3)


def test_what_a_zone_says_of_the_shared_unknowns_is_their_marginal_likelihood() -> None:
    # Own part orthogonal to all terms of the response, so that its variance is exact.
    theta = EVEN[:, np.newaxis]
    terms = np.hstack([np.ones((S, 1)), theta, theta**2])
    own = normals(1, seed=5)
    own -= terms @ np.linalg.lstsq(terms, own, rcond=None)[0]
    own *= 0.4e-3 * np.sqrt((S - 3) / (own**2).sum())
    predicted = 9e-3 - 0.5e-3 * theta + own * [1.0, 0.5]
    gauging = measured([0, 0], [8.6e-3, 9.3e-3])
    told = shared_log_likelihood(predicted, gauging, 1, np.exp(theta))[:, 0]
    lever = 0.4e-3 * np.array([1.0, 0.5])
    spread = np.outer(lever, lever) + 0.3e-3**2 * (np.eye(2) / 4 + 1.0)
    joint = multivariate_normal(np.zeros(2), spread)
    exact = np.asarray(joint.logpdf(gauging.thickness - (9e-3 - 0.5e-3 * theta)))
    assert told - told[0] == pytest.approx(exact - exact[0], rel=1e-6)


def test_a_precise_gauging_wins_over_the_estimate() -> None:
    # Forty readings, thirty spreads of the samples away: the plate follows, all but
    # the share that the forty readings leave open.
    gauging = replace(measured([0], [7e-3]), readings=np.array([40]), allowance=0.5e-3)
    predicted = 10e-3 + 0.1e-3 * normals(1)
    learned = learn(predicted, gauging, 1, normals(1, seed=2))
    plate = predicted + discrepancy(predicted, gauging, normals(1, seed=3))
    before, noise = 0.1**2 + 0.5**2, 0.3**2 / 40
    expected = 10e-3 - 3e-3 * before / (before + noise)
    assert learned.weights[:, 0] @ plate[:, 0] == pytest.approx(expected, abs=0.02e-3)


def test_hundreds_of_gaugings_leave_samples_alive_and_teach_the_others() -> None:
    theta, phi = normals(1), normals(Z, seed=4)
    plate = 12e-3 - 1e-3 * np.exp(0.3 * theta + 0.3 * phi)
    zone = np.repeat(np.arange(Z - 5), 12)
    truth = int(np.argmin(np.abs(theta[:, 0] - 1.0)))
    gauging = measured(list(zone), list(plate[truth, zone]))
    learned = learn(plate[:, zone], gauging, Z, theta)
    assert learned.effective.min() > 0.04 * S
    assert learned.weights.sum(axis=0) == pytest.approx(1.0)
    assert learned.shared @ theta[:, 0] == pytest.approx(1.0, abs=0.35)
    for never in range(Z - 5, Z):
        assert learned.weights[:, never] == pytest.approx(learned.shared)
        assert abs(learned.weights[:, never] @ phi[:, never]) < 0.15


def test_a_neighbours_own_unknown_teaches_nothing() -> None:
    # Zone 0 is gauged far down, only because of its own unknown: zone 1 stays.
    own = normals(2)
    predicted = 10e-3 + 0.5e-3 * own[:, [0]]
    gauging = measured([0], [9.2e-3])
    learned = learn(predicted, gauging, 2, normals(3, seed=7))
    assert learned.weights[:, 0] @ own[:, 0] < -0.8
    assert learned.weights[:, 1] @ own[:, 1] == pytest.approx(0.0, abs=0.1)


@settings(deadline=None, max_examples=15)
@given(seed=st.integers(0, 2**32 - 1))
def test_order_of_gaugings_and_unit_of_unknowns_change_nothing(seed: int) -> None:
    rng = np.random.default_rng(seed)
    theta = rng.normal(size=(200, 2))
    zone = rng.integers(0, 4, 9)
    predicted = 9e-3 + 1e-3 * (theta[:, [0]] + rng.normal(size=(200, 4)))[:, zone]
    thickness = 9e-3 + 1e-3 * rng.normal(size=9)
    before = learn(predicted, measured(list(zone), list(thickness)), 4, theta)
    turn = rng.permutation(9)
    gauging = measured(list(zone[turn]), list(thickness[turn]))
    after = learn(predicted[:, turn], gauging, 4, np.exp(theta))
    assert after.weights == pytest.approx(before.weights, rel=1e-6, abs=1e-9)


def test_few_samples_and_constant_unknowns_do_no_harm() -> None:
    for samples in (1, 2, 9):
        predicted = np.full((samples, 1), 9e-3)
        gauging = measured([0], [8e-3])
        told = shared_log_likelihood(predicted, gauging, 1, np.ones((samples, 3)))
        assert np.isfinite(told).all()
        assert np.ptp(told) == pytest.approx(0.0, abs=1e-9)


def test_reads_the_records() -> None:
    year = When(text="2011", earliest=0.0, latest=1.0)
    rows = [
        Gauging(zone="B", date=year, thickness=8e-3, readings=9, kind="least"),
        Gauging(zone="A", date=year, thickness=9e-3, sd=0.1e-3),
    ]
    found = gauged(rows, ["A", "B"])
    assert found.zone.tolist() == [1, 0]
    assert found.sd == pytest.approx([0.3e-3, 0.1e-3])
    assert found.least.tolist() == [True, False]
    with pytest.raises(LookupFailed, match="no zone 'A'; known: M1"):
        gauged(rows[1:], ["M1"])


def test_names_what_is_impossible() -> None:
    with pytest.raises(InputError, match=r"thickness must be > 0 m, got -0\.001 m at"):
        measured([0, 1], [1e-3, -1e-3])
    with pytest.raises(InputError, match=r"sd must be > 0 m, got nan m"):
        replace(measured([0], [1e-3]), sd=np.array([np.nan]))
    with pytest.raises(InputError, match=r"readings must be > 0, got 0 at gauging 1"):
        replace(measured([0], [1e-3]), readings=np.array([0]))
    with pytest.raises(InputError, match=r"allowance must be > 0 m, got 0 m"):
        replace(measured([0], [1e-3]), allowance=0.0)
