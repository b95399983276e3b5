r"""Where a current that was injected into the steel leaves it into the water.

The zones' plating (graph of conductances), the interface between bare steel and
water (a resistance a zone), the water (zone-to-zone resistance matrix) and the shore
earth (an electrode, tied to the hull by a protective conductor or not) are one linear
network. It is solved for every sample at once: a dense system the size of the wetted
zones, never the panels again.

With *i* the current leaving each wetted zone, *J* what is injected into the steel,
*K* the steel's resistance matrix about a reference zone at potential v₀, *r* the
interface, *R* the water and *m* the mutual resistance of zone and shore electrode,

.. math::
   (R - m 1^T + K + \mathrm{diag}(r))\, i &= v_0 1 + K J \\
   \textstyle\sum J - \sum i &= g\,(v_0 - E + R_s \sum i - m^T i)

where *g* is the conductance of the protective conductor, *R_s* the shore earth to
remote earth and *E* the couple of hull steel against it. What does not return aboard
returns ashore, so that a current which returns aboard sums to zero over the hull.
"""

from collections.abc import Mapping
from dataclasses import dataclass

import numpy as np
import numpy.typing as npt

from corrosion import basis
from corrosion.errors import InputError
from corrosion.hull.steel import conductances, grounded_inverse
from corrosion.hull.unknowns import PathUnknowns, median_paths
from corrosion.hull.water import WaterBody, water_body
from corrosion.records.ship import Berth, Ship
from corrosion.types import Array, IntArray
from corrosion.units import MAINS

__all__ = [
    "Hull",
    "Network",
    "ShoreLoop",
    "Transfer",
    "build_hull",
    "contact_resistance",
    "network",
    "shore_loop",
    "transfer",
    "water_currents",
]


@dataclass(frozen=True, slots=True, kw_only=True)
class Hull:
    """A hull ready for solving.

    Attributes
    ----------
    body : WaterBody
        Areas, centres and water resistances.
    steel : mapping of float to ndarray, shape (zones, zones)
        Resistance matrix of the steel about the reference zone, by frequency. [Ω]
    reference : int
        The reference zone: the switchboard's, where shore connections land.
    bare : ndarray, shape (zones,)
        Bare share of each zone as last seen. [-]
    beam, length : float
        Main dimensions, for the place of the shore earth. [m]
    """

    body: WaterBody
    steel: Mapping[float, Array]
    reference: int
    bare: Array
    beam: float
    length: float


@dataclass(frozen=True, slots=True, kw_only=True)
class ShoreLoop:
    """The way back ashore.

    Attributes
    ----------
    conductance : float
        Of the protective conductor; 0: none connected, or blocked. [S]
    electrode : ndarray, shape (samples,) or ()
        Shore earth to remote earth. [Ω]
    mutual : ndarray, shape (wetted,)
        Potential at each wetted zone per ampere from the shore electrode. [Ω]
    couple : ndarray, shape (samples,) or ()
        Couple of hull steel against the shore earth; positive drives current out
        of the hull into the water. [V]
    afloat : bool
        False: she lies in dry dock, and nothing crosses any water.
    """

    conductance: float
    electrode: Array
    mutual: Array
    couple: Array
    afloat: bool = True


@dataclass(frozen=True, slots=True, kw_only=True)
class Transfer:
    """Current that leaves each wetted zone into the water.

    What a berth adds to steel and water is of low rank: it lifts the hull as a whole,
    and a near shore electrode lifts the water of each zone. The large array is shared
    by all berths.

    Attributes
    ----------
    steel : ndarray, shape (samples, zones, wetted)
        Per ampere injected at a zone and taken out of the steel at the reference
        zone, the hull as a whole held at the water's potential. [-]
    lifts : tuple of (ndarray, ndarray)
        What is added to it: weights of shape (samples, zones) times patterns of shape
        (samples, wetted). [-]
    ashore : ndarray, shape (samples, wetted)
        Per ampere injected at the reference zone and returned ashore. [-]
    couple : ndarray, shape (samples, wetted)
        Driven by the couple of hull steel against the shore earth. [A]
    """

    steel: Array
    lifts: tuple[tuple[Array, Array], ...]
    ashore: Array
    couple: Array

    def entering(self, zone: IntArray) -> Array:
        """Return what leaves per ampere injected at zones of each sample.

        For positions of shape (samples, sources), of shape (samples, sources,
        wetted); each ampere is taken out of the steel at the reference zone. [-]
        """
        rows = np.arange(len(zone))[:, None]
        leaving = self.steel[rows, zone]
        for weight, pattern in self.lifts:
            leaving += weight[rows, zone][:, :, None] * pattern[:, None, :]
        return leaving

    def spread(self, share: Array) -> Array:
        """Return what leaves per ampere injected over all zones by share.

        For shares of shape (zones,), of shape (samples, wetted). [-]
        """
        leaving = share @ self.steel
        for weight, pattern in self.lifts:
            leaving += (weight @ share)[:, None] * pattern
        return np.asarray(leaving)


