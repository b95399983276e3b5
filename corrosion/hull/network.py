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

from dataclasses import dataclass

import numpy as np
import numpy.typing as npt

from corrosion.foundation.types import Array, IntArray
from corrosion.hull.inverse import symmetric_inverse
from corrosion.hull.model import Hull
from corrosion.hull.shore_connection import ShoreConnection
from corrosion.hull.uncertain import PathUnknowns


@dataclass(frozen=True, slots=True, kw_only=True)
class Transfer:
    """Current that leaves each wetted zone into the water.

    What a berth adds to steel and water is of low rank: it lifts the hull as a whole,
    and a near shore electrode lifts the water of each zone. The large array is shared
    by all berths.

    Arrays are of shape (samples, wetted) where no other is said.
    """

    # shape (samples, zones, wetted): per ampere injected at a zone and taken out of the
    # steel at the reference zone, the hull as a whole held at the water's potential [-]
    steel: Array
    # what is added to it: weights of shape (samples, zones) times patterns of
    # shape (samples, wetted) [-]
    low_rank_terms: tuple[tuple[Array, Array], ...]
    ashore: Array  # per ampere injected at the reference zone and returned ashore [-]
    couple: Array  # driven by the couple of hull steel against the shore earth [A]

    @classmethod
    def dry(cls, samples: int, zones: int, wetted: int) -> "Transfer":
        """Return that of a hull out of the water: nothing leaves."""
        nothing = np.zeros((samples, wetted))
        steel = np.broadcast_to(0.0, (samples, zones, wetted))
        return cls(steel=steel, low_rank_terms=(), ashore=nothing, couple=nothing)

    def per_ampere_at(self, zone: IntArray) -> Array:
        """Return what leaves per ampere injected at zones of each sample.

        For positions of shape (samples, sources), of shape (samples, sources,
        wetted); each ampere is taken out of the steel at the reference zone. [-]
        """
        rows = np.arange(len(zone))[:, None]
        many = zone.shape[1] > self.steel.shape[1]  # each zone once, then its sources
        leaving = self.steel.copy() if many else self.steel[rows, zone]
        for weight, pattern in self.low_rank_terms:
            each = weight if many else weight[rows, zone]
            leaving += each[:, :, None] * pattern[:, None, :]
        return leaving[rows, zone] if many else leaving

    def per_ampere_over(self, share: Array) -> Array:
        """Return what leaves per ampere injected over all zones by share.

        For shares of shape (zones,), of shape (samples, wetted). [-]
        """
        leaving = share @ self.steel
        for weight, pattern in self.low_rank_terms:
            leaving += (weight @ share)[:, None] * pattern
        return np.asarray(leaving)


