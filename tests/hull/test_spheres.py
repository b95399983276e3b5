"""Tests of corrosion.hull.spheres, in the order: published, laws, edges."""

import numpy as np
import pytest
from scipy.integrate import quad
from scipy.special import j0

from corrosion import basis
from corrosion.hull.spheres import sphere_radius, sphere_to_points, sphere_to_sphere

ORIGIN = np.zeros((1, 3))


@pytest.mark.published(
    source="Stefanesco, two-layer earth, integral over Bessel functions",
    where="potential at the surface of a layer over a bed of another resistivity",
    status="from memory",
)
@pytest.mark.parametrize(("distance", "rel"), [(0.5, 1e-4), (1.0, 2e-4), (6.0, 1.2e-3)])
def test_water_over_a_bed(distance: float, rel: float) -> None:
    factor, depth = basis.value("seabed_resistivity_factor"), 1.5
    k = (factor - 1.0) / (factor + 1.0)

    def beyond_deep_water(wave: float) -> float:
        reflected = k * np.exp(-2.0 * wave * depth)
        return float(2.0 * reflected / (1.0 - reflected) * j0(wave * distance))

    extra = quad(beyond_deep_water, 0.0, 25.0, limit=400)[0]
    expected = (1.0 / distance + extra) / (2.0 * np.pi)
    point = np.array([[distance, 0.0, 0.0]])
    found = sphere_to_points(ORIGIN, np.array([0.1]), point, depth)
    assert found[0, 0] == pytest.approx(expected, rel=rel)


def test_a_deep_sphere_is_alone() -> None:
    # a sphere of radius 1 m far from everything: ρ/4πa
    radius = sphere_radius(np.array([4.0 * np.pi]))
    found = sphere_to_sphere(ORIGIN - [0.0, 0.0, 1e6], radius, None)
    assert found[0, 0] == pytest.approx(1.0 / (4.0 * np.pi), rel=1e-5)


def test_spheres_are_reciprocal_and_fall_with_distance() -> None:
    centre = np.array([[0.0, 0.0, -2.0], [5.0, 0.0, -1.0], [50.0, 0.0, -3.0]])
    found = sphere_to_sphere(centre, np.array([1.0, 0.5, 0.8]), 8.0)
    assert found == pytest.approx(found.T, rel=1e-12)
    assert found[0, 0] > found[0, 1] > found[0, 2] > 0.0


def test_within_a_sphere_the_potential_is_that_of_its_surface() -> None:
    deep = ORIGIN - np.array([0.0, 0.0, 1e6])
    points = deep + np.array([[0.0, 0, 0], [0.3, 0, 0], [1.0, 0, 0], [2.0, 0, 0]])
    found = sphere_to_points(deep, np.array([1.0]), points, None)[0]
    assert found == pytest.approx(found[0] * np.array([1.0, 1.0, 1.0, 0.5]), rel=1e-5)
