"""Samples moved to gaugings: against exact answers, another sampler, known truth."""

from dataclasses import replace

import emcee  # type: ignore[import-untyped]  # it carries no types
import numpy as np
import pytest
from forward_ships import BIAS, SLIPS, Invented, ship
from scipy.stats import norm

from corrosion.foundation.units import MM, YEAR
from corrosion.inspection.calibration.rate_model import OWN
from corrosion.inspection.calibration.sampler import move_samples


def moved(known: Invented, rng: np.random.Generator, most: int = 96) -> Invented:
    """Return the ship with her samples moved."""
    prior = known.prior.until(known.start.zones.shape[2] - OWN)
    found = move_samples(rng, known.start, prior, known.readings, sweeps=(12, most))
    return replace(known, start=found.state)


def test_covariance_of_averages_is_that_of_a_fine_walk() -> None:
    prior = ship(np.random.default_rng(1), [30.0, 45.0, 58.0]).prior
    middle = (np.arange(6500) + 0.5) / 100  # years, a hundred a year
    which = np.searchsorted(prior.edges / YEAR, middle) - 1
    averaging = (which == np.arange(prior.knots)[:, None]).astype(float)
    averaging /= averaging.sum(axis=1, keepdims=True)
    fine = np.exp(-np.abs(middle[:, None] - middle) / 12.0)
    exact = averaging @ fine @ averaging.T
    assert prior.correlation == pytest.approx(exact, abs=1e-4)


def test_small_spreads_give_the_exact_gaussian_answer() -> None:
    # With spreads of a per cent the loss is linear in all unknowns: ordinary Gaussian
    # conditioning (any text), on the covariance of 60 years' losses of every zone.
    rng = np.random.default_rng(2)
    known = ship(rng, [30.0, 45.0, 58.0], samples=1024)
    small, sd = 0.01, 0.02 * MM
    prior = replace(
        known.prior,
        shared=known.prior.shared / known.prior.shared * small,
        zone=np.full_like(known.prior.zone, small),
        wander=small,
    ).until(3)
    normal = rng.standard_normal(known.start.zones.shape)
    start = replace(
        known.start,
        zones=prior.scaled(normal, slice(None)),
        bias=0.1 * known.start.bias,
        slips=np.full(1024, 1e-6),
    )
    sea = known.readings.sea[0]
    loading = np.zeros((sea.shape[0], prior.zone.size, 1 + prior.knots))
    for row, zone in enumerate(known.readings.zone):
        loading[row, zone, 0] = sea[row].sum()
        loading[row, zone, 1:] = sea[row]
    own = np.zeros((1 + prior.knots, 1 + prior.knots))
    own[0, 0], own[1:, 1:] = small**2, small**2 * prior.correlation
    shared = sea.sum(axis=1) * small
    campaigns = np.eye(3)[known.readings.campaign] * 0.1 * BIAS
    covariance = np.einsum("rzu,uv,qzv->rq", loading, own, loading)
    covariance += np.outer(shared, shared) + campaigns @ campaigns.T
    truth = np.linalg.cholesky(covariance + 1e-18 * np.eye(len(sea)))
    signal = sea.sum(axis=1) + truth @ rng.standard_normal(len(sea))
    readings = replace(
        known.readings,
        gone=signal + sd * rng.standard_normal(len(sea)),
        sd=np.full(len(sea), sd),
        slip_prior=(1.0, 1e6),  # Gaussian: none slips
        surfaces=replace(known.readings.surfaces, sd=np.array([0.1 * BIAS])),
    )
    found = move_samples(rng, start, prior, readings, sweeps=(12, 48)).state
    losses = readings.of_all(found, prior) - found.bias[:, readings.campaign]
    gain = np.linalg.solve(covariance + sd**2 * np.eye(len(sea)), covariance).T
    mean = sea.sum(axis=1) + gain @ (readings.gone - sea.sum(axis=1))
    spread = np.sqrt(np.diag(covariance - gain @ covariance))
    assert np.abs(losses.mean(axis=0) - mean).max() < 0.25 * spread.max()
    assert losses.std(axis=0) == pytest.approx(spread, rel=0.12)


