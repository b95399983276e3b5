"""Elliptical slice moves of many independent groups of unknowns at once."""

from collections.abc import Callable
from typing import Final

import numpy as np

from corrosion.foundation.types import Array, IntArray

_TRIES: Final = 12  # groups that find no point in as many tries stay where they are


def slice_move(
    rng: np.random.Generator,
    now: Array,
    fresh: Array,
    log_density: Callable[[Array, IntArray, Array], Array],
    *,
    tries: int = _TRIES,
    width: float = 2.0 * np.pi,
) -> tuple[Array, Array]:
    r"""Move groups of unknowns so that their density is kept.

    Parameters
    ----------
    rng : numpy.random.Generator
        Random numbers.
    now : ndarray, shape (groups, unknowns)
        Where each group is, about the mean of a Gaussian reference; here and below in
        the unknowns' own unit.
    fresh : ndarray, shape (groups, unknowns)
        A draw of each from that reference, about its mean, in the same unit.
    log_density : callable
        Of unknowns (n, unknowns) about that mean, the positions (n,) of their groups,
        and the angle (n,) at which they lie between ``now`` (0) and ``fresh`` (π/2):
        log of the wanted density over the reference's, (n,). [-]
    tries : int, optional
        Points tried at most. A group that then has none stays: paths of so many points
        and their reverses are equally likely, so that the density is kept.

    width : float, optional
        Arc on which the first point is sought, laid about where the group is by
        chance. [rad]

    Returns
    -------
    moved : ndarray, shape (groups, unknowns)
        Where each group is now, in the unknowns' own unit.
    angle : ndarray, shape (groups,)
        The angle at which that lies. [rad]

    Notes
    -----
    The elliptical slice sampler [1]_, the reference in place of the prior [2]_: with a
    level y drawn below the density, points x cos φ + ν sin φ are tried, φ from an arc
    that shrinks towards 0 with each that lies below y. Groups that have found their
    point are left out of the further tries.

    References
    ----------
    .. [1] I. Murray, R. P. Adams and D. J. C. MacKay, "Elliptical slice sampling",
       Proceedings of AISTATS 9, 2010, 541 (from memory).
    .. [2] R. Nishihara, I. Murray and R. P. Adams, "Parallel MCMC with generalized
       elliptical slice sampling", Journal of Machine Learning Research 15, 2014, 2087
       (from memory).
    """
    groups = np.arange(len(now))
    least = log_density(now, groups, np.zeros(groups.size))
    least -= rng.standard_exponential(groups.size)
    moved, found = now.copy(), np.zeros(groups.size)
    high = rng.uniform(0.0, width, groups.size)
    low = high - width
    angle = high.copy() if width >= 2.0 * np.pi else rng.uniform(low, high)
    for _ in range(tries):
        at = angle[:, None]
        tried = now[groups] * np.cos(at) + fresh[groups] * np.sin(at)
        height = log_density(tried, groups, angle)
        hit = (height >= least[groups]) & (height > -np.inf)
        moved[groups[hit]], found[groups[hit]] = tried[hit], angle[hit]
        groups, angle = groups[~hit], angle[~hit]
        if not groups.size:
            break
        low = np.where(angle < 0.0, angle, low[~hit])
        high = np.where(angle >= 0.0, angle, high[~hit])
        angle = rng.uniform(low, high)
    return moved, found
