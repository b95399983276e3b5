"""Boundary elements against closed forms, and against finite elements."""

from collections.abc import Callable

import numpy as np
import pytest
from hull.bodies import floating_disk, quads, spheroid, standing_disk

from corrosion.foundation.types import Array
from corrosion.hull.water.boundary_elements import (
    group_resistance,
    resistance_matrix,
    resistance_to_remote,
)

SMYTHE = "Smythe, Static and Dynamic Electricity; Landau & Lifshitz, ECM section 4"


def prolate(half_length: float, radius: float) -> float:
    """Half-immersed prolate spheroid to remote earth, in 1 Ω·m."""
    if half_length == radius:
        return 2.0 / (4.0 * np.pi * radius)
    c = np.sqrt(half_length**2 - radius**2)
    whole = np.log((half_length + c) / (half_length - c)) / (8.0 * np.pi * c)
    return float(2.0 * whole)


@pytest.mark.published(
    source=SMYTHE,
    where="sphere and prolate spheroids half immersed, 2,000 panels, within 0.5 %",
    status="from memory",
)
@pytest.mark.parametrize(
    ("half_length", "radius", "along", "around"),
    [
        (1.0, 1.0, 62, 32),
        (10.0, 5.0, 62, 32),
        (50.0, 5.0, 90, 22),
        (50.0, 2.5, 110, 18),
    ],
)
def test_spheroids(half_length: float, radius: float, along: int, around: int) -> None:
    body = spheroid(half_length, radius, along, around)
    found = resistance_to_remote(body, 1.0)
    assert found == pytest.approx(prolate(half_length, radius), rel=0.0015)


@pytest.mark.published(
    source=SMYTHE,
    where="order of convergence, sphere and spheroid",
    status="from memory",
)
@pytest.mark.parametrize(("half_length", "along"), [(1.0, 16), (5.0, 24)])
def test_converges_at_second_order(
    half_length: float, along: int, record_property: Callable[[str, object], None]
) -> None:
    errors = [
        resistance_to_remote(spheroid(half_length, 1.0, n * along, n * 8), 1.0)
        / prolate(half_length, 1.0)
        - 1.0
        for n in (1, 2, 4)
    ]
    orders = -np.diff(np.log2(np.abs(errors)))
    record_property("order", orders.round(2).tolist())
    print(f"half length {half_length:g}: errors {errors}, orders {orders}")  # noqa: T201 - the order is to be seen
    assert orders == pytest.approx(2.0, abs=0.1)
    extrapolated = errors[2] + (errors[2] - errors[1]) / 3.0
    assert extrapolated == pytest.approx(0.0, abs=3e-4)


@pytest.mark.published(
    source="Newman, J. Electrochem. Soc. 113, 1966, 501",
    where="disk in the surface of a half space, ρ/4a",
    status="secondary",
)
def test_floating_disk() -> None:
    found = resistance_to_remote(floating_disk(2.0, 20, 50), 3.0)
    assert found == pytest.approx(3.0 / (4.0 * 2.0), rel=0.0025)


@pytest.mark.published(
    source="Newman, J. Electrochem. Soc. 113, 1966, 501",
    where="thin disk standing half immersed, closed at its rim, ρ/4a",
    status="secondary",
)
@pytest.mark.parametrize("solve", [resistance_to_remote, "matrix"])
def test_thin_disk(solve: Callable[[Array, float], float] | str) -> None:
    disk = standing_disk(2.0, 0.01, 14, 36)
    if callable(solve):
        found = solve(disk, 3.0)
    else:
        found = (
            1.0
            / np.linalg.solve(resistance_matrix(disk, 3.0), np.ones(len(disk))).sum()
        )
    assert found == pytest.approx(3.0 / (4.0 * 2.0), rel=0.01)


@pytest.mark.published(
    source="Superposition of point sources at the surface of a half space",
    where="mutual resistance of two distant bodies, ρ/2πd",
    status="computed",
)
@pytest.mark.parametrize("distance", [20.0, 60.0])
def test_distant_bodies(distance: float) -> None:
    one = spheroid(1.0, 1.0, 16, 8)
    other = spheroid(1.0, 0.5, 16, 8) + np.array([distance, 0.0, 0.0])
    group = np.repeat([0, 1], [len(one), len(other)])
    found = group_resistance(np.concatenate([one, other]), group, 0.3).matrix
    assert found[0, 1] == pytest.approx(0.3 / (2.0 * np.pi * distance), rel=0.005)


@pytest.mark.published(
    source="scikit-fem, quadratic elements, axisymmetric",
    where="half-immersed cylinder with flat ends, length 4 radii",
    status="computed",
)
def test_cylinder_against_finite_elements() -> None:
    found = resistance_to_remote(cylinder(1.0, 2.0, 40, 24, 32), 1.0)
    assert found == pytest.approx(cylinder_by_finite_elements(1.0, 2.0), rel=0.004)


def cylinder(radius: float, half: float, along: int, ends: int, around: int) -> Array:
    """Lower half of a cylinder with flat ends, finer at its edges."""
    fine = np.sin(np.linspace(0.0, np.pi / 2.0, ends + 1)) * radius
    side = -half * np.cos(np.linspace(0.0, np.pi, along + 1))
    r = np.concatenate([fine, np.full(along - 1, radius), fine[::-1]])
    x = np.concatenate([np.full(ends, -half), side, np.full(ends, half)])
    turn = np.linspace(0.0, np.pi, around + 1)
    z = -np.outer(r, np.sin(turn))
    z[:, -1] = 0.0
    grid = [np.broadcast_to(x[:, None], z.shape), np.outer(r, np.cos(turn)), z]
    return quads(np.stack(grid, axis=-1))


def cylinder_by_finite_elements(radius: float, half: float) -> float:
    """The same in 1 Ω·m, from a quarter of its meridian plane.

    Far off the potential falls as 1/r, which closes the outer boundary.
    """
    import skfem  # noqa: PLC0415 - slow to import, used once

    def graded(edge: float) -> Array:
        inside = edge * np.sin(np.linspace(0.0, np.pi / 2.0, 14))
        return np.concatenate([inside, edge + np.geomspace(0.008, 40.0, 40)])

    box = skfem.MeshQuad.init_tensor(graded(half), graded(radius))
    middle = box.p[:, box.t].mean(axis=1)
    within = np.flatnonzero((middle[0] < half) & (middle[1] < radius))
    mesh = box.remove_elements(within)
    basis = skfem.Basis(mesh, skfem.ElementQuad2())
    reach = mesh.p.max() * 0.999
    outer = mesh.facets_satisfying(lambda x: np.maximum(x[0], x[1]) > reach - 1.0, True)
    field = skfem.BilinearForm(
        lambda u, v, w: w.x[1] * (u.grad[0] * v.grad[0] + u.grad[1] * v.grad[1])
    )
    fall = skfem.BilinearForm(
        lambda u, v, w: w.x[1] * u * v * (w.n * w.x).sum(0) / (w.x**2).sum(0)
    )
    stiffness = field.assemble(basis) + fall.assemble(basis.boundary(outer))
    metal = basis.get_dofs(
        lambda x: (x[0] < half + 1e-9) & (x[1] < radius + 1e-9)
    ).all()
    u = skfem.solve(
        *skfem.condense(stiffness, x=np.isin(np.arange(basis.N), metal) * 1.0, D=metal)
    )
    return float(2.0 / (4.0 * np.pi * (u @ (stiffness @ u))))
