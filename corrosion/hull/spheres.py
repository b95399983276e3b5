"""Small electrodes beside the hull: rudder, propeller, sea chest, bilge keel."""

import numpy as np

from corrosion.hull.influence import mirror_images
from corrosion.types import Array

__all__ = ["sphere_radius", "sphere_to_points", "sphere_to_sphere"]

_LEAST = 0.05  # radius below which no part is taken to be [m]


def sphere_radius(area: Array) -> Array:
    r"""Return the radius of spheres of a given area, :math:`\sqrt{A/4\pi}`.

    Parameters
    ----------
    area : ndarray, shape (m,)
        Area that faces the water. [m²]

    Returns
    -------
    ndarray, shape (m,)
        Radius, at least 5 cm. [m]

    Examples
    --------
    >>> round(float(sphere_radius(np.array([4.0 * np.pi]))[0]), 6)
    1.0
    """
    return np.maximum(np.sqrt(area / (4.0 * np.pi)), _LEAST)


def sphere_to_points(
    centre: Array, radius: Array, points: Array, depth: float | None
) -> Array:
    r"""Return the potential at points for each ampere that leaves a sphere.

    Parameters
    ----------
    centre : ndarray, shape (m, 3)
        Centres, z up from the waterline. [m]
    radius : ndarray, shape (m,)
        Radii; inside a sphere the potential is that of its surface. [m]
    points : ndarray, shape (k, 3)
        Where the potential is wanted. [m]
    depth : float or None
        Depth of water; None: deep. [m]

    Returns
    -------
    ndarray, shape (m, k)
        In water of 1 Ω·m; :math:`1/4\pi d`, summed over the images. [Ω]
    """
    return _summed(centre, points, radius[:, None], depth)


def sphere_to_sphere(centre: Array, radius: Array, depth: float | None) -> Array:
    """Return the resistance between spheres in water of 1 Ω·m.

    Parameters
    ----------
    centre, radius, depth
        As :func:`sphere_to_points`; two spheres are never closer than touching.

    Returns
    -------
    ndarray, shape (m, m)
        Symmetric. [Ω]
    """
    least = np.add.outer(radius, radius)
    np.fill_diagonal(least, radius)
    return _summed(centre, centre, least, depth)


def _summed(one: Array, two: Array, least: Array, depth: float | None) -> Array:
    total = np.zeros((len(one), len(two)))
    for up, level, weight in mirror_images(depth):
        image = one * [1.0, 1.0, up] + [0.0, 0.0, level]
        apart = np.linalg.norm(image[:, None] - two[None], axis=-1)
        total += weight / np.maximum(apart, least)
    return total / (4.0 * np.pi)
