"""What a set of panels must be before it is solved, and whether it has two sides."""

import numpy as np
import numpy.typing as npt

from corrosion.foundation.errors import InputError
from corrosion.foundation.types import Array, BoolArray, IntArray
from corrosion.hull.water.influence import Geometry

_SAME = 1e-9  # what counts as the same place, relative to the extent of the mesh
_ASKEW = np.sqrt([2.0, 3.0, 5.0, 7.0, 11.0, 13.0, 17.0])


def checked_corners(panels: npt.ArrayLike, depth: float | None) -> Array:
    """Return the corners of panels as an array, or say what is wrong with them.

    Parameters
    ----------
    panels : array_like, shape (n, 4, 3)
        Corners. [m]
    depth : float or None
        Depth of water; None: deep. [m]

    Returns
    -------
    ndarray, shape (n, 4, 3)
        The same corners; those within rounding of the surface lie in it. [m]

    Raises
    ------
    InputError
        If a panel has no area, lies above the water or below the bed, or neighbours
        do not run the same way round.
    """
    corners = np.array(panels, dtype=np.float64)
    if corners.ndim != 3 or corners.shape[1:] != (4, 3) or len(corners) == 0:
        msg = (
            "panels: corners must have the shape (n, 4, 3) with n at least 1, got "
            f"{corners.shape}. A triangle repeats a corner."
        )
        raise InputError(msg)
    unknown = ~np.isfinite(corners)
    _refuse(unknown, "must be known numbers (m)", "Fill the blanks or drop the panel")
    extent = float(np.ptp(corners, axis=(0, 1)).max())
    z = corners[..., 2]
    _refuse(
        z > 1e-6 * extent,
        f"must not rise above the water, z <= 0 m, got up to {float(z.max()):g} m",
        "z points up; cut the mesh at the waterline",
    )
    corners[..., 2] = np.minimum(z, 0.0)
    if depth is not None:
        _refuse(
            z <= -depth,
            f"must lie above the sea bed at {depth:g} m, got down to {-z.min():g} m",
            "Check the depth of water against the draught",
        )
    diagonals = corners[:, 2:] - corners[:, :2]
    area = 0.5 * np.linalg.norm(np.cross(diagonals[:, 0], diagonals[:, 1]), axis=1)
    _refuse(area <= 1e-12 * extent**2, "must have an area (m²)", "Drop empty panels")
    _refuse(
        _turned(corners, extent),
        "must run the same way round as the panels beside it",
        "List its corners in the other order",
    )
    return corners


def _refuse(wrong: BoolArray, must: str, remedy: str) -> None:
    """Raise for panels of which anything is wrong; the first axis counts panels."""
    panels = np.flatnonzero(wrong.reshape(len(wrong), -1).any(axis=1))
    if len(panels):
        first = int(panels[0])
        count = f"{len(panels)} of {len(wrong)}"
        msg = f"panels: panel {first} {must} ({count}). {remedy}."
        raise InputError(msg)


def _turned(corners: Array, extent: float) -> BoolArray:
    """Say which panels share an edge that runs the same way and never back."""
    places = np.round(corners.reshape(-1, 3) / (_SAME * extent)).astype(np.int64)
    corner = np.unique(places, axis=0, return_inverse=True)[1].reshape(-1, 4)
    start, end = corner, np.roll(corner, -1, axis=1)
    count = corner.max() + 1
    there, back = start * count + end, end * count + start
    edges, times = np.unique(there[start != end], return_counts=True)
    twice = np.isin(there, edges[times > 1]) & ~np.isin(back, edges) & (start != end)
    return np.asarray(twice)


def mirrored_order(shape: Geometry) -> tuple[IntArray, int]:
    """Return an order that lists one side of a mesh, then its mirror image in y.

    Returns
    -------
    order : ndarray of int, shape (n,)
        Panels on one side, then their images in the same sequence; as they are where
        the mesh is not mirrored about y = 0.
    sides : int
        2 for a mirrored mesh, else 1.
    """
    everything = np.arange(len(shape.area))
    flip = np.array([1.0, -1.0, 1.0])
    scale = float(np.ptp(shape.centre, axis=0).max(initial=0.0)) or 1.0
    root = np.sqrt(shape.area)[:, None]
    looks = np.column_stack([shape.centre, scale * shape.normal, root])
    images = np.column_stack([shape.centre * flip, scale * shape.normal * flip, root])
    if len(looks) % 2:
        return everything, 1
    # Along a direction askew to the mesh only a panel and its image lie in one place,
    # once signs of y are dropped: sorted along it, they are neighbours.
    unsigned = looks.copy()
    unsigned[:, [1, 4]] = np.abs(looks[:, [1, 4]])
    pairs = np.argsort(unsigned @ _ASKEW).reshape(-1, 2)
    image = np.empty(len(looks), dtype=np.int64)
    image[pairs] = pairs[:, ::-1]
    gap = np.linalg.norm(looks[image] - images, axis=1)
    if not (gap < _SAME * scale).all():
        return everything, 1
    one = everything[everything < image]
    return np.concatenate([one, image[one]]), 2
