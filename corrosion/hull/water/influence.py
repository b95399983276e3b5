"""Potentials of flat panels: the two integrals from which boundary elements are made.

A panel of constant density gives, at a point x, the single layer
``S = ∫ dS / (4π r)`` and the double layer ``D = ∫ n·(x − y) dS / (4π r³)``. Near a
panel both are exact (closed form of a flat triangle; solid angle); farther off than
``_NEAR`` panel diameters they are the multipole series up to the quadrupole.
"""

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Any

import numpy as np

from corrosion.foundation.types import Array, IntArray

_NEAR = 1.5  # panel diameters within which the integrals are exact
_FLAT = 1e-9  # height over edge below which a point lies in the plane
_BLOCK = 1 << 16  # pairs worked on at once, so that they stay in the cache
_PAIRS = 1 << 13  # close pairs integrated at once
_FAINTEST = 1e-3  # images in the sea bed that count less are left out
_FOUR_PI = 4.0 * np.pi


@dataclass(frozen=True, slots=True, kw_only=True)
class Geometry:
    """Panels with all that their potentials need.

    Arrays are of shape (n,) where no other is said.
    """

    # shape (n, 2, 3, 3): two triangles a panel, split along its shorter diagonal [m]
    triangles: Array
    # centre, normal: shape (n, 3): centre of area [m] and unit normal
    centre: Array
    normal: Array
    # area, diameter: area [m²] and longest extent [m]
    area: Array
    diameter: Array
    trace: Array  # trace of the second moment of area [m⁴]
    # shape (n, 3, 3): trace-free part of the second moment, as it enters 1/r [m⁴]
    quadrupole: Array


def geometry(corners: Array) -> Geometry:
    """Return the geometry of panels.

    Parameters
    ----------
    corners : ndarray, shape (n, 4, 3)
        Corners, anticlockwise seen from the water; a triangle repeats one. [m]

    Returns
    -------
    Geometry
        Triangles, centres, normals, areas and second moments.
    """
    a, b, c, d = np.moveaxis(corners, 1, 0)
    first = np.linalg.norm(c - a, axis=1) <= np.linalg.norm(d - b, axis=1)
    one = np.where(first[:, None, None], np.stack([a, b, c], 1), np.stack([b, c, d], 1))
    two = np.where(first[:, None, None], np.stack([a, c, d], 1), np.stack([b, d, a], 1))
    triangles = np.stack([one, two], axis=1)
    vector = 0.5 * np.cross(
        triangles[:, :, 1] - triangles[:, :, 0], triangles[:, :, 2] - triangles[:, :, 0]
    )
    parts = np.linalg.norm(vector, axis=-1)
    area = parts.sum(axis=1)
    mid = triangles.mean(axis=2)
    centre = np.einsum("nt,ntx->nx", parts, mid) / area[:, None]
    total = vector.sum(axis=1)
    # A triangle's second moment about any point is area / 12 times the sum over its
    # corners of v v' plus 9 m m', m its centre: hence corners and three times m.
    arm = np.concatenate([triangles, 3.0 * mid[:, :, None]], axis=2)
    arm[:, :, :3] -= centre[:, None, None]
    arm[:, :, 3] -= 3.0 * centre[:, None]
    moment = np.einsum("nt,ntvx,ntvy->nxy", parts / 12.0, arm, arm)
    trace = np.trace(moment, axis1=1, axis2=2)
    extent = np.linalg.norm(corners[:, :, None] - corners[:, None], axis=-1)
    return Geometry(
        triangles=triangles,
        centre=centre,
        normal=total / np.linalg.norm(total, axis=1)[:, None],
        area=area,
        diameter=extent.max(axis=(1, 2)),
        trace=trace,
        quadrupole=1.5 * moment - 0.5 * trace[:, None, None] * np.eye(3),
    )


def mirror_images(depth: float | None, bed: float) -> list[tuple[float, float, float]]:
    """Return a body's images in water surface and sea bed, the body among them.

    Parameters
    ----------
    depth : float or None
        Depth of water; None: deep. [m]
    bed : float
        Resistivity of the sea bed over that of the water. [-]

    Returns
    -------
    list of (up, level, weight)
        As :func:`layers` takes them. A bed reflects a share k of each image, so that
        those at 2 n depth count k to the n; below 1e-3 they are left out.
    """
    if depth is None:
        return [(1.0, 0.0, 1.0), (-1.0, 0.0, 1.0)]
    reflected = (bed - 1.0) / (bed + 1.0)
    passes = int(np.log(_FAINTEST) / np.log(reflected))
    return [
        (up, 2.0 * n * depth, reflected ** abs(n))
        for n in range(-passes, passes + 1)
        for up in (1.0, -1.0)
    ]


