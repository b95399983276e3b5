"""On which surface campaigns read, where nobody wrote it: against enumeration."""

from dataclasses import replace
from itertools import product

import numpy as np
import pytest
from forward_ships import ship
from scipy.stats import multivariate_normal

from corrosion.foundation.units import MM
from corrosion.inspection.calibration.readings import Surfaces
from corrosion.inspection.calibration.sampler import move_samples

MEAN, SD = np.array([0.0, 0.35]) * MM, np.array([0.1, 0.15]) * MM
WIDE, NARROW, READ = 0.08, 0.01, 0.2 * MM


@pytest.mark.parametrize("seed", [2, 3])
def test_surfaces_and_biases_are_those_of_all_eight_ways_weighed(seed: int) -> None:
    # Rates of ten per cent: the loss is linear, each of the eight ways in which three
    # campaigns may have read is one normal law (any text), weighed by its density.
    # Rates may take up what all campaigns read too thick: the two are seen together.
    rng = np.random.default_rng(seed)
    known = ship(rng, [30.0, 45.0, 58.0], samples=2048)
    prior = replace(
        known.prior,
        shared=np.full_like(known.prior.shared, WIDE),
        zone=np.full_like(known.prior.zone, NARROW),
        wander=NARROW,
    ).until(3)
    normal = rng.standard_normal(known.start.zones.shape)
    surface = rng.integers(0, 2, known.start.surface.shape)
    start = replace(
        known.start,
        zones=prior.scaled(normal, slice(None)),
        surface=surface,
        bias=MEAN[surface] + SD[surface] * rng.standard_normal(surface.shape),
        slips=np.full(2048, 1e-6),
    )
    sea = known.readings.sea[0]
    of = np.eye(3)[known.readings.campaign]
    same = known.readings.zone[:, None] == known.readings.zone
    walk = sea @ prior.correlation @ sea.T + np.outer(sea.sum(axis=1), sea.sum(axis=1))
    rates = (
        WIDE**2 * np.outer(sea.sum(axis=1), sea.sum(axis=1)) + NARROW**2 * same * walk
    )
    gone = sea.sum(axis=1) + READ * rng.standard_normal(len(sea)) - of @ MEAN[[0, 1, 0]]
    readings = replace(
        known.readings,
        gone=gone,
        sd=np.full(len(sea), READ),
        slip_prior=(1.0, 1e6),  # none slips
        surfaces=Surfaces(mean=MEAN, sd=SD, chance=np.full((3, 2), 0.5)),
    )
    weights, means, ways = [], [], np.array(list(product((0, 1), repeat=3)))
    for way in ways:
        off = gone - sea.sum(axis=1) + of @ MEAN[way]
        own = of @ np.diag(SD[way] ** 2)
        whole = rates + own @ of.T + READ**2 * np.eye(len(sea))
        weights.append(multivariate_normal(cov=whole / MM**2).logpdf(off / MM))
        means.append(MEAN[way] - own.T @ np.linalg.solve(whole, off))
    weight = np.exp(np.array(weights) - max(weights))
    weight /= weight.sum()
    found = move_samples(rng, start, prior, readings, sweeps=(24, 48)).state
    assert found.surface.mean(axis=0) == pytest.approx(weight @ ways, abs=0.03)
    assert found.bias.mean(axis=0) == pytest.approx(weight @ means, abs=0.012 * MM)