def build_hull(ship: Ship) -> Hull:
    """Return the hull of a ship, ready for solving.

    Parameters
    ----------
    ship : Ship
        The ship.

    Returns
    -------
    Hull
        With the steel's resistances at direct current and at the frequency of each
        of her systems.

    Raises
    ------
    InputError
        If her form, water or zones cannot be solved.
    """
    body = water_body(ship)
    boards = [s.switchboard_zone for s in ship.systems if s.switchboard_zone]
    welded = [i for i, zone in enumerate(ship.zones) if zone.bond is None]
    if not welded:
        msg = "build_hull: every zone is a jointed part; at least one must be plating."
        raise InputError(msg)
    reference = ship.zone_index(boards[0]) if boards else welded[0]
    frequencies = {0.0, MAINS} | {s.hertz for s in ship.systems}
    new = basis.value("coating_initial_share")
    return Hull(
        body=body,
        steel={
            hertz: grounded_inverse(conductances(ship, body, hertz), reference)
            for hertz in sorted(frequencies)
        },
        reference=reference,
        bare=np.array([new if z.bare is None else z.bare for z in ship.zones]),
        beam=ship.form.beam,
        length=ship.form.length,
    )


def contact_resistance(
    bare: Array, area: Array, interface: Array, coating: Array
) -> Array:
    """Return the resistance between a zone's steel and the water at its surface.

    Parameters
    ----------
    bare : ndarray, shape (samples, zones)
        Bare share. [-]
    area : ndarray, shape (zones,)
        Plate area. [m²]
    interface, coating : ndarray, shape (samples,)
        Resistance of one square metre of bare steel, and of sound coating. [Ω·m²]

    Returns
    -------
    ndarray, shape (samples, zones)
        Bare and coated area in parallel. [Ω]
    """
    per_area = bare / interface[:, None] + (1.0 - bare) / coating[:, None]
    return 1.0 / (area * per_area)


def shore_loop(
    hull: Hull, berth: Berth, unknowns: PathUnknowns, *, hertz: float
) -> ShoreLoop:
    """Return the way back ashore at a berth.

    Parameters
    ----------
    hull : Hull
        The hull.
    berth : Berth
        How she lies.
    unknowns : PathUnknowns
        Shore earth and couple, where the berth leaves them blank and as far as what
        it says is true.
    hertz : float
        Frequency; 0 for direct current, which a galvanic isolator blocks. [Hz]

    Returns
    -------
    ShoreLoop
        With no conductance where no protective conductor is connected, or where a
        galvanic isolator blocks it.
    """
    direct = hertz == 0.0
    open_circuit = berth.earth_cable is None or (direct and berth.galvanic_isolator)
    couple = unknowns.couple_at(berth)
    return ShoreLoop(
        conductance=0.0 if open_circuit else 1.0 / (berth.earth_cable or np.inf),
        electrode=unknowns.shore_earth_at(berth),
        mutual=_mutual(hull, berth),
        couple=couple if direct else np.zeros_like(couple),
        afloat=berth.afloat,
    )


def _mutual(hull: Hull, berth: Berth) -> Array:
    """Potential at each wetted zone per ampere from the shore electrode [Ω].

    The electrode lies at the surface abreast of midships; where no distance is
    written it is remote.
    """
    centre = hull.body.centre[hull.body.zones]
    if berth.supply == "own" or berth.shore_distance is None:
        return np.zeros(len(centre))
    side = -1.0 if berth.shore_side == "port" else 1.0
    place = np.array(
        [0.5 * hull.length, side * (0.5 * hull.beam + berth.shore_distance), 0.0]
    )
    apart = np.linalg.norm(centre - place, axis=1)
    return np.asarray(hull.body.resistivity / (2.0 * np.pi * apart))


@dataclass(frozen=True, slots=True, kw_only=True)
class Network:
    """Steel, interfaces and water solved, before the shore is tied to them.

    Attributes
    ----------
    inverse : ndarray, shape (samples, wetted, wetted)
        Current leaving each wetted zone per volt between the steel's datum and the
        water at each. [S]
    steel : ndarray, shape (samples, zones, wetted)
        The same per ampere injected at each zone and taken out at the reference,
        the hull as a whole held at the water's potential. [-]
    """

    inverse: Array
    steel: Array


