"""Triangular roots of many small matrices at once, the samples last."""

from typing import cast

import numpy as np

from corrosion.foundation.types import Array


def whitened(root: Array, values: Array) -> Array:
    """Return L⁻¹ values; L (n, n, ...), values (n, ...)."""
    shape = np.broadcast_shapes(values.shape, root.shape[1:])
    out = np.empty(shape, np.result_type(root, values))
    for i in range(len(values)):
        rest = out[i]
        rest[...] = values[i]
        for j in range(i):
            rest -= root[i, j] * out[j]
        rest /= root[i, i]
    return out


def solved(root: Array, values: Array) -> Array:
    """Return L⁻ᵀ values; L (n, n, ...), values (n, ...)."""
    out = np.array(values)
    for i in reversed(range(len(values))):
        for j in range(i + 1, len(values)):
            out[i] -= root[j, i] * out[j]
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
            for i in range(j, n):
                matrix[i, j] -= matrix[i, k] * matrix[j, k]
        np.maximum(matrix[j, j], least, out=matrix[j, j])
        np.sqrt(matrix[j, j], out=matrix[j, j])
        matrix[j + 1 :, j] /= matrix[j, j]
    return matrix


def single(values: Array) -> Array:
    """Return values in single precision, whatever their type says."""
    return cast("Array", values.astype(np.float32, "C", copy=False))
