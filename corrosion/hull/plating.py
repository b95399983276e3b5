"""Current in the plating: a graph of neighbouring zones.

The shell is cut into plates (:mod:`corrosion.hull.geometry.borders`); two that touch
are joined by the conductance of the steel between their middles. A part fastened
through a joint hangs on the rest by the joint's resistance alone, a shaft that turns by
its brush or what its bearings let through. An alternating current keeps to the skin of
the plate.
"""

from dataclasses import dataclass, replace
from typing import Self

import numpy as np

from corrosion.foundation.assumptions import Assumptions
from corrosion.foundation.types import Array, IntArray
from corrosion.hull.electrodes import STEEL
from corrosion.hull.geometry.borders import ShellMesh
from corrosion.records.ship import Ship

_MU0 = 4e-7 * np.pi  # magnetic constant [H/m]


@dataclass(frozen=True, slots=True, kw_only=True)
class Joints:
    """The joints by which parts hang on the plating, each the only way to them.

    Arrays are of shape (joints,) where no other is said.
    """

    # shape (joints, zones): of which zones the current comes through each on its way
    # from the reference: 1; -1 where the reference itself hangs on it and
    # they do not [-]
    beyond: Array
    # at_rest, turning: resistance, also while her shaft turns; NaN: it turns, and
    # nobody wrote through what [Ω]
    at_rest: Array
    turning: Array

    def ohms(self, brush: Array, turns: Array) -> Array:
        """Return their resistances, (samples, joints) [Ω].

        ``brush`` is that of a turning shaft of which nothing is written, ``turns`` for
        which share of the time hers does, whose mean conductance it is; (samples,)
        both. What is not written is no better than at rest.
        """
        unwritten = np.maximum(brush[:, None], self.at_rest)
        turning = np.where(np.isnan(self.turning), unwritten, self.turning)
        part = turns[:, None]
        return np.asarray(1.0 / ((1.0 - part) / self.at_rest + part / turning))


@dataclass(frozen=True, slots=True, kw_only=True)
class Steel:
    """Plating and joints of a hull at one frequency, a sample a row."""

    plate: Array  # shape (zones, zones): of `steel_resistance` [Ω]
    # shape (samples,): what the structure makes of it; joints are as they are [-]
    ease: Array
    beyond: Array  # shape (joints, zones): of `Joints` [-]
    joint: Array  # shape (samples, joints): resistance of each joint [Ω]

    def rows(self, which: IntArray) -> Self:
        """Return some of the samples."""
        return replace(self, ease=self.ease[which], joint=self.joint[which])

    def between(self, zones: IntArray | slice, others: IntArray) -> Array:
        """Return the resistances from some zones to others, (samples, some, some) [Ω].

        Plate and joints each times what a sample makes of it: one product for all.
        """
        joints = self.beyond[:, zones][:, :, None] * self.beyond[:, others][:, None, :]
        each = np.concatenate([self.plate[zones][None, :, others], joints])
        weight = np.column_stack([self.ease, self.joint])
        flat = each.reshape(len(each), each[0].size)  # of no zone as well
        return np.reshape(weight @ flat, (len(weight), *each.shape[1:]))

    def among(self, zones: IntArray) -> Array:
        """Return the resistance matrix of some zones, (samples, some, some) [Ω]."""
        return self.between(zones, zones)

    def lifted(self, injected: Array, zones: IntArray) -> Array:
        """Return what injected currents lift some zones by, (samples, some) [V].

        ``injected`` is (samples, zones); it is taken out at the reference. [A]
        """
        plate = self.ease[:, None] * (injected @ self.plate[:, zones])
        through = (injected @ self.beyond.T) * self.joint
        return np.asarray(plate + through @ self.beyond[:, zones])

    def times(self, inverse: Array, zones: IntArray) -> Array:
        """Return the resistances from all zones to some, times a matrix of those.

        ``inverse`` is (samples, some, some); (samples, zones, some).
        """
        return np.asarray(self.between(slice(None), zones) @ inverse)


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

    Returns
    -------
    ndarray, shape (zones, zones)
        Mean potential of each zone per ampere that enters evenly over each and is taken
        out of the reference, whose row and column are zero; symmetric. A part with a
        joint is where it hangs: :func:`joints_of` has the joints. [Ω]

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
    about = ohms - ohms[reference] - ohms[:, reference][:, None]
    about += ohms[reference, reference]
    return np.asarray(0.5 * (about + about.T))


def joints_of(ship: Ship, reference: int) -> Joints:
    """Return the joints of a ship's parts, about a reference zone.

    Of a part of another metal than steel (propeller, shaft) whose ``turning`` is blank,
    it is not known; a part of steel (rudder, bilge keel) hangs on as at rest.
    """
    order = _joints(ship)
    hung = np.zeros((len(ship.zones), len(order)))  # on which joints each zone hangs
    for k, part in enumerate(order):
        hung[part] = hung[ship.zone_index(str(ship.zones[part].bonded_to))]
        hung[part, k] = 1.0
    parts = [ship.zones[part] for part in order]
    at_rest = np.array([float(part.bond or 0.0) for part in parts])
    blank = [part.bond if part.metal in STEEL else np.nan for part in parts]
    turning = [
        unwritten if part.turning is None else part.turning
        for part, unwritten in zip(parts, blank, strict=True)
    ]
    return Joints(
        beyond=(hung - hung[reference]).T,
        at_rest=at_rest,
        turning=np.array(turning, dtype=np.float64),
    )


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
