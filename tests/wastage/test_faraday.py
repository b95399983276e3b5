"""Faraday's law, in the order: laws, edges, errors (published values: published/)."""

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from corrosion.foundation.errors import InputError, LookupFailed
from corrosion.foundation.units import MM, YEAR
from corrosion.wastage.faraday import (
    equivalent_weight,
    mass_loss,
    penetration_mm_per_year,
    penetration_rate,
)
from corrosion.wastage.metals import METALS

positive = st.floats(min_value=1e-6, max_value=1e9)
signed = st.floats(-1e4, 1e4).filter(lambda x: x == 0.0 or abs(x) > 1e-200)
metals = st.sampled_from(sorted(METALS))


def test_removes_the_mass_that_a_count_of_electrons_demands() -> None:
    electrons = 3.0 * 1000.0 / 1.602176634e-19  # 3 A for 1000 s
    expected = electrons / 2.0 * (55.845e-3 / 6.02214076e23)
    assert mass_loss(3000.0) == pytest.approx(expected, rel=1e-12)


def test_depth_times_area_times_density_is_the_mass() -> None:
    area, amps, seconds = 0.5, 3.0, 1000.0
    depth = penetration_rate(amps / area, "zinc") * seconds
    mass = depth * area * METALS["zinc"].density
    assert mass == pytest.approx(mass_loss(amps * seconds, "zinc"), rel=1e-12)


@settings(deadline=None, max_examples=50)
@given(charge=positive, factor=positive, metal=metals)
def test_mass_is_linear_in_charge(charge: float, factor: float, metal: str) -> None:
    expected = factor * mass_loss(charge, metal)
    assert mass_loss(factor * charge, metal) == pytest.approx(expected, rel=1e-12)


@settings(deadline=None, max_examples=50)
@given(density=signed, metal=metals)
def test_the_rate_is_the_mass_of_a_second_with_its_sign(
    density: float, metal: str
) -> None:
    rate = penetration_rate(density, metal)
    thickness = mass_loss(abs(density), metal) / METALS[metal].density
    assert abs(rate) == pytest.approx(thickness, rel=1e-12, abs=1e-300)
    assert np.sign(rate) == np.sign(density)


@settings(deadline=None, max_examples=50)
@given(density=positive, metal=metals)
def test_millimetres_a_year_are_metres_a_second(density: float, metal: str) -> None:
    expected = penetration_rate(density, metal) * YEAR / MM
    assert penetration_mm_per_year(density, metal) == pytest.approx(expected, rel=1e-12)


def test_permuting_permutes() -> None:
    charge = np.array([5.0, 1.0, 3.0])
    turn = np.array([2, 0, 1])
    np.testing.assert_array_equal(mass_loss(charge[turn]), mass_loss(charge)[turn])


@pytest.mark.parametrize("metal", METALS)
def test_a_name_and_its_metal_are_the_same(metal: str) -> None:
    assert equivalent_weight(metal) == equivalent_weight(METALS[metal])
    assert mass_loss(1.0, metal) == mass_loss(1.0, METALS[metal])


def test_keeps_shapes_and_unknowns() -> None:
    charge = np.array([[0.0, np.nan, 2.0]])
    mass = mass_loss(charge)
    assert mass.shape == (1, 3)
    assert mass[0, 0] == 0.0
    assert np.isnan(mass[0, 1])
    assert mass_loss(np.empty((0, 4))).shape == (0, 4)


def test_negative_charge_names_the_sign_convention_and_the_place() -> None:
    match = (
        r"mass_loss: charge must be >= 0 C, got -3 C at index \(1,\) \(1 of 2 entries\)"
        r"\. Positive is current that leaves the metal; current that enters dissolves"
    )
    with pytest.raises(InputError, match=match):
        mass_loss([1.0, -3.0])


def test_negative_density_is_refused_where_millimetres_are_asked() -> None:
    with pytest.raises(InputError, match=r"current_density must be >= 0 A/m², got -1"):
        penetration_mm_per_year(-1.0)


def test_unknown_metal_is_refused() -> None:
    with pytest.raises(LookupFailed, match="no metal 'steal'; did you mean 'steel'"):
        mass_loss(1.0, "steal")
