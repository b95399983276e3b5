r"""Scrambled Sobol' points, without the second that importing a library's takes.

The direction numbers are those of [1]_, the scrambling multiplies their bits by random
lower triangular matrices and shifts them [2]_, and the points come in Gray code by
doubling: the same digits as ``scipy.stats.qmc.Sobol``, which the tests hold them to.

References
----------
.. [1] S. Joe and F. Y. Kuo, "Constructing Sobol sequences with better two-dimensional
   projections", SIAM J. Sci. Comput. 30, 2008, 2635-2654: new-joe-kuo-6.21201 (first
   rows).
.. [2] J. Matousek, "On the L2-discrepancy for anchored boxes", J. Complexity 14, 1998,
   527-556 (from memory).
"""

from functools import cache
from typing import Final

import numpy as np

from corrosion.foundation.types import Array, IntArray

_BITS: Final = 30
_PRIMITIVE: Final = (  # degree, coefficients, first odd numbers of each dimension
    (1, 0, (1,)),
    (2, 1, (1, 3)),
    (3, 1, (1, 3, 1)),
    (3, 2, (1, 1, 1)),
    (4, 1, (1, 1, 3, 3)),
    (4, 4, (1, 3, 5, 13)),
    (5, 2, (1, 1, 5, 5, 17)),
    (5, 4, (1, 1, 5, 5, 5)),
    (5, 7, (1, 1, 7, 11, 19)),
    (5, 11, (1, 1, 5, 1, 1)),
    (5, 13, (1, 1, 1, 3, 11)),
    (5, 14, (1, 3, 5, 5, 31)),
    (6, 1, (1, 3, 3, 9, 7, 49)),
    (6, 13, (1, 1, 1, 15, 21, 21)),
    (6, 16, (1, 3, 1, 13, 27, 49)),
    (6, 19, (1, 1, 1, 15, 7, 5)),
    (6, 22, (1, 3, 1, 15, 13, 25)),
    (6, 25, (1, 1, 5, 5, 19, 61)),
    (7, 1, (1, 3, 7, 11, 23, 15, 103)),
    (7, 4, (1, 3, 7, 13, 13, 15, 69)),
    (7, 7, (1, 1, 3, 13, 7, 35, 63)),
    (7, 8, (1, 3, 5, 9, 1, 25, 53)),
    (7, 14, (1, 3, 1, 13, 9, 35, 107)),
    (7, 19, (1, 3, 1, 5, 27, 61, 31)),
    (7, 21, (1, 1, 5, 11, 19, 41, 61)),
    (7, 28, (1, 3, 5, 3, 3, 13, 69)),
    (7, 31, (1, 1, 7, 13, 1, 19, 1)),
    (7, 32, (1, 3, 7, 5, 13, 19, 59)),
    (7, 37, (1, 1, 3, 9, 25, 29, 41)),
    (7, 41, (1, 3, 5, 13, 23, 1, 55)),
    (7, 42, (1, 3, 7, 3, 13, 59, 17)),
    (7, 50, (1, 3, 1, 3, 5, 53, 69)),
    (7, 55, (1, 1, 5, 5, 23, 33, 13)),
    (7, 56, (1, 1, 7, 7, 1, 61, 123)),
    (7, 59, (1, 1, 7, 9, 13, 61, 49)),
    (7, 62, (1, 3, 3, 5, 3, 55, 33)),
    (8, 14, (1, 3, 1, 15, 31, 13, 49, 245)),
    (8, 21, (1, 3, 5, 15, 31, 59, 63, 97)),
    (8, 22, (1, 3, 1, 11, 11, 11, 77, 249)),
)
MOST: Final = len(_PRIMITIVE) + 1  # columns that it makes itself


@cache
def _bits() -> IntArray:
    """Return the bits of the direction numbers, high first: (columns, number, bit)."""
    numbers = np.ones((MOST, _BITS), dtype=np.uint32)
    for d, (degree, mask, first) in enumerate(_PRIMITIVE, 1):
        m = list(first)
        for k in range(degree, _BITS):
            new = m[k - degree] ^ (m[k - degree] << degree)
            for i in range(1, degree):
                if mask >> (degree - 1 - i) & 1:
                    new ^= m[k - i] << i
            m.append(new)
        numbers[d] = m
    place = np.arange(_BITS - 1, -1, -1, dtype=np.uint32)
    return np.asarray((numbers << place)[:, :, None] >> place & 1, dtype=np.int64)


def points(columns: int, power: int, rng: np.random.Generator) -> Array:
    """Return scrambled points.

    Parameters
    ----------
    columns : int
        How many numbers a point has; beyond 40 the library makes them.
    power : int
        Number of points as a power of two, up to 30.
    rng : numpy.random.Generator
        Of which a child is spawned that scrambles.

    Returns
    -------
    ndarray, shape (2**power, columns)
        Numbers in [0, 1). [-]
    """
    if columns > MOST:
        from scipy.stats import qmc  # noqa: PLC0415 - importing it takes long

        engine = qmc.Sobol(columns, scramble=True, rng=rng)
        return np.asarray(engine.random_base2(power), dtype=np.float64)
    child = rng.spawn(1)[0]
    place = np.arange(_BITS - 1, -1, -1, dtype=np.uint32)
    size = (columns, _BITS, _BITS)
    x = child.integers(2, size=size[:2], dtype=np.uint32) @ (
        np.uint32(1) << place[::-1]
    )
    lower = np.tril(child.integers(2, size=size, dtype=np.uint32))
    lower |= np.eye(_BITS, dtype=np.uint32)
    bits = _bits()[:columns, :power].transpose(0, 2, 1)  # (columns, bit, number)
    # sums of at most 30 ones: exact in single precision, and faster there
    mixed = (lower.astype(np.float32) @ bits.astype(np.float32)).astype(np.uint32) & 1
    direction = (mixed << place[:, None]).sum(axis=1, dtype=np.uint32)
    x = x.astype(np.uint32)[None]
    for k in range(power):
        x = np.concatenate([x, x[::-1] ^ direction[:, k]])
    return np.asarray(x * 2.0**-_BITS, dtype=np.float64)
