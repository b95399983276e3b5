"""Triangular roots of many small matrices at once, the samples last."""

import numpy as np

from corrosion.foundation.types import Array


def whitened(root: Array, values: Array) -> Array:
    """Return L⁻¹ values; L (n, n, ...), values (n, ...)."""
    out = np.empty(np.broadcast_shapes(values.shape, root.shape[1:]))
    for i in range(len(values)):
        rest = values[i]
        for j in range(i):
            rest = rest - root[i, j] * out[j]
        np.divide(rest, root[i, i], out=out[i])
    return out


def solved(root: Array, values: Array) -> Array:
    """Return L⁻ᵀ values; L (n, n, ...), values (n, ...)."""
    out = np.empty_like(values)
    for i in reversed(range(len(values))):
        rest = values[i]
        for j in range(i + 1, len(values)):
            rest = rest - root[j, i] * out[j]
        np.divide(rest, root[i, i], out=out[i])
    return out


def root_of(matrix: Array) -> Array:
    """Return the lower triangular roots of (n, n, ...), in place."""
    n = len(matrix)
    for j in range(n):
        for k in range(j):
            for i in range(j, n):
                matrix[i, j] -= matrix[i, k] * matrix[j, k]
        np.sqrt(matrix[j, j], out=matrix[j, j])
        matrix[j + 1 :, j] /= matrix[j, j]
    return matrix
