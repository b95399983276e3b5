"""Tests of hull.water.spheroids, in the order: published, laws, edges."""

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from scipy.integrate import quad
from scipy.special import ellipk, j0

from corrosion.hull.water.spheroids import (
    Spheroids,
    between_spheroids,
    spheroids_to_points,
)

FOUR_PI = 4.0 * np.pi
BED = 3.0  # a bed that resists thrice as much as the water
DEEP = np.array([[0.0, 0.0, -1e6]])


def part(area: float, length: float = 0.0, centre: object = DEEP) -> Spheroids:
    """One part whose longest extent lies fore and aft."""
    return Spheroids.of_parts(
        np.asarray(centre, dtype=float), np.array([area]), np.array([[length, 0, 0]])
    )


def alone(area: float, length: float) -> float:
    return float(between_spheroids(part(area, length), None, BED)[0, 0])


@pytest.mark.published(
    source="Stefanesco, two-layer earth, integral over Bessel functions",
    where="potential at the surface of a layer over a bed of another resistivity",
    status="from memory",
)
@pytest.mark.parametrize(("distance", "rel"), [(0.5, 1e-4), (1.0, 2e-4), (6.0, 1.2e-3)])
def test_water_over_a_bed(distance: float, rel: float) -> None:
    factor, depth = BED, 1.5
    k = (factor - 1.0) / (factor + 1.0)

    def beyond_deep_water(wave: float) -> float:
        reflected = k * np.exp(-2.0 * wave * depth)
        return float(2.0 * reflected / (1.0 - reflected) * j0(wave * distance))

    extra = quad(beyond_deep_water, 0.0, 25.0, limit=400)[0]
    expected = (1.0 / distance + extra) / (2.0 * np.pi)
    point = np.array([[distance, 0.0, 0.0]])
    found = spheroids_to_points(
        part(FOUR_PI * 0.01, 0.0, np.zeros((1, 3))), point, depth, BED
    )
    assert found[0, 0] == pytest.approx(expected, rel=rel)


@pytest.mark.published(
    source="Landau & Lifshitz, Electrodynamics of Continuous Media, §4",
    where="integral of a conducting ellipsoid, and K(e)/4πa of an elliptic plate",
    status="from memory",
)
@pytest.mark.parametrize("slender", [1.2, 3.0, 20.0, 100.0])
def test_a_part_against_the_ellipsoid_and_the_plate(slender: float) -> None:
    a, b = 10.0, 10.0 / slender
    found = alone(FOUR_PI * a * b, 2.0 * a)

    def integrand(t: float) -> float:  # with ξ = t² and two equal shorter axes
        return float(t / ((t * t + b * b) * np.hypot(t, a)))

    ellipsoid = quad(
        lambda u: integrand(b * np.tan(u)) * b / np.cos(u) ** 2, 0, 1.5707963
    )
    assert found == pytest.approx(ellipsoid[0] / FOUR_PI, rel=1e-5)
    if slender > 2.0:  # the plate's half-width is twice as much
        plate = ellipk(1.0 - (2.0 * b / a) ** 2) / (FOUR_PI * a)
        assert found == pytest.approx(plate, rel=0.03 if slender < 10.0 else 0.002)


def test_a_compact_part_is_a_sphere_of_its_area() -> None:
    assert alone(FOUR_PI, 0.0) == pytest.approx(1.0 / FOUR_PI, rel=1e-5)
    assert alone(FOUR_PI, 2.0) == pytest.approx(1.0 / FOUR_PI, rel=1e-5)
    nearly = alone(FOUR_PI, 2.0 + 1e-6)
    assert nearly == pytest.approx(1.0 / FOUR_PI, rel=1e-5)
    # half as long again as it is broad, it comes near to a plate: at most 8 % more
    assert 1.07 < alone(FOUR_PI, 3.2) * FOUR_PI < 1.09


@given(
    area=st.floats(30.0, 60.0), length=st.floats(12.0, 40.0), more=st.floats(1.1, 5.0)
)
@settings(deadline=None, max_examples=40)
def test_a_longer_or_larger_long_part_resists_less(
    area: float, length: float, more: float
) -> None:
    assert alone(area, more * length) <= alone(area, length) * (1.0 + 1e-9)
    assert alone(more * area, length) < alone(area, length)


def test_the_potential_solves_laplace_and_carries_an_ampere() -> None:
    body = part(20.0, 10.0)
    # flux through a sphere about the part, by finite differences
    nodes, weights = np.polynomial.legendre.leggauss(40)
    ring = np.stack([nodes, np.sqrt(1.0 - nodes**2), np.zeros(40)], axis=1)
    flux = 0.0
    steps = [DEEP + (9.0 + h) * ring for h in (1e-3, -1e-3)]
    out, inner = (spheroids_to_points(body, points, None, BED)[0] for points in steps)
    flux = float((weights * (inner - out) / 2e-3).sum()) * 2.0 * np.pi * 81.0
    assert flux == pytest.approx(1.0, rel=1e-4)


def test_spheroids_are_reciprocal_passive_and_fall_with_distance() -> None:
    parts = Spheroids.of_parts(
        np.array([[0.0, 3.0, -2.0], [5.0, -3.0, -2.0], [50.0, 0.0, -3.0]]),
        np.array([30.0, 30.0, 8.0]),
        np.array([[30.0, 0, 0], [30.0, 0, 0], [0, 0, 4.0]]),
    )
    found = between_spheroids(parts, 8.0, BED)
    assert found == pytest.approx(found.T, rel=1e-12)
    assert found[0, 0] > found[0, 1] > found[0, 2] > 0.0
    assert np.linalg.eigvalsh(found)[0] > 0.0


def test_two_long_parts_side_by_side() -> None:
    # mean potential of one line of charge over another beside it, in closed form
    length, apart = 30.0, 4.0
    parts = Spheroids.of_parts(
        DEEP + np.array([[0.0, 0, 0], [0.0, apart, 0]]),
        np.array([1.0, 1.0]),
        np.array([[length, 0, 0], [length, 0, 0]]),
    )
    u = length / apart
    mean = np.arcsinh(u) + 1.0 / u - np.hypot(1.0, 1.0 / u)
    expected = mean / (2.0 * np.pi * length)
    assert between_spheroids(parts, None, BED)[0, 1] == pytest.approx(
        expected, rel=1e-3
    )


def test_within_a_part_the_potential_is_that_of_its_surface() -> None:
    points = DEEP + np.array([[0.0, 0, 0], [0.3, 0, 0], [1.0, 0, 0], [2.0, 0, 0]])
    found = spheroids_to_points(part(FOUR_PI), points, None, BED)[0]
    assert found == pytest.approx(found[0] * np.array([1.0, 1.0, 1.0, 0.5]), rel=1e-5)
    upright = Spheroids.of_parts(DEEP, np.array([6.0]), np.array([[0.0, 0.0, 4.0]]))
    inside = DEEP + np.array([[0.0, 0, 0], [0, 0, 1.9], [0, 0, -1.9]])
    found = spheroids_to_points(upright, inside, None, BED)[0]
    assert np.ptp(found) < 1e-9 * found[0]


def test_no_part_is_a_point() -> None:
    assert alone(0.0, 0.0) == pytest.approx(1.0 / (FOUR_PI * 0.05), rel=1e-6)
