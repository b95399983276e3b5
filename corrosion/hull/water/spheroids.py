"""Small electrodes beside the hull: rudder, propeller, sea chest, bilge keel."""

from dataclasses import dataclass
from typing import Self

import numpy as np

from corrosion.foundation.types import Array
from corrosion.hull.water.influence import mirror_images

_LEAST = 0.05  # radius below which no part is taken to be [m]
_FOUR_PI = 4.0 * np.pi


@dataclass(frozen=True, slots=True, kw_only=True)
class Spheroids:
    r"""Prolate spheroids, each of which stands for a part.

    A part of area A and longest extent 2a has the semi-axes a and
    :math:`b = A/4\pi a`. Where it is as broad as long that is a sphere of its area;
    where it is long, it has the resistance of a thin elliptic plate of that length and
    of that area on both faces (a strip is worth a rod of a quarter of its width).

    Arrays are of shape (m, 3) where no other is said.
    """

    centre: Array  # centres, z up from the waterline [m]
    half_length: Array  # shape (m,): longer semi-axis a [m]
    focus: Array  # from the centre to a focus: none for a sphere [m]

    @classmethod
    def of_parts(cls, centre: Array, area: Array, extent: Array) -> Self:
        """Return the spheroids of parts.

        Parameters
        ----------
        centre : ndarray, shape (m, 3)
            Centres. [m]
        area : ndarray, shape (m,)
            Area that faces the water, of both faces. [m²]
        extent : ndarray, shape (m, 3)
            Along the longest extent, from end to end. [m]

        Returns
        -------
        Spheroids
            Of radii of 5 cm at least.
        """
        half = 0.5 * np.linalg.norm(extent, axis=1)
        a = np.maximum(np.maximum(half, np.sqrt(area / _FOUR_PI)), _LEAST)
        b = np.clip(area / (_FOUR_PI * a), _LEAST, a)
        direction = extent / np.maximum(2.0 * half, _LEAST)[:, None]
        return cls(
            centre=centre,
            half_length=a,
            focus=direction * np.sqrt(a**2 - b**2)[:, None],
        )


def spheroids_to_points(
    parts: Spheroids, points: Array, depth: float | None, bed: float
) -> Array:
    r"""Return the potential at points for each ampere that leaves a spheroid.

    Parameters
    ----------
    parts : Spheroids
    points : ndarray, shape (k, 3)
        Where the potential is wanted; within a part, that of its surface. [m]
    depth : float or None
        Depth of water; None: deep. [m]
    bed : float
        Resistivity of the sea bed over that of the water. [-]

    Returns
    -------
    ndarray, shape (m, k)
        In water of 1 Ω·m, summed over the images. [Ω]

    Notes
    -----
    .. math:: \phi = \frac{1}{4 \pi c} \operatorname{artanh} \frac{2c}{r_1 + r_2}

    with c from centre to focus and r₁, r₂ the distances to the foci; on the surface
    :math:`r_1 + r_2 = 2a` [1]_. A sphere's is :math:`1/4\pi d`.

    References
    ----------
    .. [1] L. D. Landau and E. M. Lifshitz, "Electrodynamics of Continuous Media", §4
       (from memory).
    """
    total = np.zeros((len(parts.centre), len(points)))
    for up, level, weight in mirror_images(depth, bed):
        flip, lift = np.array([1.0, 1.0, up]), np.array([0.0, 0.0, level])
        centre, focus = parts.centre * flip + lift, parts.focus * flip
        far = sum(
            np.linalg.norm((centre + sign * focus)[:, None] - points[None], axis=-1)
            for sign in (1.0, -1.0)
        )
        mean = np.maximum(0.5 * far, parts.half_length[:, None])
        share = np.linalg.norm(focus, axis=1)[:, None] / mean  # 2c / (r1 + r2)
        bulge = np.arctanh(share) / np.where(share > 0.0, share, 1.0)
        total += weight * np.where(share > 0.0, bulge, 1.0) / mean
    return total / _FOUR_PI


def between_spheroids(parts: Spheroids, depth: float | None, bed: float) -> Array:
    """Return the resistance between spheroids in water of 1 Ω·m.

    Parameters
    ----------
    parts : Spheroids
    depth : float or None
        Depth of water; None: deep. [m]
    bed : float
        Resistivity of the sea bed over that of the water. [-]

    Returns
    -------
    ndarray, shape (m, m)
        Potential of one, the mean along the line between its foci, on which its own
        charge would lie; symmetric. [Ω]
    """
    nodes, weights = np.polynomial.legendre.leggauss(8)
    along = parts.centre[:, None] + nodes[:, None] * parts.focus[:, None]
    at = spheroids_to_points(parts, along.reshape(-1, 3), depth, bed)
    mean = at.reshape(len(at), len(at), len(nodes)) @ (0.5 * weights)
    return np.asarray(0.5 * (mean + mean.T))
