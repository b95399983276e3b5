"""The inverse of many small symmetric matrices."""

import numpy as np

from corrosion.foundation.types import Array

_SMALL = 7  # rows up to which pivots are taken one by one, all matrices at once


def symmetric_inverse(matrices: Array) -> Array:
    """Return the inverse of symmetric, positive definite matrices.

    Parameters
    ----------
    matrices : ndarray, shape (..., n, n)
        As resistances are. [Ω]

    Returns
    -------
    ndarray, shape (..., n, n)
        Block by block (Schur's complement): half of what the general routine takes, a
        matrix at a time, and as exact, as no pivot of such a matrix is small. [S]

    Examples
    --------
    >>> symmetric_inverse(np.array([[[2.0, 1.0], [1.0, 1.0]]]))
    array([[[ 1., -1.],
            [-1.,  2.]]])
    """
    count = matrices.shape[-1]
    if count <= _SMALL:
        return _by_pivots(matrices)
    half = count // 2
    aside = np.ascontiguousarray(matrices[..., :half, half:])
    first = symmetric_inverse(matrices[..., :half, :half])
    moved = first @ aside
    turned = np.ascontiguousarray(moved.swapaxes(-1, -2))
    rest = symmetric_inverse(matrices[..., half:, half:] - turned @ aside)
    inverse = np.empty(matrices.shape)
    across = moved @ rest
    inverse[..., :half, :half] = first + across @ turned
    inverse[..., :half, half:] = -across
    inverse[..., half:, :half] = -across.swapaxes(-1, -2)
    inverse[..., half:, half:] = rest
    return inverse


def _by_pivots(matrices: Array) -> Array:
    """Return inverses by Gauss and Jordan, the matrices along the last axis."""
    left = np.array(np.moveaxis(matrices, (-2, -1), (0, 1)), order="C")  # a copy
    for k in range(len(left)):
        pivot = 1.0 / left[k, k]
        row, column = left[k] * pivot, left[:, k].copy()
        left -= column[:, None] * row[None]
        left[k], left[:, k] = row, -column * pivot
        left[k, k] = pivot
    return np.ascontiguousarray(np.moveaxis(left, (0, 1), (-2, -1)))
