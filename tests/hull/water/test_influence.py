"""Tests of hull.water.influence, in the order: laws, edges."""

import numpy as np
import pytest
from hull.bodies import quads, spheroid
from hypothesis import given, settings
from hypothesis import strategies as st

from corrosion.foundation.types import Array
from corrosion.hull.water.influence import (
    geometry,
    layers,
    mirror_images,
    triangle_layers,
)

ITSELF = [(1.0, 0.0, 1.0)]


def by_quadrature(point: Array, triangle: Array, n: int = 400) -> tuple[float, float]:
    """Both layers of a triangle by the midpoint rule, another route."""
    steps = (np.arange(n) + 0.5) / n
    u, v = np.meshgrid(steps, steps, indexing="ij")
    a, b = triangle[1] - triangle[0], triangle[2] - triangle[0]
    normal = np.cross(a, b)
    r = point - (triangle[0] + u[..., None] * a + (v * (1.0 - u))[..., None] * b)
    weight = (1.0 - u) / n**2 / (4.0 * np.pi)
    far = np.linalg.norm(r, axis=-1)
    single = float((weight / far).sum() * np.linalg.norm(normal))
    return single, float((weight * (r @ normal) / far**3).sum())


@settings(deadline=None, max_examples=20)
@given(seed=st.integers(0, 10_000))
def test_a_triangle_is_the_sum_of_its_parts(seed: int) -> None:
    rng = np.random.default_rng(seed)
    triangle = rng.normal(size=(3, 3))
    point = triangle.mean(axis=0) + 3.0 * rng.normal(size=3)
    found = triangle_layers(point[None], triangle[None])
    expected = by_quadrature(point, triangle)
    assert found[0][0] == pytest.approx(expected[0], rel=1e-4, abs=1e-6)
    assert found[1][0] == pytest.approx(expected[1], rel=1e-3, abs=1e-4)


def test_a_square_at_its_own_centre() -> None:
    # the integral of 1/r over a unit square from its centre is 4 ln(1 + sqrt 2)
    square = geometry(np.array([[[0.0, 0, 0], [1, 0, 0], [1, 1, 0], [0, 1, 0]]]))
    single, double = layers(square.centre, square, ITSELF)
    assert single[0, 0] == pytest.approx(np.log1p(np.sqrt(2.0)) / np.pi, rel=1e-12)
    assert double[0, 0] == 0.0


def test_the_face_of_a_cube_fills_a_sixth_of_the_view() -> None:
    face = geometry(np.array([[[-1.0, -1, 1], [-1, 1, 1], [1, 1, 1], [1, -1, 1]]]))
    double = layers(np.zeros((1, 3)), face, ITSELF)[1]
    assert double[0, 0] == pytest.approx(1.0 / 6.0, rel=1e-12)


def test_far_field_meets_the_exact_one() -> None:
    grid = np.array([[[0.0, 0, 0], [0.3, 1.0, 0.2]], [[3.0, 0, 0], [3.2, 1.2, -0.1]]])
    panel = geometry(quads(grid))
    turn = np.random.default_rng(1).normal(size=(100, 3))
    turn /= np.linalg.norm(turn, axis=1)[:, None]
    points = panel.centre + 1.6 * panel.diameter * turn
    single, double = layers(points, panel, ITSELF)
    exact = triangle_layers(
        np.repeat(points, 2, axis=0), np.tile(panel.triangles[0], (100, 1, 1))
    )
    near, angle = (row.reshape(-1, 2).sum(axis=1) for row in exact)
    assert single[:, 0] == pytest.approx(near, rel=2e-3)
    assert double[:, 0] == pytest.approx(angle, abs=0.03 * np.abs(angle).max())


def test_a_closed_surface_fills_the_sphere_of_view() -> None:
    ball = geometry(spheroid(1.0, 1.0, 12, 8))
    points = np.array([[0.1, 0.2, -0.1], [0.0, 0.0, -3.0]])
    inside, outside = layers(points, ball, mirror_images(None, 3.0))[1].sum(axis=1)
    assert inside == pytest.approx(-1.0, abs=2e-3)
    assert outside == pytest.approx(0.0, abs=2e-3)


def test_a_triangle_without_area_counts_as_nothing() -> None:
    line = np.array([[[0.0, 0, 0], [1, 0, 0], [1, 0, 0]]])
    found = triangle_layers(np.array([[0.5, 1.0, 0.0]]), line)
    assert [found[0][0], found[1][0]] == [0.0, 0.0]


def test_images_in_a_bed_fade() -> None:
    images = mirror_images(10.0, 3.0)
    weights = np.array([row[2] for row in images])
    assert weights.max() == 1.0
    assert 1e-3 <= weights.min() < 2e-3
    assert sum(level == 0.0 for _, level, _ in images) == 2
