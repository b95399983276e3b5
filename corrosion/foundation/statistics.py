"""Samples summed up: mean and quantiles along the sample axis."""

import numpy as np
import numpy.typing as npt

from corrosion.foundation.types import Array


def summarise(samples: npt.ArrayLike) -> dict[str, Array]:
    """Return mean and 10, 50 and 90 % quantiles along the first axis.

    Parameters
    ----------
    samples : array_like, shape (samples, ...)
        Samples, in any unit.

    Returns
    -------
    dict of str to ndarray, shape (...)
        ``mean``, ``p10``, ``p50`` and ``p90``, in the unit of ``samples``; NaN where
        any sample is NaN.

    Examples
    --------
    >>> {name: float(x) for name, x in summarise([1.0, 2.0, 3.0]).items()}
    {'mean': 2.0, 'p10': 1.2, 'p50': 2.0, 'p90': 2.8}
    """
    x = np.asarray(samples, dtype=np.float64)
    p10, p50, p90 = np.quantile(x, (0.1, 0.5, 0.9), axis=0)
    return {"mean": x.mean(axis=0), "p10": p10, "p50": p50, "p90": p90}


def entropy(chances: Array) -> float:
    """Return what it tells, on the mean, which of some chances came true [bit]."""
    p = np.maximum(chances, 1e-300)
    return float(-(p * np.log2(p)).sum())
