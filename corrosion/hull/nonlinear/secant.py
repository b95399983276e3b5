r"""The linear network that draws, at one operating point, what the bent one draws.

Where the interface bends, each zone's bare steel is taken as the resistance that its
polarisation and its current come to there, the *secant* :math:`\eta / j(\eta)`, and a
galvanic isolator as the conductance that its voltage and its current come to. A linear
network of these secants has the currents of the bent one, and as it is linear it says
by superposition which source drives what. What it says of one source alone is a share
of what all drive together, not what that source would drive were it alone.
"""

from dataclasses import dataclass, replace

import numpy as np

from corrosion.foundation.assumptions import Assumptions
from corrosion.foundation.types import Array, BoolArray, IntArray
from corrosion.hull.model import Hull
from corrosion.hull.network import Network, spreading_resistance
from corrosion.hull.nonlinear.newton import NonlinearNetwork, isolator_voltage, iterate
from corrosion.hull.nonlinear.polarisation import BareSteel
from corrosion.hull.shore_connection import ShoreConnection, shore_connection
from corrosion.hull.uncertain import PathUnknowns
from corrosion.records.ship import Berth

__all__ = ["NOTHING", "LinearCheck", "Secants", "nonlinear_network", "secants"]

NOTHING = 1e-3
"""A current that counts as nothing: it dissolves nine grams of iron a year. [A]"""

_WITHIN = 1e-3  # of the largest current; a secant network is balanced whatever this is
_LOWEST = -0.6  # where Newton begins at the lowest [V]


def nonlinear_network(
    hull: Hull,
    berth: Berth,
    injected: Array,
    *,
    paths: PathUnknowns,
    bare: Array,
    rest: Array | float = 0.0,
) -> NonlinearNetwork:
    """Return the equations of currents at a berth where the interface bends.

    Parameters
    ----------
    hull : Hull
        The hull.
    berth : Berth
        How she lies; a galvanic isolator conducts above its threshold.
    injected : ndarray, shape (cases, zones)
        Direct current into the steel of each zone. [A]
    paths : PathUnknowns
        One sample, or one a case.
    bare : ndarray, shape (wetted,) or (cases, wetted)
        Bare share. [-]
    rest : ndarray, shape (cases, wetted), or float, optional
        Polarisation at which a protection current holds bare steel. [V]

    Returns
    -------
    NonlinearNetwork
        A case a row; a tidal zone conducts for its share of the time.
    """
    wet, plate = hull.body.zones, hull.steel[0.0][hull.body.zones]
    loop = shore_connection(
        hull, replace(berth, galvanic_isolator=False), paths, hertz=0.0
    )
    samples, size = len(paths.interface), len(wet)
    count = max(samples, len(injected))
    ease = 1.0 / paths.structure[:, None]
    # where no conductor ties her, what returns ashore is given: this lifts her alone
    earth = np.broadcast_to(loop.electrode, samples)[:, None, None]
    near = loop.mutual + loop.mutual[:, None]
    linked = hull.body.matrix - near + plate[:, wet] * ease[:, :, None] + earth
    area, interface = hull.contact_area, paths.interface[:, None]
    share = np.broadcast_to(bare, (count, size))
    narrow = spreading_resistance(
        hull,
        share,
        interface=np.broadcast_to(paths.interface, count),
        coating=np.broadcast_to(paths.coating, count),
    )
    linked = np.broadcast_to(linked, (count, size, size)).copy()
    each = np.arange(size)
    linked[:, each, each] += narrow
    coated = (1.0 - bare) * area / paths.coating[:, None]
    return NonlinearNetwork(
        inverse=np.asarray(np.linalg.inv(linked), dtype=np.float64),
        source=np.broadcast_to(ease * (injected @ plate.T), (count, size)),
        total=np.broadcast_to(injected.sum(axis=1), count),
        steel=BareSteel.at_rest(
            np.broadcast_to(interface, (count, size)),
            rest,
            assumptions=hull.assumptions,
        ),
        bare=np.broadcast_to(bare * area, (count, size)),
        paint=np.broadcast_to(coated, (count, size)),
        conductance=float(loop.conductance),
        threshold=hull.assumptions.value("isolator_threshold_v")
        * berth.galvanic_isolator,
        slope_v=hull.assumptions.value("isolator_slope_v"),
        couple=np.broadcast_to(loop.couple, count),
    )


