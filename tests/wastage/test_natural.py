"""Natural loss, in the order: laws, edges, errors (published values: published/)."""

from typing import get_args

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from corrosion.foundation.assumptions import default_assumptions
from corrosion.foundation.errors import InputError, LookupFailed
from corrosion.foundation.units import MM
from corrosion.records.kinds import Exposure
from corrosion.wastage.natural import (
    CURVES,
    curve_of,
    freshness,
    grown_loss,
    loss_depth,
)

EXPOSURES: tuple[str, ...] = get_args(Exposure)
exposures = st.sampled_from(EXPOSURES)
ages = st.floats(0.0, 300.0)


def test_every_exposure_of_the_records_has_a_curve() -> None:
    assert tuple(CURVES) == EXPOSURES


@settings(deadline=None, max_examples=100)
@given(exposure=exposures, one=ages, other=ages)
def test_never_heals_with_age(exposure: str, one: float, other: float) -> None:
    young, old = sorted((one, other))
    at_young, at_old = loss_depth(exposure, [young, old])
    assert 0.0 <= at_young <= at_old


@pytest.mark.parametrize("exposure", ["immersed", "splash", "dry"])
def test_slows_down_over_its_first_decades(exposure: str) -> None:
    depth = loss_depth(exposure, np.linspace(0.0, 25.0, 251))
    assert np.diff(depth, 2).max() <= 1e-12


def test_air_grows_steadily_beyond_twenty_years() -> None:
    rate = np.diff(loss_depth("dry", np.linspace(0.0, 120.0, 1201)))
    assert np.diff(rate).max() <= 1e-12
    assert rate[201] == pytest.approx(rate[-1], rel=1e-9)


@pytest.mark.parametrize("exposure", EXPOSURES)
def test_starts_from_nothing_at_a_finite_rate(exposure: str) -> None:
    assert loss_depth(exposure, 0.0) == 0.0
    assert 0.0 < loss_depth(exposure, 0.01) / 0.01 < 0.7 * MM


@pytest.mark.parametrize(
    ("exposure", "slope"), [("immersed", 0.036), ("splash", 0.076)]
)
def test_the_last_slope_goes_on_beyond_the_table(exposure: str, slope: float) -> None:
    grown = np.diff(loss_depth(exposure, [100.0, 150.0]))
    assert grown == pytest.approx(50.0 * slope * MM, rel=1e-9)


def test_newly_bared_steel_loses_several_times_what_the_line_says() -> None:
    month = float(loss_depth("immersed", 1.0 / 12.0)) / MM
    assert 4.0 < month / (0.05 / 12.0) < 6.0


def test_inside_a_ship_follows_the_stated_curves() -> None:
    age = np.array([3.0, 30.0, 80.0])
    np.testing.assert_array_equal(loss_depth("tank", age), loss_depth("immersed", age))
    np.testing.assert_array_equal(loss_depth("bilge", age), loss_depth("splash", age))


@pytest.mark.parametrize("exposure", ["immersed", "tidal", "splash"])
def test_in_dry_dock_the_sea_side_meets_air(exposure: str) -> None:
    assert curve_of(exposure, docked=True) == curve_of("dry")
    assert curve_of("tank", docked=True) == curve_of("tank")
    years = 26.0  # on blocks: what air takes, not what the sea takes
    docked = float(loss_depth(curve_of(exposure, docked=True), years))
    assert docked == float(loss_depth("dry", years))
    assert docked < 0.5 * float(loss_depth(exposure, years))


def test_water_between_sea_and_fresh_by_the_logarithm_of_its_resistivity() -> None:
    table = default_assumptions()
    rho = [0.2, 0.5, np.sqrt(0.5 * 5.0), 5.0, 50.0]
    assert freshness(rho, table) == pytest.approx([0.0, 0.0, 0.5, 1.0, 1.0])
    sea, half, fresh = (
        float(loss_depth("immersed", 50.0, fresh=part)) for part in (0.0, 0.5, 1.0)
    )
    assert half == pytest.approx(0.5 * (sea + fresh))


@settings(deadline=None, max_examples=25)
@given(age=st.floats(0.05, 80.0), power=st.floats(1.0, 3.0))
def test_steel_bared_little_by_little_is_the_curve_over_each_piece(
    age: float, power: float
) -> None:
    part = (np.arange(20_000) + 0.5) / 20_000  # the first bared first
    ages = age * (1.0 - part ** (1.0 / power))
    expected = float(loss_depth("immersed", ages).mean())
    found = grown_loss(
        "sea immersion", age, exponent=power, assumptions=default_assumptions()
    )
    assert float(found) == pytest.approx(expected, rel=0.01)


@pytest.mark.parametrize("exposure", EXPOSURES)
def test_unknown_age_stays_unknown(exposure: str) -> None:
    assert np.isnan(loss_depth(exposure, np.nan))


def test_negative_age_is_refused() -> None:
    with pytest.raises(InputError, match=r"loss_depth: age_years must be >= 0 years"):
        loss_depth("immersed", [-1.0])


def test_unknown_exposure_offers_the_nearest() -> None:
    with pytest.raises(LookupFailed, match="no exposure 'imersed'; did you mean 'imm"):
        curve_of("imersed")
