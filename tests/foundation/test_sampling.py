"""Tests of foundation.sampling, in the order: published, laws, edges, errors."""

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from corrosion.foundation.assumptions import default_assumptions
from corrosion.foundation.errors import InputError, LookupFailed
from corrosion.foundation.sampling import Draws, sample_lognormal
from corrosion.foundation.types import Array

TABLE = default_assumptions()
MIDDLES: Array = (np.arange(20_000, dtype=np.float64) + 0.5) / 20_000.0


@pytest.mark.published(
    source="scipy.stats.truncnorm",
    where="lognormal cut at its limits, quantile by quantile",
    status="computed",
)
@pytest.mark.parametrize(
    "name", ["ac_dissolving_fraction", "fault_ohm", "shore_earth_ohm", "pitting_factor"]
)
def test_is_the_truncated_lognormal(name: str) -> None:
    from scipy.stats import truncnorm  # noqa: PLC0415 - another route to the same law

    row = TABLE[name]
    mu, sigma = np.log(row.median), np.log(row.geometric_sd)
    with np.errstate(divide="ignore"):
        low, high = (np.log([row.low, row.high]) - mu) / sigma
    expected = np.exp(truncnorm.ppf(MIDDLES, low, high, loc=mu, scale=sigma))
    assert sample_lognormal(row, MIDDLES) == pytest.approx(expected, rel=1e-7)


@given(name=st.sampled_from(sorted(TABLE)), u=st.floats(1e-9, 1.0 - 1e-9))
@settings(deadline=None, max_examples=100)
def test_samples_stay_within_the_limits_and_grow_with_the_number(
    name: str, u: float
) -> None:
    row = TABLE[name]
    one, two = sample_lognormal(row, np.array([u, 0.5 * (1.0 + u)]))
    assert row.low * (1.0 - 1e-9) <= one <= two <= row.high * (1.0 + 1e-9)


def test_the_spread_is_a_geometric_standard_deviation() -> None:
    # Limits far away: median and spread come back from the samples.
    own = TABLE.override("shore_earth_ohm", median=1.0, spread=1.5)
    logs = np.log(sample_lognormal(own["shore_earth_ohm"], MIDDLES))
    assert np.median(logs) == pytest.approx(0.0, abs=1e-4)
    assert logs.std() == pytest.approx(np.log(1.5), rel=1e-3)


def test_a_fixed_entry_does_not_vary() -> None:
    assert set(sample_lognormal(TABLE["substantial_share"], MIDDLES)) == {0.75}


@given(
    samples=st.integers(1, 700),
    columns=st.integers(1, 9),
    seed=st.integers(0, 2**40),
)
@settings(deadline=None, max_examples=40)
def test_a_block_is_of_the_shape_asked_for_and_inside_the_unit_cube(
    samples: int, columns: int, seed: int
) -> None:
    block = Draws(samples, seed, TABLE).block("zone A", columns)
    assert block.shape == (samples, columns)
    assert ((block > 0.0) & (block < 1.0)).all()


def test_every_column_is_spread_evenly() -> None:
    # Scrambled Sobol' points of a power of two: one in each interval of 1/n.
    block = Draws(1024, 3, TABLE).block("fault F1", 8)
    cells = np.sort((block * 1024).astype(int), axis=0)
    assert (cells == np.arange(1024)[:, None]).all()


def test_columns_and_blocks_do_not_move_together() -> None:
    draws = Draws(4096, 1, TABLE)
    both = np.column_stack([draws.block("zone A", 3), draws.block("zone B", 3)])
    apart = np.corrcoef(both, rowvar=False) - np.eye(6)
    assert np.abs(apart).max() < 0.08  # five standard deviations of chance


def test_the_same_seed_gives_the_same_digits_and_another_does_not() -> None:
    one, again = (Draws(100, 5, TABLE).block("paths", 4) for _ in range(2))
    assert (one == again).all()
    assert (one != Draws(100, 6, TABLE).block("paths", 4)).all()
    assert (one != Draws(100, 5, TABLE).block("wastage", 4)).all()


def test_a_block_does_not_depend_on_what_was_drawn_before() -> None:
    draws = Draws(64, 1, TABLE)
    alone = draws.block("fault F2", 8)
    draws.block("fault F1", 8)
    assert (draws.block("fault F2", 8) == alone).all()


@given(name=st.sampled_from(["interface_ohm_m2", "clamp_factor"]))
@settings(deadline=None, max_examples=4)
def test_draws_and_function_give_the_same_samples(name: str) -> None:
    draws = Draws(32, 1, TABLE)
    u = draws.block("x", 1)[:, 0]
    assert (draws.lognormal(name, u) == sample_lognormal(TABLE[name], u)).all()
    assert draws.value(name) == draws.assumptions[name].median


@pytest.mark.parametrize("samples", [0, -4, 2**20 + 1])
def test_refuses_a_number_of_samples_out_of_range(samples: int) -> None:
    with pytest.raises(InputError, match=rf"samples must lie .* got {samples}"):
        Draws(samples, 1, TABLE)


def test_refuses_a_negative_seed() -> None:
    with pytest.raises(InputError, match="seed must not be negative, got -1"):
        Draws(8, -1, TABLE)


def test_names_the_nearest_entry() -> None:
    with pytest.raises(LookupFailed, match="did you mean 'shore_earth_ohm'"):
        Draws(8, 1, TABLE).lognormal("shore_earth_ohms", MIDDLES)
