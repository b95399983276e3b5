"""Currents that balance by the Tafel law, from any start: an oracle for the secants.

The estimate takes each state from where the linear law leaves it and only as far as its
bound; here Newton's steps begin at rest and every node balances within 1e-10.
"""

import numpy as np
import numpy.typing as npt

from corrosion.foundation.types import Array
from corrosion.hull.model import Hull
from corrosion.hull.nonlinear.currents import linear_and_nonlinear
from corrosion.hull.nonlinear.newton import BALANCED, iterate
from corrosion.hull.nonlinear.polarisation import polarisation
from corrosion.hull.nonlinear.secant import NOTHING, nonlinear_network
from corrosion.hull.uncertain import PathUnknowns, median_paths
from corrosion.records.ship import Berth


def nonlinear_currents(
    hull: Hull,
    injected_a: npt.ArrayLike,
    berth: Berth,
    *,
    unknowns: PathUnknowns | None = None,
    protection: npt.ArrayLike = 0.0,
) -> Array:
    """Current leaving each zone, the couple's included, in the shape injected [A]."""
    amps = np.asarray(injected_a, dtype=np.float64)
    out = np.zeros((len(np.atleast_2d(amps)), len(hull.bare)))
    wet = hull.body.zones
    paths = unknowns or median_paths(hull.assumptions)
    shield = np.broadcast_to(protection, hull.bare.shape)[wet]
    system = nonlinear_network(
        hull,
        berth,
        np.atleast_2d(amps),
        paths=paths,
        bare=hull.bare[wet],
        rest=polarisation(
            -shield, paths.interface[:, None], assumptions=hull.assumptions
        )
        if shield.any()
        else 0.0,
    )
    if berth.afloat and system.source.size:
        start = np.zeros((len(system.total), len(wet) + 1))
        z, off = iterate(system, start, within=BALANCED)
        assert not off.any(), "no balance was found"
        out = np.zeros((len(z), len(hull.bare)))
        out[:, wet] = system.leaving(z)
    return out.reshape(amps.shape) if len(out) == 1 else out


def linear_error(hull: Hull, injected_a: npt.ArrayLike, berth: Berth) -> float:
    """Largest difference of both laws in any zone over the largest zone current."""
    linear, bent = linear_and_nonlinear(hull, injected_a, berth)
    largest = np.maximum(np.abs(linear), np.abs(bent)).max(axis=-1, initial=NOTHING)
    missed = np.abs(linear - bent).max(axis=-1, initial=0.0)
    return float(np.max(missed / largest, initial=0.0))
