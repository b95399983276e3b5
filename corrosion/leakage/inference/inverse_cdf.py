"""One hand for drawing from cells: inverse distribution, and a number used twice."""

import numpy as np

from corrosion.foundation.types import Array, IntArray

_DIGITS = 64.0
_TINY = float(np.finfo(np.float64).tiny)


def sample_cell(weight: Array, uniform: Array) -> tuple[IntArray, Array]:
    """Draw one cell a row by inverse distribution.

    Parameters
    ----------
    weight : ndarray, shape (samples or 1, cells)
        Of each cell, not negative. [-]
    uniform : ndarray, shape (samples,)
        Numbers in (0, 1); the cell grows with them. [-]

    Returns
    -------
    cell : ndarray of int, shape (samples,)
        Position of the cell drawn.
    place : ndarray, shape (samples,)
        How far the number lies within its cell, 0 to 1. [-]

    Examples
    --------
    >>> sample_cell(np.array([[1.0, 0.0, 3.0]]), np.array([0.125, 0.625]))
    (array([0, 2]), array([0.5, 0.5]))
    """
    cdf = np.cumsum(weight, axis=-1)
    if len(cdf) == 1:
        target = cdf[0, -1] * uniform
        cell = np.searchsorted(cdf[0], target)
        cell = np.minimum(cell, cdf.shape[-1] - 1)
        upper, mass = cdf[0, cell], weight[0, cell]
    else:
        rows = np.arange(len(cdf))
        target = cdf[:, -1] * uniform
        cell = (cdf < target[:, None]).sum(axis=-1)
        cell = np.minimum(cell, cdf.shape[-1] - 1)
        upper, mass = cdf[rows, cell], weight[rows, cell]
    place = np.clip(1.0 - (upper - target) / np.maximum(mass, _TINY), 0.0, 1.0)
    return cell, place


def reuse(uniform: Array) -> Array:
    """Return a second uniform number from the low digits of one.

    The columns of a fault are few and fixed: a place within a cell decides little, and
    its low digits are as good as a number of their own.
    """
    return np.asarray((uniform * _DIGITS) % 1.0)
