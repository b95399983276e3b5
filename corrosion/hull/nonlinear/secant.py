r"""The linear network that draws, at one operating point, what the nonlinear one draws.

Where the interface is not linear, each zone's bare steel is taken as the resistance
that its polarisation and its current come to there, the *secant*
:math:`\eta / j(\eta)`, and a galvanic isolator as the conductance that its voltage and
its current come to. A linear network of these secants has the currents of the nonlinear
one, and as it is linear it says by superposition which source drives what. What it says
of one source alone is a share of what all drive together, not what that source would
drive were it alone.
"""

from dataclasses import dataclass, replace

import numpy as np

from corrosion.foundation.types import Array, BoolArray, IntArray
from corrosion.hull.inverse import symmetric_inverse
from corrosion.hull.model import Hull
from corrosion.hull.network import painted_network, spreading_resistance
from corrosion.hull.nonlinear.newton import NonlinearNetwork, isolator_voltage, iterate
from corrosion.hull.nonlinear.polarisation import BareSteel
from corrosion.hull.shore_connection import shore_connection
from corrosion.hull.uncertain import PathUnknowns
from corrosion.records.ship import Berth

NOTHING = 1e-3
"""A current that counts as nothing: it dissolves nine grams of iron a year. [A]"""

_WITHIN = 1e-3  # of the largest current; a secant network is balanced whatever this is
_LOWEST = -0.6  # where Newton begins at the lowest [V]


def nonlinear_network(  # noqa: PLR0913 - a state is made of as much
    hull: Hull,
    berth: Berth,
    injected: Array,
    *,
    paths: PathUnknowns,
    bare: Array,
    rest: Array | float = 0.0,
    electrode: Array | None = None,
) -> NonlinearNetwork:
    """Return the equations of currents at a berth where the interface is not linear.

    Parameters
    ----------
    hull : Hull
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
    electrode : ndarray, shape (cases,), optional
        Shore earth as the couple polarises it; None: worked out. [Ω]

    Returns
    -------
    NonlinearNetwork
        A case a row; a tidal zone conducts for its share of the time.
    """
    wet, plating = hull.body.zones, hull.plating(paths)
    loop = shore_connection(
        hull, replace(berth, galvanic_isolator=False), paths, hertz=0.0
    )
    samples, size = len(paths.interface), len(wet)
    count = max(samples, len(injected))
    # where no conductor ties her, what returns ashore is given: this lifts her alone
    area, interface = hull.contact_area, paths.interface[:, None]
    share = np.broadcast_to(bare, (count, size))
    each_paths = paths.rows(np.zeros(count, dtype=np.int64)) if samples == 1 else paths
    narrow = spreading_resistance(
        hull, share, interface=each_paths.interface, coating=each_paths.coating
    )
    if electrode is None:
        ohms = painted_network(hull, share, each_paths).hull_ohms
        polarised = shore_connection(hull, berth, each_paths, hertz=0.0, hull_ohms=ohms)
        electrode = polarised.electrode
    earth = np.broadcast_to(electrode, count)[:, None, None]
    # Potentials are counted from the shore electrode, whose own resistance (`earth`)
    # and mutuals with each zone (`near`) every ampere that goes ashore meets.
    near = loop.mutual + loop.mutual[:, None]
    linked = hull.body.matrix - near + plating.among(wet) + earth
    linked = np.broadcast_to(linked, (count, size, size)).copy()
    each = np.arange(size)
    linked[:, each, each] += narrow
    coated = (1.0 - bare) * area / paths.coating[:, None]
    return NonlinearNetwork(
        inverse=symmetric_inverse(linked),
        source=np.broadcast_to(plating.lifted(injected, wet), (count, size)),
        total=np.broadcast_to(injected.sum(axis=1), count),
        steel=BareSteel.at_rest(
            np.broadcast_to(interface, (count, size)),
            rest,
            assumptions=hull.assumptions,
        ),
        bare=np.broadcast_to(bare * area, (count, size)),
        paint=np.broadcast_to(coated, (count, size)),
        conductance=np.broadcast_to(loop.conductance, count),
        threshold=hull.assumptions.value("isolator_threshold_v")
        * berth.galvanic_isolator,
        slope_v=hull.assumptions.value("isolator_slope_v"),
        couple=np.broadcast_to(loop.couple, count),
    )


@dataclass(frozen=True, slots=True, kw_only=True)
class Secants:
    """The linear network that draws what a nonlinear one draws.

    Arrays are of shape (cases,) where no other is said.
    """

    # shape (cases, wetted): resistance of one square metre of bare steel [Ω·m²]
    interface: Array
    conductance: Array  # of protective conductor and isolator together [S]
    off: BoolArray  # where the nonlinear currents could not be balanced
    furthest: IntArray  # position of the wetted zone that is furthest from balance


def secants(system: NonlinearNetwork, linear: Array) -> Secants:
    """Return the linear network that draws what a nonlinear one draws.

    Parameters
    ----------
    system : NonlinearNetwork
        The nonlinear one.
    linear : ndarray, shape (cases, wetted)
        Net density at bare steel by the linear law, from where Newton's steps begin.
        [A/m²]

    Returns
    -------
    Secants
        Of every case; of no meaning where it is ``off``.
    """
    steel = system.steel
    # Begin where Tafel's line, turned round, puts an anodic current, and where a
    # resistance puts a cathodic one, no lower than hydrogen allows: a start by Ohm's
    # law alone would lie volts beyond what an exponential can be stepped back from.
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
