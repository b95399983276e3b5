"""Random numbers of which the samples hold one in every equal part of the law."""

from collections.abc import Callable
from typing import cast

import numpy as np

from corrosion.foundation.types import Array
from corrosion.inspection.calibration.triangular import single


def normal(rng: np.random.Generator, shape: tuple[int, ...]) -> Array:
    """Return standard normal numbers, the samples last, in single precision [-].

    Each number by itself is as from ``rng``, and those of one sample know nothing of
    one another; over the samples of a row they lie evenly, so that means scatter less.
    """
    from scipy.special import ndtri  # noqa: PLC0415 - importing stays light

    return _shuffled(rng, shape, ndtri)


def uniform(rng: np.random.Generator, shape: tuple[int, ...]) -> Array:
    """Return numbers between 0 and 1, likewise [-]."""
    return _shuffled(rng, shape, np.asarray)


def _shuffled(
    rng: np.random.Generator, shape: tuple[int, ...], law: Callable[[Array], Array]
) -> Array:
    """Return rows that are one shuffle of the parts each, begun at another place.

    Which costs a copy a row; no two rows of a shuffle begin at the same place, so that
    any two numbers of a sample are of different parts, as by chance.
    """
    samples = shape[-1]
    out = cast("Array", np.empty((int(np.prod(shape[:-1])), samples), np.float32))
    for begin in range(0, len(out), samples):
        parts = (np.arange(samples) + rng.random()) / samples
        one = rng.permutation(single(law(parts)))
        rows = out[begin : begin + samples]
        twice = np.concatenate([one, one])  # of which each begins one place later
        begun = np.ndarray((samples, samples), one.dtype, twice, 0, 2 * one.strides)
        rows[...] = begun[rng.permutation(samples)[: len(rows)]]
    return out.reshape(shape)
