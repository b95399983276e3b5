"""Small spreads make the model linear: a Kalman smoother then has the exact answer."""

from dataclasses import replace

import numpy as np
import pytest
from forward_ships import MEMORY, RATE, ship
from scipy.linalg import expm

from corrosion.foundation.types import Array
from corrosion.foundation.units import MM
from corrosion.inspection.calibration.rate_model import OWN
from corrosion.inspection.calibration.sampler import move_samples

SMALL, READ = 0.02, 0.04 * MM
CAMPAIGNS = [12.0, 30.0, 45.0, 58.0]


def step(years: float) -> tuple[Array, Array]:
    """Return transition and noise of (loss, level, wander) over some years.

    A level that stays and an Ornstein-Uhlenbeck process, integrated to a loss: exact,
    by one matrix exponential (C. F. Van Loan, "Computing integrals involving the matrix
    exponential", IEEE Transactions on Automatic Control 23, 1978, 395).
    """
    drift = np.array([[0.0, RATE, RATE], [0.0, 0.0, 0.0], [0.0, 0.0, -1.0 / MEMORY]])
    noise = np.diag([0.0, 0.0, 2.0 * SMALL**2 / MEMORY])
    whole = np.block([[-drift, noise], [np.zeros((3, 3)), drift.T]]) * years
    parts = expm(whole)
    move = parts[3:, 3:].T
    return move, move @ parts[:3, 3:]


def smoothed(read: Array) -> tuple[Array, Array]:
    """Return mean and sd of the loss at each campaign, about what is tabulated [m].

    The filter, then back (H. E. Rauch, F. Tung and C. T. Striebel, "Maximum likelihood
    estimates of linear dynamic systems", AIAA Journal 3, 1965, 1445).
    """
    mean, cov = np.zeros(3), np.diag([0.0, SMALL**2, SMALL**2])
    told, steps, before = [], [], 0.0
    for year, value in zip(CAMPAIGNS, read, strict=True):
        move, noise = step(year - before)
        before = year
        ahead, spread = move @ mean, move @ cov @ move.T + noise
        gain = spread[:, 0] / (spread[0, 0] + READ**2)
        mean = ahead + gain * (value - ahead[0])
        cov = spread - np.outer(gain, spread[0])
        told.append((mean, cov))
        steps.append((move, ahead, spread))
    found = [told[-1]]
    for (mean, cov), (move, ahead, spread) in zip(
        told[-2::-1], steps[:0:-1], strict=True
    ):
        back = np.linalg.solve(spread, move @ cov).T
        later, late = found[-1]
        found.append(
            (mean + back @ (later - ahead), cov + back @ (late - spread) @ back.T)
        )
    found.reverse()
    means = np.array([mean[0] for mean, _ in found])
    return means, np.array([np.sqrt(cov[0, 0]) for _, cov in found])


def test_one_plate_read_four_times_is_as_a_kalman_smoother_says() -> None:
    rng = np.random.default_rng(8)
    known = ship(rng, CAMPAIGNS, samples=2048)
    four = np.flatnonzero(np.bincount(known.readings.zone) == len(CAMPAIGNS))[:1]
    rows = known.readings.of_zones(four)
    read = np.array([-1.0, 1.0, 2.0, 7.0]) * READ  # by hand: off the table, and turning
    rows = replace(
        rows,
        gone=rows.sea[0].sum(axis=1) + read,
        sd=np.full(read.size, READ),
        slip_prior=(1e-3, 1e6),
        surfaces=replace(rows.surfaces, sd=np.array([1e-3 * READ])),
    )
    prior = replace(
        known.prior,
        shared=1e-6 * known.prior.shared,
        zone=np.full_like(known.prior.zone, SMALL),
        wander=SMALL,
    ).until(len(CAMPAIGNS))
    normal = rng.standard_normal((*known.start.zones.shape[:2], OWN + prior.knots))
    start = replace(
        known.start,
        zones=prior.scaled(normal, slice(None)),
        bias=1e-3 * known.start.bias,
        slips=np.full(rows.samples, 1e-6),
    )
    found = move_samples(rng, start, prior, rows).state
    off = rows.of_all(found, prior) - rows.sea[0].sum(axis=1)
    mean, sd = smoothed(read)
    assert (np.abs(off.mean(axis=0) - mean) < 0.12 * sd).all()
    assert off.std(axis=0) == pytest.approx(sd, rel=0.06)
