"""Current in the plating: a graph of neighbouring zones.

Each welded zone is a node. Two zones that touch on the unfolded shell are joined by
the conductance of the plate between their centres; a part fastened through a joint
hangs on the rest by the joint's resistance alone. An alternating current keeps to
the skin of the plate.
"""

import numpy as np

from corrosion.foundation import assumptions
from corrosion.foundation.types import Array
from corrosion.hull.water.water_body import WaterBody
from corrosion.records.ship import Ship, Zone

__all__ = ["conductances", "conducting_thickness", "grounded_inverse"]

_MU0 = 4e-7 * np.pi  # magnetic constant [H/m]
_TOUCH = 0.05  # borders closer than this touch [m]


def conducting_thickness(thickness: Array | float, hertz: float) -> Array:
    r"""Return the thickness of plate that a current uses.

    Parameters
    ----------
    thickness : array_like
        Plate thickness. [m]
    hertz : float
        Frequency; 0 for direct current. [Hz]

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
    >>> round(float(conducting_thickness(0.010, 60.0)) * 1e3, 2)
    3.79
    """
    t = np.asarray(thickness, dtype=np.float64)
    if hertz == 0.0:
        return t
    mu = _MU0 * assumptions.value("steel_relative_permeability")
    omega = 2.0 * np.pi * hertz
    skin = np.sqrt(2.0 * assumptions.value("steel_resistivity") / (omega * mu))
    return np.asarray(np.minimum(t, 2.0 * skin))


def conductances(ship: Ship, body: WaterBody, hertz: float) -> Array:
    """Return the conductance between every two zones through the steel.

    Parameters
    ----------
    ship : Ship
        The ship; her zones in file order.
    body : WaterBody
        Areas and centres of the zones.
    hertz : float
        Frequency; 0 for direct current. [Hz]

    Returns
    -------
    ndarray, shape (zones, zones)
        Symmetric, zero on the diagonal, connected. [S]
    """
    count = len(ship.zones)
    g = np.zeros((count, count))
    spacing = ship.form.frame_spacing
    welded = [i for i, zone in enumerate(ship.zones) if zone.bond is None]
    plate = conducting_thickness(np.array([z.built for z in ship.zones]), hertz)
    sigma = 1.0 / assumptions.value("steel_resistivity")
    for a, i in enumerate(welded):
        for j in welded[a + 1 :]:
            border = _shared_border(ship.zones[i], ship.zones[j], spacing)
            if border > 0.0:
                apart = max(_distance(body, i, j), 0.5)
                t = 0.5 * (plate[i] + plate[j])
                g[i, j] = g[j, i] = sigma * t * border / apart
    _join_islands(g, body, welded, float(sigma * plate.mean()))
    for i, zone in enumerate(ship.zones):
        if zone.bond is not None and zone.bonded_to is not None:
            j = ship.zone_index(zone.bonded_to)
            g[i, j] = g[j, i] = 1.0 / zone.bond
    return g


def _distance(body: WaterBody, i: int, j: int) -> float:
    return float(np.linalg.norm(body.centre[i] - body.centre[j]))


def _shared_border(one: Zone, two: Zone, spacing: float) -> float:
    """Return the length along which two zones touch or overlap, or 0 [m]."""
    sides = {one.side, two.side}
    across = sides == {"port", "starboard"}
    along = spacing * _overlap(
        one.frame_from, one.frame_to, two.frame_from, two.frame_to
    )
    down = _overlap(one.top, one.bottom, two.top, two.bottom)
    if across:  # the two halves meet at the keel and under the decks
        return along if along > 0.0 and down > 0.0 else 0.0
    if along < -_TOUCH or down < -_TOUCH:
        return 0.0
    return max(along, down, 0.0)


def _overlap(from_one: float, to_one: float, from_two: float, to_two: float) -> float:
    """Return the length that two intervals share; negative: the gap between them."""
    return min(to_one, to_two) - max(from_one, from_two)


def _join_islands(g: Array, body: WaterBody, welded: list[int], plate: float) -> None:
    """Join welded zones that touch no other to the nearest of the rest, in place.

    All welded plating is one piece of steel, whatever gaps the zone table leaves.
    """
    from scipy.sparse.csgraph import connected_components  # noqa: PLC0415 - slow import

    while True:
        _, label = connected_components(g[np.ix_(welded, welded)] > 0.0)
        if label.max(initial=0) == 0:
            return
        home = [i for i, k in zip(welded, label, strict=True) if k == 0]
        away = [i for i, k in zip(welded, label, strict=True) if k != 0]
        apart = np.array([[_distance(body, i, j) for j in away] for i in home])
        at = np.unravel_index(int(apart.argmin()), apart.shape)
        i, j = home[at[0]], away[at[1]]
        side = float(np.sqrt(min(body.area[i], body.area[j])))
        g[i, j] = g[j, i] = plate * side / max(float(apart[at]), 0.5)


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