def layers(
    points: Array, panels: Geometry, images: Sequence[tuple[float, float, float]]
) -> tuple[Array, Array]:
    r"""Return single and double layer of every panel, with its images, at every point.

    Parameters
    ----------
    points : ndarray, shape (m, 3)
        Where the potential is wanted. [m]
    panels : Geometry
    images : sequence of (up, level, weight)
        Mirrors of the panels: ``up`` -1 where turned upside down, else 1; ``level``
        by which they are shifted [m]; how much they count. ``(1, 0, 1)`` is the panels
        themselves.

    Returns
    -------
    single : ndarray, shape (m, n)
        Integral of :math:`1/4\pi r` over the panel. [m]
    double : ndarray, shape (m, n)
        Solid angle over :math:`4\pi`, positive on the side of the normal; that of a
        panel at its own centre is 0. [-]

    Notes
    -----
    With r from panel centre to point, M the second moment of the panel, tr its trace
    and :math:`Q = r^T(\frac32 M - \frac12 \mathrm{tr})r`, the far field is

    .. math:: 4\pi S = \frac1r\left(A + \frac{Q}{r^4}\right), \quad
       4\pi D = \frac{n \cdot r}{r^3}\left(A + \frac{tr}{r^2} + \frac{5Q}{r^4}\right)

    An image at a point is the panel itself at the mirrored point. Those in the sea bed,
    all off by twice the depth and more, are summed to seven digits: in half the time.
    """
    single = np.zeros((len(points), len(panels.area)))
    double = np.zeros_like(single)
    columns = {kind: _columns(panels, kind) for kind in (np.float64, np.float32)}
    step = max(1, _BLOCK // len(panels.area))
    for up, level, weight in images:
        mirrored = points * [1.0, 1.0, up] + [0.0, 0.0, level]
        of_kind = columns[np.float32 if level else np.float64]
        close = []
        for start in range(0, len(points), step):
            rows = slice(start, start + step)
            one, two, i, j = _far(mirrored[rows], of_kind, weight)
            close.append((i + start, j))
            single[rows] += one
            double[rows] += two
        i, j = (np.concatenate(each) for each in zip(*close, strict=True))
        for start in range(0, len(i), _PAIRS):  # many at once: their passes are short
            pair = i[start : start + _PAIRS], j[start : start + _PAIRS]
            one, two = _near(mirrored[pair[0]], panels, pair[1])
            single[pair] += weight * one
            double[pair] += weight * two
    return single, double


def _near(x: Array, panels: Geometry, j: IntArray) -> tuple[Array, Array]:
    """Exact layers of panel j at point x, a pair each."""
    single, double = triangle_layers(
        np.repeat(x, 2, axis=0), panels.triangles[j].reshape(-1, 3, 3)
    )
    apart = np.square(x - panels.centre[j]).sum(axis=1)
    own = apart < np.square(_FLAT * panels.diameter[j])
    double = np.where(own, 0.0, double.reshape(-1, 2).sum(axis=1))
    return single.reshape(-1, 2).sum(axis=1), double


def _columns(panels: Geometry, kind: type[np.floating[Any]]) -> tuple[Array, ...]:
    """Coefficients that turn powers of x into r², n·r, rᵀTr; area, trace and near²."""
    c, n, t = panels.centre, panels.normal, panels.quadrupole
    # r = x - c: r^2, n.r and r'T r are polynomials in x whose coefficients belong to
    # the panel alone, so that pairs cost a matrix product and not passes over all of
    # them.
    tc = np.einsum("nxy,ny->nx", t, c)
    square = np.column_stack([-2.0 * c, np.ones(len(c)), np.square(c).sum(axis=1)])
    along = np.column_stack([n, -np.einsum("nx,nx->n", n, c)])
    pure = np.diagonal(t, axis1=1, axis2=2)
    mixed = 2.0 * t[:, [0, 0, 1], [1, 2, 2]]
    rest = np.einsum("nx,nx->n", c, tc)
    form = np.column_stack([pure, mixed, -2.0 * tc, rest])
    near = np.square(_NEAR * panels.diameter)
    each = square.T, along.T, form.T, panels.area, panels.trace, near
    return tuple(np.array(values, kind, order="C") for values in each)


def _far(
    points: Array, columns: tuple[Array, ...], weight: float
) -> tuple[Array, Array, IntArray, IntArray]:
    """Far field of both layers, and the pairs too close for it."""
    square, along, form, area, trace, near = columns
    x = points.astype(area.dtype)
    ones = np.ones_like(x[:, :1])
    powers = [np.square(x), x[:, [0, 0, 1]] * x[:, [1, 2, 2]], x, ones]
    r2 = np.column_stack([x, powers[0].sum(axis=1), ones]) @ square
    # These are done exactly by the caller; any distance will do for them meanwhile.
    i, j = np.divmod(np.flatnonzero(r2 < near), len(area))
    r2[i, j] = 1.0
    inverse = np.divide(1.0, r2, out=r2)
    q = np.column_stack(powers) @ form
    q *= inverse
    q *= inverse
    # 4 pi D = n.r / r^3 (A + tr / r^2 + 5 Q / r^4), then 4 pi S = (A + Q / r^4) / r:
    # written into the same arrays, for the passes over memory are what takes time.
    double = inverse * trace
    double += area
    double += 5.0 * q
    double *= inverse
    q += area
    root = np.sqrt(inverse, out=inverse)
    root *= weight / _FOUR_PI
    q *= root
    double *= root
    double *= np.column_stack([x, ones]) @ along
    q[i, j] = double[i, j] = 0.0
    return q, double, i, j


def triangle_layers(points: Array, triangles: Array) -> tuple[Array, Array]:
    r"""Return single and double layer of flat triangles, one at each point.

    Parameters
    ----------
    points : ndarray, shape (n, 3)
        Where the potential is wanted; may lie in the triangle. [m]
    triangles : ndarray, shape (n, 3, 3)
        Corners, anticlockwise seen from the side to which the normal points; a
        triangle without area counts as nothing. [m]

    Returns
    -------
    single, double : ndarray, shape (n,)
        As :func:`layers`. [m], [-]

    Notes
    -----
    With d the distance in the plane from the foot of the point to each edge, h its
    height and :math:`\Omega` the solid angle [2]_, the potential is [1]_

    .. math:: \int \frac{dS}{r} = \sum_{edges} d \ln\frac{r_a + r_b + l}{r_a + r_b - l}
       - h\,\Omega

    References
    ----------
    .. [1] D. R. Wilton and others, "Potential integrals for uniform and linear source
       distributions on polygonal and polyhedral domains", IEEE Trans. Antennas
       Propag. 32, 1984, 276 (from memory).
    .. [2] A. van Oosterom and J. Strackee, "The solid angle of a plane triangle", IEEE
       Trans. Biomed. Eng. 30, 1983, 125 (from memory).
    """
    arm = triangles - points[:, None]
    edge = np.roll(triangles, -1, axis=1) - triangles
    normal = np.cross(edge[:, 0], edge[:, 1])
    size = np.linalg.norm(normal, axis=1)
    normal /= np.where(size > 0.0, size, 1.0)[:, None]
    r = np.linalg.norm(arm, axis=2)
    length = np.linalg.norm(edge, axis=2)
    reach = r + np.roll(r, -1, axis=1)
    known = length > 0.0
    outward = np.cross(edge, normal[:, None]) / np.where(known, length, 1.0)[..., None]
    away = np.einsum("nvx,nvx->nv", arm, outward)
    # On the line of an edge the logarithm has no bound; its factor, the distance to
    # that line, goes to nothing faster.
    gap = np.maximum(reach - length, 1e-15 * reach)
    logarithm = np.log((reach + length) / np.where(gap > 0.0, gap, 1.0))
    height = -np.einsum("nx,nx->n", arm[:, 0], normal)
    a, b, c = np.moveaxis(arm, 1, 0)
    # tan(angle / 2) = a.(b x c) / (abc + (a.b) c + (b.c) a + (c.a) b) [2]
    volume = np.einsum("nx,nx->n", a, np.cross(b, c))
    dots = np.einsum("nvx,nvx->nv", arm, np.roll(arm, -1, axis=1))
    below = r.prod(axis=1) + (dots * np.roll(r, 1, axis=1)).sum(axis=1)
    angle = -2.0 * np.arctan2(volume, below)
    # In the plane the angle jumps from one half to minus one half: the mean is taken.
    angle[np.abs(height) <= _FLAT * length.max(axis=1)] = 0.0
    potential = (away * logarithm).sum(axis=1) - height * angle
    return potential / _FOUR_PI, angle / _FOUR_PI