@dataclass(frozen=True, slots=True, kw_only=True)
class Secants:
    """The linear network that draws what a bent one draws.

    Attributes
    ----------
    interface : ndarray, shape (cases, wetted)
        Resistance of one square metre of bare steel. [Ω·m²]
    conductance : ndarray, shape (cases,)
        Of protective conductor and isolator together. [S]
    off : ndarray of bool, shape (cases,)
        Where the bent currents could not be balanced.
    furthest : ndarray of int, shape (cases,)
        Position of the wetted zone that is furthest from balance.
    """

    interface: Array
    conductance: Array
    off: BoolArray
    furthest: IntArray


def secants(system: NonlinearNetwork, linear: Array) -> Secants:
    """Return the linear network that draws what a bent one draws.

    Parameters
    ----------
    system : NonlinearNetwork
        The bent one.
    linear : ndarray, shape (cases, wetted)
        Net density at bare steel by the linear law, from where Newton's steps begin.
        [A/m²]

    Returns
    -------
    Secants
        Of every case; of no meaning where it is ``off``.
    """
    steel = system.steel
    rise = np.log1p(np.maximum(linear, 0.0) / steel.anodic) / steel.anodic_rate
    fall = np.minimum(linear, 0.0) / steel.slope(np.zeros_like(linear))
    start = np.concatenate(
        [rise + np.maximum(fall, _LOWEST), np.zeros((len(linear), 1))], axis=1
    )
    z, off = iterate(system, start, within=_WITHIN)
    x, volts = z[:, :-1], z[:, -1] - system.couple
    with np.errstate(over="ignore", invalid="ignore"):  # where it is off
        interface = _over(x, steel.added(x), 1.0 / steel.slope(x))
        left, slope = isolator_voltage(volts, system.threshold, system.slope_v)
        furthest = np.zeros(len(z), dtype=np.int64)
        if off.any():
            furthest = np.abs(system.unbalance(z)[:, :-1]).argmax(axis=1)
    return Secants(
        interface=interface,
        conductance=system.conductance * _over(left, volts, slope),
        off=off,
        furthest=furthest,
    )


def _over(top: Array, bottom: Array, limit: Array) -> Array:
    """Return a ratio, and its limit where both vanish."""
    near = np.abs(bottom) < 1e-12
    return np.asarray(np.where(near, limit, top / np.where(near, 1.0, bottom)))


