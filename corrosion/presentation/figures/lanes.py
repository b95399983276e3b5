"""Things with a beginning and an end, laid in as few lines as keep them apart."""

import numpy as np

from corrosion.foundation.types import Array, IntArray


def lines_of(begins: Array, ends: Array, *, least: float = 0.0) -> IntArray:
    """Return the line on which each thing lies, from 0.

    Parameters
    ----------
    begins, ends : ndarray, shape (n,)
        Where each begins and ends, in any one unit. [-]
    least : float, optional
        Room that each takes at least, in the same unit. [-]

    Returns
    -------
    ndarray of int, shape (n,)
        Lines, filled from 0 in the order of beginnings: no fewer would do.

    Examples
    --------
    >>> lines_of(np.array([0.0, 1.0, 2.0]), np.array([2.0, 3.0, 4.0])).tolist()
    [0, 1, 0]
    """
    lines = np.zeros(len(begins), dtype=np.int64)
    taken: list[float] = []
    for index in np.argsort(begins, kind="stable"):
        free = [line for line, end in enumerate(taken) if begins[index] >= end]
        line = free[0] if free else len(taken)
        end = max(float(ends[index]), float(begins[index]) + least)
        taken[line : line + 1] = [end]
        lines[index] = line
    return lines
