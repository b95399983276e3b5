"""Triangular roots of many small matrices at once, the samples last."""

from typing import cast

import numpy as np

from corrosion.foundation.types import Array


def whitened(root: Array, values: Array) -> Array:
    """Return L⁻¹ values; L (n, n, ...), values (n, ...)."""
    shape = np.broadcast_shapes(values.shape, root.shape[1:])
    out = np.empty(shape, np.result_type(root, values))
    out[...] = values
    more = (1,) * (out.ndim + 1 - root.ndim)
    for j in range(len(out)):
        out[j] /= root[j, j]
        below = root[j + 1 :, j]
        out[j + 1 :] -= below.reshape(len(below), *more, *root.shape[2:]) * out[j]
    return out


def solved(root: Array, values: Array) -> Array:
    """Return L⁻ᵀ values; L (n, n, ...), values (n, ...)."""
    out = np.array(values)
    for i in reversed(range(len(values))):
        for pulled in root[i + 1 :, i] * out[i + 1 :]:
            out[i] -= pulled
        out[i] /= root[i, i]
    return out


def root_of(matrix: Array) -> Array:
    """Return the lower triangular roots of (n, n, ...), in place.

    What its precision cannot tell from singular is taken as just not singular.
    """
    n = len(matrix)
    tiny = 4.0 * n * np.finfo(matrix.dtype).eps
    for j in range(n):
        least = tiny * matrix[j, j]
        for k in range(j):
            matrix[j:, j] -= matrix[j:, k] * matrix[j, k]
        np.maximum(matrix[j, j], least, out=matrix[j, j])
        np.sqrt(matrix[j, j], out=matrix[j, j])
        matrix[j + 1 :, j] /= matrix[j, j]
    return matrix


def times(matrix: Array, values: Array) -> Array:
    """Return a matrix times values (n, ...): without what `numpy.tensordot` costs."""
    shape = len(matrix), *values.shape[1:]
    return np.asarray(matrix @ values.reshape(len(values), -1)).reshape(shape)


def single(values: Array) -> Array:
    """Return values in single precision, whatever their type says."""
    return cast("Array", values.astype(np.float32, "C", copy=False))