def network(
    hull: Hull,
    contact: Array,
    *,
    hertz: float = 0.0,
    structure: npt.ArrayLike = 1.0,
) -> Network:
    """Solve steel, interfaces and water for every sample, whatever the berth.

    Parameters
    ----------
    hull : Hull
        The hull.
    contact : ndarray, shape (samples, wetted)
        Resistance between the steel of each wetted zone and its water. [Ω]
    hertz : float, optional
        Frequency, one of ``hull.steel``. [Hz]
    structure : array_like, shape (samples,), optional
        Conductance of the structure over that of the shell plating. [-]

    Returns
    -------
    Network
        To be tied to a shore by :func:`transfer`.
    """
    wet = hull.body.zones
    given = np.asarray(structure, dtype=np.float64)
    ease = 1.0 / np.broadcast_to(given, len(contact))[:, None, None]
    plate = hull.steel[hertz][wet]
    linked = hull.body.matrix + plate[:, wet] * ease
    each = np.arange(len(wet))
    linked[:, each, each] += contact
    inverse = np.asarray(np.linalg.inv(linked), dtype=np.float64)
    steel = plate.T @ inverse
    steel *= ease
    return Network(inverse=inverse, steel=steel)


def transfer(solved: Network, loop: ShoreLoop) -> Transfer:
    """Return the current leaving each wetted zone per ampere injected at each zone.

    Parameters
    ----------
    solved : Network
        Steel, interfaces and water.
    loop : ShoreLoop
        The way back ashore.

    Returns
    -------
    Transfer
        For a return aboard, a return ashore, and the couple; nothing in dry dock.
    """
    p, q = solved.inverse.sum(axis=2), solved.steel
    if not loop.afloat:
        dry = np.zeros_like(p)
        return Transfer(
            steel=np.broadcast_to(0.0, q.shape), lifts=(), ashore=dry, couple=dry
        )
    ones = np.ones(p.shape[1])
    out, at_shore = q @ ones, q @ loop.mutual
    lifts = []
    if loop.mutual.any():  # the shore electrode lifts each zone's water: one rank more
        lifted = solved.inverse @ loop.mutual
        spare = 1.0 - lifted @ ones
        weight = out / spare[:, None]
        lifts.append((weight, lifted))
        out = weight  # its own sum and what it adds: out + weight * (1 - spare)
        at_shore = at_shore + weight * (lifted @ loop.mutual)[:, None]
        p = p + (p @ ones / spare)[:, None] * lifted
    g = loop.conductance
    back = 1.0 + g * loop.electrode
    per_volt = (p @ ones) * back + g * (1.0 - p @ loop.mutual)
    excess = out * np.expand_dims(back, -1) - g * at_shore
    lifts.append((-excess / per_volt[:, None], p))
    return Transfer(
        steel=q,
        lifts=tuple(lifts),
        ashore=p / per_volt[:, None],
        couple=p * (g * loop.couple / per_volt)[:, None],
    )


def water_currents(hull: Hull, injected_a: npt.ArrayLike, berth: Berth) -> Array:
    """Return the current that leaves each zone into the water.

    Parameters
    ----------
    hull : Hull
        The hull, its coating as last seen, its unknowns at their medians.
    injected_a : array_like, shape (zones,)
        Direct current into the steel of each zone; negative where it is taken out.
        What does not sum to zero returns ashore. [A]
    berth : Berth
        How she lies: protective conductor, shore earth, couple.

    Returns
    -------
    ndarray, shape (zones,)
        Current leaving each zone, positive out of the steel into the water, the
        couple's included; zero for zones that do not conduct into the sea. [A]

    Raises
    ------
    InputError
        If there is not one current a zone.

    References
    ----------
    .. [1] J. Newman, "Resistance for flow of current to a disk", J. Electrochem.
       Soc. 113, 1966, 501 (the electrode resistances that the matrix must meet).
    """
    amps = np.asarray(injected_a, dtype=np.float64)
    count = len(hull.bare)
    if amps.shape != (count,):
        msg = (
            f"water_currents: injected_a must have one current a zone, shape "
            f"({count},), got {amps.shape}."
        )
        raise InputError(msg)
    wet = hull.body.zones
    unknowns = median_paths()
    contact = contact_resistance(
        hull.bare[None, wet],
        hull.body.area[wet],
        unknowns.interface,
        unknowns.coating,
    )
    tied = network(hull, contact, structure=unknowns.structure)
    solved = transfer(tied, shore_loop(hull, berth, unknowns, hertz=0.0))
    leaving = np.zeros(count)
    leaving[wet] = (
        solved.spread(amps)[0] + amps.sum() * solved.ashore[0] + solved.couple[0]
    )
    return leaving
