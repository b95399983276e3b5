"""A hull whose plating is continuous: an oracle for the plating's graph of zones.

Nothing here comes from the package. Panels carry sources (the indirect
boundary-element method, mirrored at the water surface), and each is a cell of a
finite-volume mesh of the plate, joined to its four neighbours by the width of their
edge over the distance between their middles. It is coarse, and good for some per cent.
"""

import numpy as np

from corrosion.foundation.types import Array

_POINTS = 3  # a panel's sources are spread over as many points squared


def panels_of(grid: Array) -> tuple[Array, Array, Array, Array]:
    """Centres, outward normals, areas and source points of a grid of panels.

    ``grid`` (a + 1, b + 1, 3) runs from stem to stern and from the port waterline over
    the keel to the starboard one. [m]
    """
    p, q, r, s = grid[:-1, :-1], grid[1:, :-1], grid[1:, 1:], grid[:-1, 1:]
    vector = 0.5 * np.cross(r - p, s - q)
    area = np.linalg.norm(vector, axis=-1)
    centre = 0.25 * (p + q + r + s)
    inner = np.array([centre[..., 0].mean(), 0.0, 0.0])
    outward = np.sign(((centre - inner) * vector).sum(axis=-1))
    normal = vector * (outward / np.maximum(area, 1e-12))[..., None]
    t = (np.arange(_POINTS) + 0.5) / _POINTS
    u, v = (w.ravel()[:, None, None, None] for w in np.meshgrid(t, t))
    within = (1 - u) * ((1 - v) * p + v * s) + u * ((1 - v) * q + v * r)
    n = area.size
    points = np.moveaxis(within, 0, 2).reshape(n, -1, 3)
    return centre.reshape(n, 3), normal.reshape(n, 3), area.ravel(), points


def water_resistance(grid: Array, rho: float) -> Array:
    """Potential at each panel per ampere that leaves another [Ω]."""
    centre, normal, area, points = panels_of(grid)
    single, slope = np.zeros((2, len(area), len(area)))
    for up in (1.0, -1.0):
        apart = centre[:, None, None] - points[None] * [1.0, 1.0, up]
        far = np.linalg.norm(apart, axis=-1)
        own = np.arange(len(area))
        if up > 0.0:
            far[own, own] = np.sqrt(area / np.pi)[:, None] / 2.0  # at a disk's middle
        along = np.einsum("ijkx,ix->ijk", apart, normal) / far**3
        if up > 0.0:
            along[own, own] = 0.0  # a flat panel has no slope at its own middle
        single += (1.0 / far).mean(axis=2) * area / (4.0 * np.pi)
        slope -= along.mean(axis=2) * area / (4.0 * np.pi)
    density = np.linalg.inv(0.5 * np.eye(len(area)) - slope)
    return np.asarray(rho * single @ density / area)


def plate_laplacian(grid: Array, sheet: float) -> Array:
    """Laplacian of the plate; ``sheet``: ohms a square [S]."""
    rows, columns = grid.shape[0] - 1, grid.shape[1] - 1
    middle = 0.25 * (grid[:-1, :-1] + grid[1:, :-1] + grid[1:, 1:] + grid[:-1, 1:])
    number = np.arange(rows * columns).reshape(rows, columns)
    laplacian = np.zeros((number.size, number.size))
    edges = (
        (number[:-1], number[1:], grid[1:-1, 1:] - grid[1:-1, :-1]),
        (number[:, :-1], number[:, 1:], grid[1:, 1:-1] - grid[:-1, 1:-1]),
    )
    flat = middle.reshape(-1, 3)
    border = [0.5 * (grid[1:-1, 1:] + grid[1:-1, :-1])]
    border += [0.5 * (grid[1:, 1:-1] + grid[:-1, 1:-1])]
    for (one, two, edge), at in zip(edges, border, strict=True):
        i, j = one.ravel(), two.ravel()
        wide = np.linalg.norm(edge.reshape(-1, 3), axis=1)
        mid = at.reshape(-1, 3)
        long = np.linalg.norm(flat[i] - mid, axis=1)
        long += np.linalg.norm(flat[j] - mid, axis=1)
        g = wide / long / sheet
        np.add.at(laplacian, (i, i), g)
        np.add.at(laplacian, (j, j), g)
        np.add.at(laplacian, (i, j), -g)
        np.add.at(laplacian, (j, i), -g)
    return laplacian


def leaving(
    grid: Array, injected: Array, *, rho: float, sheet: float, ohm_m2: Array | float
) -> Array:
    """Current that leaves each panel for what is injected into each, summing to 0 [A].

    ``ohm_m2``: the contact of one square metre of plate with the water.
    """
    _, _, area, _ = panels_of(grid)
    per_volt = np.linalg.inv(
        water_resistance(grid, rho)
        + np.diag(np.broadcast_to(ohm_m2, area.shape) / area)
    )
    steel = np.linalg.solve(plate_laplacian(grid, sheet) + per_volt, injected)
    return np.asarray(per_volt @ steel)
