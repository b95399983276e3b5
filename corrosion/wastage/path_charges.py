r"""What causes are charged where currents do not add: along the path of all together.

All causes are switched on together, from nothing (:math:`t = 0`) to what they are
(:math:`t = 1`). With :math:`N(t)` the natural current less protection and what they
drive out by then, and :math:`g_f(t)` what cause *f* adds there,

.. math:: c_f = \int_0^1 [N(t) > 0] \, g_f(t) \, dt

is its charge (Aumann and Shapley), or with the slope of what a law loses at N in place
of the bracket; by a quadrature whose nodes each stand for a stretch of the path. Within
a stretch N runs straight, so that what is lost beyond the base is summed exactly.
"""

from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass, replace

import numpy as np

from corrosion.foundation.types import Array
from corrosion.wastage.fault_charges import CurrentSource


@dataclass(frozen=True, slots=True, kw_only=True)
class CausePath:
    """What causes add at nodes of the path on which all are switched on together."""

    # shape (nodes,): share of the path for which each node stands; they sum to 1 [-]
    width: Array
    # shape (nodes, states, wetted): density at bare steel that a cause adds, were the
    # whole path like the node [A/m²]
    steady: Mapping[str, Array]
    # shape (nodes, states, sources, wetted): the same per ampere of each source of
    # direct current, one array a system [1/m²]
    sources: Sequence[Array]


class PathCharges:
    """What each cause is charged at bare steel, for states of one stretch each.

    Attributes
    ----------
    direct : list of CurrentSource
        The sources with a transfer that gives charges in place of currents.
    steady : dict of str to ndarray, shape (states, wetted)
        Charges of causes that are the same in all states. [A/m²]
    straight : ndarray, shape (states, wetted)
        Charge over density of what adds straight along the path. [-]
    """

    def __init__(
        self,
        path: CausePath,
        direct: Sequence[CurrentSource],
        steady: Mapping[str, Array],
        ends: tuple[Array, Array],
        lost: Callable[[Array], Array],
    ) -> None:
        """Work out the charges.

        ``ends``: natural less protection without and with all causes, (states, wetted);
        ``lost``: what is lost at such densities, (states, any, wetted) [A/m²].
        """
        quiet, net = ends
        added = np.zeros((len(path.width), *quiet.shape))
        whole = np.zeros_like(quiet)
        for name, nodes in path.steady.items():
            added += nodes
            whole += steady[name]
        for source, nodes in zip(direct, path.sources, strict=True):
            added += (source.amps.real[None] @ nodes)[:, :, 0]
            whole += source.leaving()[:, 0, 0]
        width = path.width[:, None, None]
        straight = net - quiet - whole
        steps = width * (added + net - quiet - (width * added).sum(axis=0))
        path_ends = np.concatenate([quiet[None], quiet + np.cumsum(steps, axis=0)])
        taken = np.moveaxis(lost(np.moveaxis(path_ends, 0, 1)), 1, 0)
        flat = steps == 0.0
        gained = np.diff(taken, axis=0) / np.where(flat, 1.0, steps)
        counted = width * np.where(flat, 0.0, gained)
        # Where a quadrature of few nodes gives the causes together not the sign of the
        # change, each is charged as what it drives in the end.
        summed = (counted * (added + straight)).sum(axis=0)
        fails = summed * (taken[-1] - taken[0]) <= 0.0
        self.straight = np.where(fails, 1.0, counted.sum(axis=0))
        self.steady = {
            name: np.where(
                fails,
                density,
                (counted * path.steady[name]).sum(axis=0)
                if name in path.steady
                else self.straight * density,
            )
            for name, density in steady.items()
        }
        self.direct = []
        for source, nodes in zip(direct, path.sources, strict=True):
            ended = source.transfer * source.density[:, None, :]
            along = np.einsum("ksz,kscz->scz", counted, nodes)
            transfer = np.where(fails[:, None, :], ended, along)
            one = np.ones_like(source.density)
            self.direct.append(replace(source, transfer=transfer, density=one))