@pytest.mark.parametrize(
    "read", [[[2.0, 6.5]], [[3.0, 5.0], [5.5, 6.2]]], ids=["one", "two"]
)
def test_agrees_with_a_long_chain_of_another_sampler(read: list[list[float]]) -> None:
    # emcee (Foreman-Mackey et al., PASP 125, 2013, 306), an affine-invariant ensemble,
    # on one zone with two readings that contradict each other, and on two zones that
    # know of each other by the ship and the campaigns: rates curve the answer, and any
    # reading may be wrong.
    rng = np.random.default_rng(3)
    known, count = ship(rng, [30.0, 50.0], samples=512), len(read)
    twice = np.flatnonzero(np.bincount(known.readings.zone) == 2)[:count]
    only = known.readings.of_zones(twice)
    gone = np.array(read)[only.place, only.campaign] * MM
    only = replace(only, gone=gone)
    prior = known.prior.until(2)
    found = move_samples(rng, known.start, prior, only, sweeps=(400, 400)).state
    ours = np.log(found.rates(prior)[:, only.zones]).reshape(512, -1)
    sea, inverse = only.sea[0], prior.precision

    def log_rates(x: np.ndarray) -> np.ndarray:
        level = x[:, :1] * prior.shared[0, twice] + x[:, 1 : 1 + count]
        wander = x[:, 1 + count : 1 + 3 * count].reshape(-1, count, 2)
        return np.asarray(level[..., None] + wander + prior.mean_wander)

    def log_posterior(x: np.ndarray) -> np.ndarray:
        ship_, level, wander, bias = np.split(
            x[:, :-1], [1, 1 + count, 1 + 3 * count], axis=1
        )
        wander = wander.reshape(-1, count, 2)
        share = 1.0 / (1.0 + np.exp(-x[:, -1]))
        rate = np.exp(log_rates(x))[:, only.place]
        off = only.gone + bias[:, only.campaign] * MM - (rate * sea).sum(axis=2)
        prior_ = -0.5 * (ship_**2).sum(1) - 0.5 * (level**2).sum(1) / prior.zone[0] ** 2
        rough = np.einsum("nzk,kl,nzl->n", wander, inverse, wander)
        prior_ -= 0.5 * rough / prior.wander**2
        prior_ -= 0.5 * ((bias * MM / BIAS) ** 2).sum(1)
        prior_ += SLIPS[0] * np.log(share) + SLIPS[1] * np.log1p(-share)
        odds = only.odds(share)
        wrong = odds + norm.logpdf(off, scale=np.hypot(only.sd, only.slip_sd))
        fits = np.logaddexp(norm.logpdf(off, scale=only.sd), wrong)
        return np.asarray(prior_ + (fits - np.logaddexp(0.0, odds)).sum(1))

    size = 4 + 3 * count
    chain = emcee.EnsembleSampler(64, size, log_posterior, vectorize=True)
    begin = 0.3 * rng.normal(size=(64, size))
    begin[:, -1] = -3.0 + rng.normal(size=64)
    chain.random_state = np.random.RandomState(5).get_state()
    # its mean is then known to 0.03 of the spread, a fifth of the bound below
    chain.run_mcmc(begin, 3000)
    x = chain.get_chain(discard=1000, thin=10, flat=True)
    theirs = log_rates(x).reshape(len(x), -1)
    spread = theirs.std(axis=0)
    assert np.abs(ours.mean(axis=0) - theirs.mean(axis=0)).max() < 0.15 * spread.max()
    assert ours.std(axis=0) == pytest.approx(spread, rel=0.2)
    # and zones go together as they should: 512 draws tell a correlation to 0.04
    told, exact = np.corrcoef(ours.T), np.corrcoef(theirs.T)
    assert told == pytest.approx(exact, abs=0.15)
    if count == 2:
        assert exact[:2, 2:].max() > 0.1


@pytest.mark.parametrize(
    ("slips", "shift", "least", "most"),
    [(0.0, 0.0, 0.70, 0.90), (0.15, 0.0, 0.66, 0.90), (0.0, 1.0, 0.68, 0.90)],
)
def test_intervals_hold_the_losses_of_ships_simulated_forward(
    slips: float, shift: float, least: float, most: float
) -> None:
    # 20 ships of 12 zones, now and five years on: the design's bands (76 to 84 %, at
    # least 72 with slips, at least 74 shifted) and two standard errors of 2.7 % by ship
    rng = np.random.default_rng(7)
    held: list[bool] = []
    for _ in range(20):
        known = ship(rng, [30.0, 45.0, 58.0], slips=slips, shift=shift)
        after = moved(known, rng)
        for year, true in known.truth.items():
            losses = after.losses(after.start, year, rng)
            low, high = np.quantile(losses, [0.1, 0.9], axis=0)
            held += ((low < true) & (true < high)).tolist()
    assert least < np.mean(held) < most


def test_five_campaigns_on_a_line_carry_the_slope_forward() -> None:
    rng = np.random.default_rng(9)
    known = ship(rng, [20.0, 30.0, 40.0, 50.0, 60.0 - 1e-6], samples=512)
    rate = 0.15 * MM
    years = np.array([20.0, 30.0, 40.0, 50.0, 60.0])[known.readings.campaign]
    line = replace(known, readings=replace(known.readings, gone=rate * years))
    after = moved(line, rng)
    zone = int(known.readings.zone[0])
    more = np.median(
        (after.losses(after.start, 65.0, rng) - after.losses(after.start, 60.0, rng))[
            :, zone
        ]
    )
    assert more == pytest.approx(5.0 * rate, rel=0.2)


def test_few_samples_do_not_run_away_from_many_readings() -> None:
    """A quarter's campaigns over ten years, sixteen readings a sample."""
    rng = np.random.default_rng(7)
    known = ship(rng, list(np.arange(45.0, 58.0, 0.25)), samples=32)
    found = moved(known, rng, most=12)
    losses = found.readings.of_all(found.start, found.prior.until(52))
    assert found.readings.zone.size > 12 * 32
    assert np.abs(losses - found.readings.gone).max() < 3.0 * MM
