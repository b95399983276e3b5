"""Tests of hull.water.boundary_elements, in the order: laws, edges, errors."""

import numpy as np
import pytest
from hull.bodies import floating_disk, spheroid
from hypothesis import given, settings
from hypothesis import strategies as st

from corrosion.foundation.errors import InputError
from corrosion.foundation.types import Array
from corrosion.hull.water.boundary_elements import (
    group_resistance,
    resistance_matrix,
    resistance_to_remote,
)

BODY = spheroid(5.0, 1.0, 20, 8)
SHIFTED = BODY + np.array([0.0, 3.0, 0.0])
LUMP = BODY * (1.0 + 0.2 * np.sin(BODY[..., 1:2] + 0.3))  # no two sides alike


def electrode(matrix: Array) -> float:
    """All panels of a matrix joined to one electrode."""
    return float(1.0 / np.linalg.solve(matrix, np.ones(len(matrix))).sum())


@pytest.mark.parametrize("body", [BODY, LUMP], ids=["mirrored", "lopsided"])
def test_is_reciprocal_and_passive(body: Array) -> None:
    matrix = resistance_matrix(body, 0.3)
    assert np.abs(matrix - matrix.T).max() <= 1e-14 * matrix.max()
    assert np.linalg.eigvalsh(matrix)[0] > 0.0
    assert (matrix > 0.0).all()


@pytest.mark.parametrize("body", [BODY, LUMP], ids=["mirrored", "lopsided"])
def test_matrix_and_single_layer_agree_on_one_electrode(body: Array) -> None:
    # one solves for the potential of given currents, the other the reverse
    found = electrode(resistance_matrix(body, 0.3))
    assert found == pytest.approx(resistance_to_remote(body, 0.3), rel=1e-4)


def test_both_sides_at_once_equal_the_whole() -> None:
    # a shift of y hides the mirror plane, so that the whole system is solved
    assert resistance_matrix(BODY, 0.3) == pytest.approx(
        resistance_matrix(SHIFTED, 0.3), rel=1e-9
    )
    assert resistance_to_remote(BODY, 0.3) == pytest.approx(
        resistance_to_remote(SHIFTED, 0.3), rel=1e-9
    )
    group = np.arange(len(BODY)) % 3 - 1
    assert group_resistance(BODY, group, 0.3).matrix == pytest.approx(
        group_resistance(SHIFTED, group, 0.3).matrix, rel=1e-9
    )


def test_mirrored_bodies_give_mirrored_results() -> None:
    other = (LUMP * [1.0, -1.0, 1.0])[:, ::-1]
    assert resistance_matrix(other, 0.3) == pytest.approx(
        resistance_matrix(LUMP, 0.3), rel=1e-9
    )


def test_order_and_direction_do_not_matter() -> None:
    order = np.random.default_rng(3).permutation(len(LUMP))
    found = resistance_matrix(LUMP[order][:, ::-1], 0.3)
    assert found == pytest.approx(
        resistance_matrix(LUMP, 0.3)[np.ix_(order, order)], rel=1e-9
    )


@settings(deadline=None, max_examples=5)
@given(size=st.floats(0.01, 100.0), rho=st.floats(0.1, 100.0))
def test_scales_as_resistivity_over_length(size: float, rho: float) -> None:
    found = resistance_to_remote(LUMP * size, rho)
    assert found == pytest.approx(
        resistance_to_remote(LUMP, 1.0) * rho / size, rel=1e-9
    )


def test_groups_are_means_of_panels() -> None:
    group = np.repeat([0, 1, -1], [60, 40, 60])
    found = group_resistance(LUMP, group, 0.3)
    diagonals = LUMP[:, 2:] - LUMP[:, :2]
    area = np.linalg.norm(np.cross(diagonals[:, 0], diagonals[:, 1]), axis=1)
    share = np.stack([np.where(group == k, area, 0.0) for k in (0, 1)])
    share /= share.sum(axis=1, keepdims=True)
    expected = share @ resistance_matrix(LUMP, 0.3) @ share.T
    assert found.matrix == pytest.approx(expected, rel=1e-3)
    assert found.remote == resistance_to_remote(LUMP, 0.3)
    assert 0.0 < found.asymmetry < 0.05


def test_even_spreading_costs_more_than_one_potential() -> None:
    # Thomson: the equipotential distribution dissipates least
    whole = group_resistance(BODY, np.zeros(len(BODY), dtype=np.int64), 0.3)
    assert whole.matrix[0, 0] > whole.remote


def test_a_bed_raises_the_resistance_until_it_is_far() -> None:
    deep = resistance_to_remote(BODY, 0.3)
    found = [resistance_to_remote(BODY, 0.3, depth=d) for d in (1.5, 5.0, 50.0, 1e4)]
    assert (np.diff(found) < 0.0).all()
    assert found[-1] == pytest.approx(deep, rel=2e-3)
    assert found[0] > 1.3 * deep


def test_plates_have_two_faces() -> None:
    # in the surface a plate's image lies upon it, so that it conducts downwards only
    floating = floating_disk(1.0, 6, 16)
    hung = floating - np.array([0.0, 0.0, 1e3])
    matrix = resistance_matrix(hung, 1.0)
    assert electrode(matrix) == pytest.approx(
        0.5 * resistance_to_remote(floating, 1.0), rel=1e-3
    )


def test_a_plate_beside_a_hull_sees_it() -> None:
    plate = np.array([[[0.0, 2, -0.2], [0.5, 2, -0.2], [0.5, 2, -0.7], [0, 2, -0.7]]])
    matrix = resistance_matrix(np.concatenate([BODY, plate]), 1.0)
    alone = resistance_matrix(plate, 1.0)[0, 0]
    assert alone < matrix[-1, -1] < 1.5 * alone
    assert np.linalg.eigvalsh(matrix)[0] > 0.0


@pytest.mark.parametrize(
    ("panels", "depth", "match"),
    [
        (BODY[:, :3], None, r"shape \(n, 4, 3\).*got \(160, 3, 3\)"),
        (np.where(BODY < -4.9, np.nan, BODY), None, r"must be known numbers"),
        (
            BODY + np.array([0.0, 0.0, 0.5]),
            None,
            r"rise above the water.*got up to 0\.5",
        ),
        (BODY, 0.9, r"above the sea bed at 0\.9 m, got down to 1 m"),
        (np.concatenate([BODY, BODY[:1] * 0.0]), None, r"panel 160 must have an area"),
        (
            np.concatenate([BODY[:50], BODY[50:51, ::-1], BODY[51:]]),
            None,
            r"must run the same way round.*List its corners in the other order",
        ),
    ],
)
def test_says_what_is_wrong(panels: Array, depth: float | None, match: str) -> None:
    with pytest.raises(InputError, match=match):
        resistance_matrix(panels, 0.3, depth=depth)
