"""Current in the plating: a graph of neighbouring zones.

The shell is cut into plates (:mod:`corrosion.hull.geometry.borders`); two that touch
are joined by the conductance of the steel between their middles. A part fastened
through a joint hangs on the rest by the joint's resistance alone. An alternating
current keeps to the skin of the plate.
"""

import numpy as np

from corrosion.foundation.assumptions import Assumptions
from corrosion.foundation.types import Array
from corrosion.hull.geometry.borders import ShellMesh
from corrosion.records.ship import Ship

__all__ = ["conducting_thickness", "grounded_inverse", "steel_resistance"]

_MU0 = 4e-7 * np.pi  # magnetic constant [H/m]


def conducting_thickness(
    thickness: Array | float, hertz: float, *, assumptions: Assumptions
) -> Array:
    r"""Return the thickness of plate that a current uses.

    Parameters
    ----------
    thickness : array_like
        Plate thickness. [m]
    hertz : float
        Frequency; 0 for direct current. [Hz]
    assumptions : Assumptions
        Resistivity and permeability of the steel.

    Returns
    -------
    ndarray
        The whole thickness for direct current, at most two skin depths for
        alternating current. [m]

    Notes
    -----
    .. math:: \delta = \sqrt{2 \rho / (\omega \mu_0 \mu_r)}

    with resistivity and relative permeability from the basis table [1]_.

    References
    ----------
    .. [1] J. D. Jackson, "Classical Electrodynamics", 3rd ed., eq. 5.165 (from
       memory).

    Examples
    --------
    >>> from corrosion.foundation.assumptions import default_assumptions
    >>> table = default_assumptions()
    >>> t = conducting_thickness(0.010, 60.0, assumptions=table)
    >>> round(float(t) * 1e3, 2)
    3.68
    """
    t = np.asarray(thickness, dtype=np.float64)
    if hertz == 0.0:
        return t
    mu = _MU0 * assumptions.value("steel_relative_permeability")
    omega = 2.0 * np.pi * hertz
    skin = np.sqrt(2.0 * assumptions.value("steel_resistivity") / (omega * mu))
    return np.asarray(np.minimum(t, 2.0 * skin))


def steel_resistance(
    ship: Ship, hertz: float, *, reference: int, mesh: ShellMesh
) -> Array:
    r"""Return the resistance of the steel between zones.

    Parameters
    ----------
    ship : Ship
        The ship; her zones in file order.
    hertz : float
        Frequency; 0 for direct current. [Hz]
    reference : int
        Position of the zone that is held at zero.
    mesh : ShellMesh
        The plates of her shell.

    Returns
    -------
    ndarray, shape (zones, zones)
        Mean potential of each zone per ampere that enters evenly over each and is taken
        out of the reference, whose row and column are zero; symmetric. [Ω]

    Notes
    -----
    Between two plates lie two strips in series, as wide as their border *w* and as long
    as from the middle of each to it, *d*:

    .. math:: G = \sigma w / (d_1 / t_1 + d_2 / t_2)

    What enters a zone, and what leaves it into the water, is spread over its plates by
    area.
    """
    sigma = 1.0 / ship.assumptions.value("steel_resistivity")
    built = np.array([z.built for z in ship.zones])
    plate = conducting_thickness(built, hertz, assumptions=ship.assumptions)[mesh.zone]
    series = mesh.reach / plate[:, None]
    g = np.asarray(sigma * mesh.length / (series + series.T))
    _join_islands(g, mesh, float(sigma * plate.mean()))
    spread = np.zeros((len(mesh.zone), len(ship.zones)))
    spread[np.arange(len(mesh.zone)), mesh.zone] = mesh.share
    among_plates = grounded_inverse(g, 0)
    ohms = spread.T @ among_plates @ spread
    for part in _joints(ship):
        ohms[part, :] = ohms[ship.zone_index(str(ship.zones[part].bonded_to)), :]
        ohms[:, part] = ohms[:, ship.zone_index(str(ship.zones[part].bonded_to))]
        ohms[part, part] += float(ship.zones[part].bond or 0.0)
    about = ohms - ohms[reference] - ohms[:, reference][:, None]
    about += ohms[reference, reference]
    return np.asarray(0.5 * (about + about.T))


def _joints(ship: Ship) -> list[int]:
    """Return the parts with a joint, each behind what it hangs on."""
    order: list[int] = []
    left = [k for k, zone in enumerate(ship.zones) if zone.bond is not None]
    while left:
        hosts = {ship.zones[k].zone for k in left}
        ready = [k for k in left if ship.zones[k].bonded_to not in hosts]
        order += ready
        left = [k for k in left if k not in ready]
    return order


def _join_islands(g: Array, mesh: ShellMesh, plate: float) -> None:
    """Join plates that touch no other to the nearest of the rest, in place.

    All welded plating is one piece of steel, whatever gaps the zone table leaves: each
    island hangs on a strip as wide as it is long.
    """
    while True:
        reached, count = np.arange(len(g)) == 0, 0
        while reached.sum() > count:  # from the first plate on
            count = reached.sum()
            reached |= (g[reached] > 0.0).any(axis=0)
        if reached.all():
            return
        home, away = np.flatnonzero(reached), np.flatnonzero(~reached)
        apart = np.linalg.norm(mesh.centre[home][:, None] - mesh.centre[away], axis=2)
        at = np.unravel_index(int(apart.argmin()), apart.shape)
        i, j = home[at[0]], away[at[1]]
        g[i, j] = g[j, i] = plate


def grounded_inverse(conductance: Array, reference: int) -> Array:
    """Return the resistance matrix of the graph with one zone held at zero.

    Parameters
    ----------
    conductance : ndarray, shape (zones, zones)
        Symmetric conductances between zones. [S]
    reference : int
        Zone held at zero potential.

    Returns
    -------
    ndarray, shape (zones, zones)
        Potential of each zone per ampere injected at each and taken out at the
        reference, whose row and column are zero. [Ω]
    """
    laplacian = np.diag(conductance.sum(axis=1)) - conductance
    rest = np.delete(np.arange(len(conductance)), reference)
    inverse = np.zeros_like(conductance)
    solved = np.linalg.inv(laplacian[np.ix_(rest, rest)])
    inverse[np.ix_(rest, rest)] = 0.5 * (solved + solved.T)
    return inverse
