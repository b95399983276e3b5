"""Anodes as the network meets them: size, resistance to the water, what is left.

The forms are those that design codes of cathodic protection share (from memory, quoted
in public files).
"""

from dataclasses import dataclass
from typing import Final

import numpy as np

from corrosion.foundation.assumptions import Assumptions
from corrosion.foundation.errors import InputError
from corrosion.foundation.types import Array
from corrosion.hull.model import Hull
from corrosion.records.ship import Anode, Ship


def dwight(resistivity: float, length: float, radius: float) -> float:
    r"""Return the resistance of a long stand-off anode [Ω].

    .. math:: R = \frac{\rho}{2 \pi L} \left(\ln \frac{4 L}{r} - 1\right)

    Parameters
    ----------
    resistivity : float
        Of the water. [Ω·m]
    length, radius : float
        Length, at least four radii, and radius of a round one of its girth. [m]

    Returns
    -------
    float
        Resistance to remote earth. [Ω]

    Raises
    ------
    InputError
        If it is not long.

    Examples
    --------
    >>> round(dwight(0.27, 1.2, 0.0828), 4)
    0.1096
    """
    if length < 4.0 * radius:
        msg = f"dwight: length must be 4 radii or more, got {length:g} and {radius:g} m"
        raise InputError(msg)
    ohms = resistivity / (2.0 * np.pi * length) * (np.log(4.0 * length / radius) - 1.0)
    return float(ohms)


def lloyd(resistivity: float, length: float, width: float) -> float:
    r"""Return the resistance of a long flush anode, :math:`\rho / 2 S` [Ω].

    Parameters
    ----------
    resistivity : float
        Of the water. [Ω·m]
    length, width : float
        Of the plate; *S* is their mean. [m]

    Returns
    -------
    float
        Resistance to remote earth. [Ω]

    Examples
    --------
    >>> round(lloyd(0.27, 0.6, 0.15), 4)
    0.36
    """
    return resistivity / (length + width)


def mccoy(resistivity: float, area: float) -> float:
    r"""Return the resistance of a short flush anode or bracelet [Ω].

    .. math:: R = 0.315 \rho / \sqrt A

    Parameters
    ----------
    resistivity, area : float
        Of the water [Ω·m]; that faces the water. [m²]

    Returns
    -------
    float
        Resistance to remote earth. [Ω]

    Examples
    --------
    >>> round(mccoy(0.27, 0.072), 4)
    0.317
    """
    return 0.315 * resistivity / float(np.sqrt(area))


DENSITY: Final = {"zinc": 7140.0, "aluminium": 2780.0, "magnesium": 1770.0}
"""Of anode alloys, from memory [kg/m³]."""

_LEAST = 1e-3  # of it: no anode shrinks further
_OFF = 1e9  # between the water and an anode that has dropped off [Ω]


@dataclass(frozen=True, slots=True, kw_only=True)
class AnodeSize:
    """One anode when new [m], [kg]."""

    length: float
    width: float
    thickness: float
    mass: float


def anode_size(anode: Anode) -> AnodeSize | None:
    """Return the size of a sacrificial anode when new; None: too little is written.

    What is blank follows from its mass: a flush anode or a bracelet four times as long
    as wide and a quarter as thick, a stand-off one a square bar ten times as long as
    thick (common practice, no source). A blank mass follows from the size.
    """
    if anode.metal == "impressed":
        return None
    written = anode.length, anode.width, anode.thickness
    density = DENSITY[anode.metal]
    if anode.net_mass is None and None in written:
        return None
    shape = (10.0, 1.0, 1.0) if anode.form == "stand-off" else (4.0, 1.0, 0.25)
    volume = (anode.net_mass or 0.0) / density
    known = [w for w in written if w is not None]
    left = [s for w, s in zip(written, shape, strict=True) if w is None]
    scale = 1.0
    if left:
        scale = float((volume / np.prod(known) / np.prod(left)) ** (1.0 / len(left)))
    length, width, thickness = (
        s * scale if w is None else w for w, s in zip(written, shape, strict=True)
    )
    mass = anode.net_mass or density * length * width * thickness
    return AnodeSize(length=length, width=width, thickness=thickness, mass=mass)


@dataclass(frozen=True, slots=True, kw_only=True)
class AnodeGroup:
    """A group of alike anodes that the network meets."""

    anode: Anode  # as written
    host: int  # position of its zone among the wetted ones
    size: AnodeSize | None  # of one when new; None: of an impressed current

    @property
    def mass(self) -> float:
        """Of all of them when new [kg]."""
        return 0.0 if self.size is None else self.size.mass * self.anode.count

    def used_up(self, table: Assumptions) -> float:
        """Return the share that dissolves before they fall off [-]."""
        form = (self.anode.form or "flush").replace("-", "_")
        return table.value(f"anode_utilisation_{form}")

    def ohms(self, resistivity: float, left: Array, table: Assumptions) -> Array:
        """Return the resistance of all of them to remote earth, as ``left`` [Ω].

        By Dwight for a long stand-off anode, more where the plate is near, Lloyd for
        a long flush one, McCoy for any other; all lengths shrink as the cube root of
        what is left (judgement). Where they have fallen off nothing joins them.
        """
        if self.size is None:
            return np.zeros(np.shape(left))
        size, form = self.size, self.anode.form or "flush"
        radius = (size.width + size.thickness) / np.pi  # of its girth
        if form == "stand-off" and size.length >= 4.0 * radius:
            away = self.anode.stand_off
            near = away is not None and away < table.value("anode_near_plate_m")
            one = dwight(resistivity, size.length, radius)
            one *= table.value("anode_near_plate") if near else 1.0
        elif form == "flush" and size.length >= 4.0 * size.width:
            one = lloyd(resistivity, size.length, size.width)
        else:
            one = mccoy(resistivity, self._face())
        shrunk = np.cbrt(np.maximum(left, _LEAST))
        gone = left <= 1.0 - self.used_up(table)
        return np.where(gone, _OFF, one / self.anode.count / shrunk)

    def area(self, left: Array) -> Array:
        """Return what of all of them faces the water, as ``left`` [m²]."""
        return self._face() * self.anode.count * np.cbrt(np.maximum(left, _LEAST)) ** 2

    def _face(self) -> float:
        if self.size is None:
            return 0.0
        size, form = self.size, self.anode.form
        around = 2.0 * size.thickness * (size.length + size.width)
        faces = 2.0 if form == "stand-off" else 1.0  # a flush one hides its back
        return faces * size.length * size.width + around


def anode_groups(ship: Ship, hull: Hull) -> tuple[AnodeGroup, ...]:
    """Return the anodes of a ship that can act, in the order of her file.

    Those on zones that do not conduct into the sea, and those of which neither mass
    nor size is written, are left out.
    """
    wetted = {int(zone): at for at, zone in enumerate(hull.body.zones)}
    found = []
    for anode in ship.anodes:
        host, size = wetted.get(ship.zone_index(anode.zone)), anode_size(anode)
        if host is None or (size is None and anode.metal != "impressed"):
            continue
        found.append(AnodeGroup(anode=anode, host=host, size=size))
    return tuple(found)