@dataclass(frozen=True, slots=True, kw_only=True)
class Network:
    """Steel, interfaces and water solved, before the shore is tied to them."""

    # shape (samples, wetted, wetted): current leaving each wetted zone per volt between
    # the steel's datum and the water at each [S]
    inverse: Array
    # shape (samples, zones, wetted): the same per ampere injected at each zone and
    # taken out at the reference, the hull as a whole held at the water's potential [-]
    steel: Array

    @property
    def hull_ohms(self) -> Array:
        """Hull, as one piece, to remote earth, (samples,) [Ω]."""
        whole = self.inverse.sum(axis=(1, 2))
        return 1.0 / np.where(whole > 0.0, whole, np.inf)


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
    interface : ndarray, shape (samples,) or (samples, zones)
        Resistance of one square metre of bare steel. [Ω·m²]
    coating : ndarray, shape (samples,)
        Resistance of one square metre of sound coating. [Ω·m²]

    Returns
    -------
    ndarray, shape (samples, zones)
        Bare and coated area in parallel. [Ω]
    """
    steel = interface.reshape(len(interface), -1)
    per_area = bare / steel + (1.0 - bare) / coating[:, None]
    return 1.0 / (area * per_area)


def total_over_bare_current(bare: Array, interface: Array, coating: Array) -> Array:
    """Return what leaves a zone over what leaves its bare steel.

    Parameters
    ----------
    bare : ndarray, shape (samples, zones)
        Bare share, > 0. [-]
    interface, coating : ndarray
        As for :func:`contact_resistance`. [Ω·m²]

    Returns
    -------
    ndarray, shape (samples, zones)
        1, and more by what sound paint lets through. [-]
    """
    steel = interface.reshape(len(interface), -1)
    return 1.0 + steel / coating[:, None] * (1.0 - bare) / bare


def spreading_resistance(
    hull: Hull, bare: Array, *, interface: Array, coating: Array
) -> Array:
    r"""Return the resistance of the water in which current narrows to bare patches.

    Parameters
    ----------
    hull : Hull
    bare : ndarray, shape (samples, wetted)
        Bare share. [-]
    interface, coating : ndarray
        As for :func:`contact_resistance`. [Ω·m²]

    Returns
    -------
    ndarray, shape (samples, wetted)
        In series with the contact: the water's own matrix takes what leaves a zone as
        spread evenly over it. [Ω]

    Notes
    -----
    A disk of radius *a* on an insulating plane meets the water through
    :math:`\rho / 4a` [1]_, which is :math:`\pi \rho a / 4` for a square metre of disks
    far from one another. Where they fill the share *f* of the plane, what narrows to
    each counts for :math:`(1 - \sqrt f)^{3/2}` of that [2]_, and for nothing where all
    is bare.

    References
    ----------
    .. [1] J. Newman, J. Electrochem. Soc. 113, 1966, 501.
    .. [2] M. G. Cooper, B. B. Mikic and M. M. Yovanovich, Int. J. Heat Mass Transfer
       12, 1969, 279 (from memory).
    """
    radius = hull.assumptions.value("bare_patch_radius_m")
    narrow = 0.25 * np.pi * hull.body.resistivity * radius
    steel = interface.reshape(len(interface), -1)
    area = hull.contact_area
    through = contact_resistance(
        bare, area, steel + narrow * (1.0 - np.sqrt(bare)) ** 1.5, coating
    )
    return np.asarray(through - contact_resistance(bare, area, steel, coating))


def network(
    hull: Hull,
    contact: Array,
    paths: PathUnknowns,
    *,
    hertz: float = 0.0,
    spreading: npt.ArrayLike = 0.0,
) -> Network:
    """Solve steel, interfaces and water for every sample, whatever the berth.

    Parameters
    ----------
    hull : Hull
    contact : ndarray, shape (samples, wetted)
        Resistance between the steel of each wetted zone and its water. [Ω]
    paths : PathUnknowns
        Of structure and joints; a sample a row.
    hertz : float, optional
        Frequency, one of ``hull.steel``. [Hz]
    spreading : array_like, shape (samples, wetted), optional
        Of :func:`spreading_resistance`. [Ω]

    Returns
    -------
    Network
        To be tied to a shore by :func:`transfer`.
    """
    plating = hull.plating(paths, hertz)
    # R + K + diag(r): the water, the steel about its reference zone, and what lies
    # between.
    linked = hull.linked(plating, contact + np.asarray(spreading, dtype=np.float64))
    # W = (R + K + diag(r))^-1 serves every berth and every fault: the inverse itself is
    # wanted, column by column, and not the solution for one right-hand side.
    inverse = symmetric_inverse(linked)
    # q: what leaves each zone per ampere injected, W K J for unit J; symmetric W lets
    # all zones be injected at by one product.
    return Network(inverse=inverse, steel=plating.times(inverse, hull.body.zones))


def painted_network(hull: Hull, bare: Array, paths: PathUnknowns) -> Network:
    """Return the network to direct current of bare shares, (samples, wetted) [-]."""
    steel = {"interface": paths.interface, "coating": paths.coating}
    narrow = spreading_resistance(hull, bare, **steel)
    contact = contact_resistance(bare, hull.contact_area, **steel)
    return network(hull, contact, paths, spreading=narrow)


def transfer(solved: Network, loop: ShoreConnection) -> Transfer:
    """Return the current leaving each wetted zone per ampere injected at each zone.

    For a return aboard, a return ashore, and the couple; nothing in dry dock, or where
    no zone conducts into the sea.
    """
    p, q = solved.inverse.sum(axis=2), solved.steel
    if not loop.afloat or not p.size:
        return Transfer.dry(*q.shape)
    # i = v0 p + q J + (sum of i) W m, with p = W 1: steel and water are solved; a berth
    # adds one unknown voltage, v0, and one rank for a near electrode, m.
    ones = np.ones(p.shape[1])
    out, at_shore = q @ ones, q @ loop.mutual
    low_rank_terms = []
    if loop.mutual.any():  # the shore electrode lifts each zone's water: one rank more
        # Sum both sides: (sum of i)(1 - 1'W m) = v0 1'p + 1'q J, which is put back in
        # (Sherman and Morrison); `spare` is 1 - 1'W m.
        lifted = solved.inverse @ loop.mutual
        spare = 1.0 - lifted @ ones
        weight = out / spare[:, None]
        low_rank_terms.append((weight, lifted))
        out = weight  # its own sum and what it adds: out + weight * (1 - spare)
        at_shore = at_shore + weight * (lifted @ loop.mutual)[:, None]
        p = p + (p @ ones / spare)[:, None] * lifted
    # The second equation of the module's head, solved for v0: its factor is `per_volt`,
    # and `excess` what of J would leave at v0 = 0, as the shore sees it. All is linear
    # in J and E, hence three answers: aboard, ashore, couple.
    g = np.asarray(loop.conductance)
    back = 1.0 + g * loop.electrode
    per_volt = (p @ ones) * back + g * (1.0 - p @ loop.mutual)
    excess = out * np.expand_dims(back, -1) - np.expand_dims(g, -1) * at_shore
    low_rank_terms.append((-excess / per_volt[:, None], p))
    return Transfer(
        steel=q,
        low_rank_terms=tuple(low_rank_terms),
        ashore=p / per_volt[:, None],
        couple=p * (g * loop.couple / per_volt)[:, None],
    )
