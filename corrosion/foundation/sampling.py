"""Quasi-random points: one column an unknown, one block of columns an object.

Every object with unknowns of its own (the ship, a zone, a berth, a system, a fault)
gets a block of scrambled Sobol' points, its rows shuffled independently of every
other block: Latin supercube sampling [1]_. The seed of a block comes from the user's
seed and the block's name, so that adding or removing an object leaves the numbers of
all others as they were. What-ifs reuse the same numbers, so that a difference is
signal.

References
----------
.. [1] A. B. Owen, "Latin supercube sampling for very high-dimensional simulations",
   ACM Transactions on Modeling and Computer Simulation 8(1), 1998, 71-102 (from
   memory).
"""

import hashlib
from dataclasses import dataclass

import numpy as np

from corrosion.foundation import sobol
from corrosion.foundation.assumptions import Assumption, Assumptions
from corrosion.foundation.errors import InputError
from corrosion.foundation.types import Array

_MOST = 2**20


def sample_lognormal(assumption: Assumption, uniform: Array) -> Array:
    """Turn uniform numbers into samples of an assumption, by inverse distribution.

    Parameters
    ----------
    assumption : Assumption
        Lognormal between its limits, or fixed.
    uniform : ndarray
        Numbers in (0, 1), any shape. [-]

    Returns
    -------
    ndarray
        Samples of the same shape, in the assumption's unit.
    """
    from scipy.special import ndtr, ndtri  # noqa: PLC0415 - importing corrosion stays light

    median, sigma = assumption.median, np.log(assumption.geometric_sd)
    if sigma == 0.0:
        return np.full(uniform.shape, median)
    with np.errstate(divide="ignore"):
        low, high = ndtr(
            np.log(np.array([assumption.low, assumption.high]) / median) / sigma
        )
    return np.asarray(median * np.exp(sigma * ndtri(low + uniform * (high - low))))


@dataclass(frozen=True, slots=True)
class Draws:
    """The random numbers of one estimate.

    Raises InputError if ``samples`` or ``seed`` is out of range.
    """

    samples: int  # 1 to 1,048,576; multiples of 256 are best
    seed: int  # not negative
    assumptions: Assumptions  # the ship's

    def __post_init__(self) -> None:
        if not 1 <= self.samples <= _MOST:
            msg = f"samples must lie between 1 and {_MOST}, got {self.samples}"
            raise InputError(msg)
        if self.seed < 0:
            msg = f"seed must not be negative, got {self.seed}"
            raise InputError(msg)

    def block(self, name: str, columns: int) -> Array:
        """Return the uniform numbers of one object.

        Parameters
        ----------
        name : str
            The object, for example ``"fault F012"``.
        columns : int
            How many unknowns it has.

        Returns
        -------
        ndarray, shape (samples, columns)
            Numbers in (0, 1). [-]
        """
        rng = self.generator(name)
        power = max(0, int(self.samples - 1).bit_length())
        points = sobol.points(columns, power, rng)[: self.samples]
        tiny = 2.0**-33  # half a step of the 32-bit points: never exactly 0 or 1
        return rng.permutation(np.clip(points, tiny, 1.0 - tiny), axis=0)

    def generator(self, name: str) -> np.random.Generator:
        """Return random numbers of one object's own: a new object moves no other's."""
        digest = hashlib.sha256(f"{self.seed} {name}".encode()).digest()
        return np.random.default_rng(np.frombuffer(digest, dtype=np.uint32))

    def value(self, name: str) -> float:
        """Return the median of an assumption of the ship, in its own unit."""
        return self.assumptions.value(name)

    def lognormal(self, name: str, uniform: Array) -> Array:
        """Return samples of an assumption of the ship, in its own unit."""
        return sample_lognormal(self.assumptions[name], uniform)
