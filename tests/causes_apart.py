r"""Who dissolved the metal of a state, where all causes act on one another.

All causes are switched on together, little by little, and each is charged the integral
of what it adds at every step (Aumann and Shapley). The charges add up to the whole
change, do not depend on an order, charge a cause that stands alone exactly its own, and
charge a fault that is written as two the same.
"""

from collections.abc import Sequence
from dataclasses import replace

import numpy as np

from corrosion.foundation.types import Array
from corrosion.hull.nonlinear.galvanic import GalvanicNetwork, solve_galvanic

_NODES = 6


def charges(
    base: GalvanicNetwork,
    causes: Sequence[GalvanicNetwork],
    full: GalvanicNetwork,
    *,
    nodes: int = _NODES,
) -> Array:
    r"""Return the metal that each cause is charged at every electrode.

    Parameters
    ----------
    base : GalvanicNetwork
        Protection on, everything else at rest: no own metals, couple or faults.
    causes : sequence of GalvanicNetwork
        The base with one cause wholly on: other rests, injected currents, or both.
    full : GalvanicNetwork
        The base with all of them on.
    nodes : int, optional
        Of the quadrature.

    Returns
    -------
    ndarray, shape (causes, samples, electrodes)
        They sum to the change of dissolution exactly: what the quadrature leaves is
        shared by size. Negative where a cause spares metal. [A]

    Notes
    -----
    At each node one linear solution a cause, with the Jacobian of the balance there.

    References
    ----------
    .. [1] R. J. Aumann and L. S. Shapley, "Values of Non-Atomic Games", 1974 (from
       memory).
    """
    at, weight = np.polynomial.legendre.leggauss(nodes)
    n, start = full.electrodes, None
    charged = np.zeros((len(causes), *full.bare.shape))
    for t, w in zip(0.5 + 0.5 * at, 0.5 * weight, strict=True):
        here = _between(base, full, float(t))
        start = solve_galvanic(here, start).potential
        steep = here.laws.at(start[:, :n])
        faces = here.bare * steep.slope + here.paint
        jacobian = here.jacobian(start)
        for k, cause in enumerate(causes):
            rest = cause.laws.rest - base.laws.rest
            lifted = cause.lifted - base.lifted
            driven = (here.inverse @ lifted[:, :, None])[:, :, 0]
            islands = cause.total - base.total - driven @ here.member
            right = np.concatenate([faces * rest + driven, islands], axis=1)
            moved = np.linalg.solve(jacobian, right[:, :, None])[:, :n, 0]
            gained = here.bare * steep.dissolution_slope * (moved - rest)
            charged[k] += w * gained
    whole = full.dissolution(solve_galvanic(full, start).potential)
    whole -= base.dissolution(solve_galvanic(base).potential)
    left, size = whole - charged.sum(axis=0), np.abs(charged)
    return np.asarray(charged + left * size / np.maximum(size.sum(axis=0), 1e-30))


def _between(base: GalvanicNetwork, full: GalvanicNetwork, t: float) -> GalvanicNetwork:
    """Return the network with all causes on by a share."""

    def mixed(one: Array, other: Array) -> Array:
        return np.asarray(one + t * (other - one))

    rest = mixed(base.laws.rest, full.laws.rest)
    return replace(
        full,
        laws=replace(full.laws, rest=rest),
        lifted=mixed(base.lifted, full.lifted),
        total=mixed(base.total, full.total),
    )