class LinearCheck:
    """The linear network of every sample at a berth, and how far it can be trusted.

    Parameters
    ----------
    tied : Network
        Steel, interfaces and water.
    berth : Berth
        How she lies.
    loop : ShoreConnection
        The way back ashore.
    contact : ndarray, shape (samples, wetted)
        Of each wetted zone to its water. [Ω]
    steel : BareSteel
        Of shape (samples, wetted). [A/m²]
    interface : ndarray, shape (samples,)
        Resistance of one square metre of bare steel. [Ω·m²]
    assumptions : Assumptions
        The ship's.

    Attributes
    ----------
    bound : float
        Of the largest current of any zone, by how much any may be missed. [-]
    tame : ndarray, shape (samples, 1)
        Currents of zones up to which no polarisation bends by as much. [A]
    """

    def __init__(  # noqa: PLR0913 - all that the linear network is made of
        self,
        tied: Network,
        berth: Berth,
        loop: ShoreConnection,
        *,
        contact: Array,
        steel: BareSteel,
        interface: Array,
        assumptions: Assumptions,
    ) -> None:
        self.inverse, self.berth, self.loop = tied.inverse, berth, loop
        self.contact, self.steel = contact, steel
        self.slope = 1.0 / interface[:, None]
        self.bound = assumptions.value("linear_bound")
        self._isolator = [
            assumptions.value(f"isolator_{name}_v") for name in ("threshold", "slope")
        ]
        tame = 2.0 * self.bound / (steel.anodic_rate * contact.max(axis=1, initial=0.0))
        held = np.abs(steel.slope(np.zeros_like(contact)) / self.slope - 1.0)
        self.safe_current = (tame * ~(held > 1e-6).any(axis=1))[:, None]
        lifted = tied.inverse @ loop.mutual
        self._lift = lifted / (1.0 - lifted.sum(axis=1))[:, None]
        whole = tied.inverse.sum(axis=2)
        self._whole = whole + whole.sum(axis=1)[:, None] * self._lift
        g = loop.conductance
        self._back = 1.0 + g * np.broadcast_to(loop.electrode, len(whole))
        ties = self._whole.sum(axis=1) * self._back
        self._ties = ties + g * (1.0 - self._whole @ loop.mutual)
        self._alone: BoolArray | None = None

    def couple_is_nonlinear(self, couple: Array) -> BoolArray:
        """Return where the linear law misses the couple's current, standing alone.

        For what it drives out of each zone, (samples, wetted) [A]; of shape (samples,).
        """
        if self._alone is None:
            self._alone = np.zeros(len(couple), dtype=np.bool_)
            if couple.any() or self.berth.galvanic_isolator:
                every = np.arange(len(couple))
                self._alone = self.linear_error(couple, every) > self.bound
        return self._alone

    def linear_error(self, leaving: Array, sample: IntArray) -> Array:
        r"""Return by how much the linear law misses any zone's current, about.

        Parameters
        ----------
        leaving : ndarray, shape (states, wetted)
            Direct current that leaves each zone by the linear law. [A]
        sample : ndarray of int, shape (states,)
            Whose state each is.

        Returns
        -------
        ndarray, shape (states,)
            Rather too much than too little: what the linear network would draw more
            were each zone polarised by its current as the law that bends says, by as
            much more as that law is softer there than the linear one; or what an
            isolator would conduct that the linear law holds open; over the largest
            current of any zone. [-]
        """
        x = leaving * self.contact[sample]
        steel = self.steel.row(sample)
        bent = steel.about(x * self.slope[sample])
        softer = (steel.slope(bent) / self.slope[sample]).max(axis=1)
        moved = ((bent - x)[:, None, :] @ self.inverse[sample])[:, 0]
        moved += moved.sum(axis=1)[:, None] * self._lift[sample]
        ashore = self.loop.conductance * (moved @ self.loop.mutual)
        raised = (self._back[sample] * moved.sum(axis=1) - ashore) / self._ties[sample]
        moved -= raised[:, None] * self._whole[sample]
        drawn = np.abs(moved).max(axis=1) * np.maximum(softer, 1.0)
        most = np.maximum(drawn, self._blocked(leaving, sample))
        return np.asarray(most / np.maximum(np.abs(leaving).max(axis=1), NOTHING))

    def _blocked(self, leaving: Array, sample: IntArray) -> Array:
        """Return what an isolator held open would conduct, about, (states,) [A]."""
        if self.berth.earth_cable is None or not self.berth.galvanic_isolator:
            return np.zeros(len(leaving))
        ohms = 1.0 / self._whole.sum(axis=1) + self.loop.electrode
        couple = np.broadcast_to(self.loop.couple, len(ohms))
        volts = leaving.sum(axis=1) * ohms[sample] - couple[sample]
        left, _ = isolator_voltage(volts, *self._isolator)
        return np.asarray(np.abs(left) / self.berth.earth_cable)
