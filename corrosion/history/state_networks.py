"""The linear networks that draw what nonlinear states draw, and say whose it is."""

import warnings
from collections.abc import Sequence
from dataclasses import dataclass, replace

import numpy as np

from corrosion.foundation.errors import ValidityWarning
from corrosion.foundation.types import Array, BoolArray, IntArray
from corrosion.history.injected import injected_current
from corrosion.history.paths import CurrentPaths
from corrosion.history.protected_paths import ProtectedPaths, columns_of
from corrosion.hull.inverse import symmetric_inverse
from corrosion.hull.network import (
    Transfer,
    contact_resistance,
    network,
    spreading_resistance,
    total_over_bare_current,
    transfer,
)
from corrosion.hull.nonlinear.newton import NonlinearNetwork
from corrosion.hull.nonlinear.secant import Secants, nonlinear_network, secants
from corrosion.hull.nonlinear.tangents import tangents
from corrosion.hull.shore_connection import ShoreConnection
from corrosion.leakage.fed_system import SystemCurrents
from corrosion.wastage.fault_charges import CurrentSource

_KEPT = 6  # networks of a hull that anodes hold, kept for the next step


@dataclass(frozen=True, slots=True, kw_only=True)
class StateNetwork:
    """A linear network of some states."""

    solved: Transfer  # where currents leave
    # shape (states, wetted): density of direct current at bare steel per ampere
    # leaving each zone [1/m²]
    density: Array
    # what leaves through each group of anodes; None: none acts
    anodes: Transfer | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class StateNetworks:
    """The linear networks of some states, and where none is.

    Arrays are of shape (states,) where no other is said.
    """

    sample: IntArray  # of which sample each is
    secant: StateNetwork  # which draws what the nonlinear one draws
    # what answers to a little more at the nodes of `corrosion.hull.nonlinear.tangents`;
    # none where nothing protects, or nobody is charged
    nodes: list[StateNetwork]
    # shape (states, wetted): direct current that leaves each zone over that which
    # leaves its bare steel [-]
    through: Array
    # shape (states, wetted): secant of the polarisation of one square metre
    # of bare steel [Ω·m²]
    interface: Array
    off: BoolArray  # where no balance was found


def state_networks(
    routes: CurrentPaths,
    number: int,
    flows: Sequence[tuple[SystemCurrents, CurrentSource]],
    which: tuple[IntArray, IntArray],
    linear: Array,
) -> StateNetworks:
    """Return the linear networks of some states.

    Parameters
    ----------
    routes : CurrentPaths
        The current paths of a block of samples.
    number : int
        Which stay.
    flows : sequence of (SystemCurrents, CurrentSource)
        What leaks in the step, and where it leaves by the linear law.
    which : tuple of two ndarrays of int, shape (states,)
        Sample and stretch of each state.
    linear : ndarray, shape (states, wetted)
        What leaves each zone by the linear law, where no anode acts. [A]

    Returns
    -------
    StateNetworks
        The linear law's where no balance is found; a warning names berth and zone.
    """
    if isinstance(routes, ProtectedPaths) and routes.acting:
        return _among_anodes(routes, number, flows, which)
    sample, stretch = which
    hull, berth = routes.inputs.hull, routes.inputs.periods[number].berth
    paths = routes.in_flow(number).rows(sample)
    paint, bare = (of[sample][:, routes.wet] for of in (routes.paint, routes.bare))
    straight, rest = routes.straight(number), routes.rest(number)[sample]
    leaks = [leaking_alone(leak, sample, stretch) for leak, _ in flows]
    loop = routes.shore(number, 0.0).rows(sample)
    system = nonlinear_network(
        hull,
        berth,
        injected_current(routes, number, leaks, sample),
        paths=paths,
        bare=paint,
        rest=rest,
        electrode=loop.electrode,
    )
    found = secants(system, linear * straight.contact[sample] * straight.slope[sample])
    off = found.off
    interface = np.where(off[:, None], paths.interface[:, None], found.interface)
    if off.any():
        _warn(routes, number, found)
    narrow = spreading_resistance(
        hull, paint, interface=paths.interface, coating=paths.coating
    )

    def linear_network(steel: Array, tied: ShoreConnection) -> StateNetwork:
        # Tied to the same shore. Paths are those of the paint midway in its epoch;
        # what reaches bare steel is reckoned with the paint of this step.
        contact = contact_resistance(paint, hull.contact_area, steel, paths.coating)
        now = contact_resistance(bare, hull.contact_area, steel, paths.coating)
        solved = network(hull, contact, paths, spreading=narrow)
        return StateNetwork(
            solved=transfer(solved, tied), density=now * hull.share_flooded / steel
        )

    conductance = np.where(off, loop.conductance, found.conductance)
    return StateNetworks(
        sample=sample,
        secant=linear_network(interface, replace(loop, conductance=conductance)),
        nodes=[
            linear_network(one.interface, replace(loop, conductance=one.conductance))
            for one in (tangents(system) if routes.counted and rest.any() else ())
        ],
        through=total_over_bare_current(bare, interface, paths.coating),
        interface=interface,
        off=off,
    )


def _among_anodes(
    routes: ProtectedPaths,
    number: int,
    flows: Sequence[tuple[SystemCurrents, CurrentSource]],
    which: tuple[IntArray, IntArray],
) -> StateNetworks:
    """Return the linear networks of some states of a hull that anodes hold.

    About the potentials at which anodes and own metals hold one another, with the law
    of every metal; the anodes are electrodes as the zones are.
    """
    sample, stretch = which
    her, state = routes.anodes.her.hull, routes.state(number)
    paths = routes.turned(number).rows(sample)
    shore = routes.shore(number, 0.0)
    conductance = routes.unknowns.earth_conductance_at(
        routes.inputs.periods[number].berth
    )
    loop = shore.rows(sample)
    leaks = [leaking_alone(leak, sample, stretch) for leak, _ in flows]
    injected = injected_current(routes, number, leaks, sample)
    key = number, sample.tobytes(), injected.tobytes()
    kept = routes.networks.get(key)  # the same currents as in a step before
    if isinstance(kept, StateNetworks):
        return kept
    plating, wet = her.plating(paths), her.body.zones
    each = np.arange(len(wet))
    near = loop.mutual + loop.mutual[:, None]
    linked = her.body.matrix - near + plating.among(wet)
    linked = linked + np.asarray(loop.electrode)[:, None, None]
    linked[:, each, each] += state.narrow[sample]
    isolated = routes.inputs.periods[number].berth.galvanic_isolator
    table = her.assumptions
    system = NonlinearNetwork(
        inverse=symmetric_inverse(linked),
        source=plating.lifted(injected, wet),
        total=injected.sum(axis=1),
        steel=state.held.row(sample),
        bare=state.area[sample],
        paint=state.paint[sample],
        conductance=np.broadcast_to(conductance, len(shore.conductance))[sample],
        threshold=table.value("isolator_threshold_v") * isolated,
        slope_v=table.value("isolator_slope_v"),
        couple=loop.couple,
    )
    found = secants(system, np.zeros(state.area[sample].shape))
    tangent = 1.0 / system.steel.slope(np.zeros_like(found.interface))
    off = found.off
    interface = np.where(off[:, None], tangent, found.interface)
    if off.any():
        _warn(routes, number, found)
    many = len(routes.wet)

    def linear_network(metal: Array, tied: ShoreConnection) -> StateNetwork:
        steel = network(
            her,
            state.impedances(sample, metal),
            paths,
            spreading=state.narrow[sample],
        )
        solved = transfer(steel, tied)
        return StateNetwork(
            solved=columns_of(solved, slice(0, many)),
            density=routes.held_density(number, sample, metal),
            anodes=columns_of(solved, slice(many, None)),
        )

    tied = np.where(off, loop.conductance, found.conductance)
    routes.networks[key] = networks = StateNetworks(
        sample=sample,
        secant=linear_network(interface, replace(loop, conductance=tied)),
        nodes=[
            linear_network(one.interface, replace(loop, conductance=one.conductance))
            for one in (tangents(system) if routes.counted else ())
        ],
        through=np.ones((len(sample), many)),  # under protection, nothing beneath paint
        interface=interface[:, :many],
        off=off,
    )
    while len(routes.networks) > _KEPT:
        del routes.networks[next(iter(routes.networks))]
    return networks


def leaking_alone(
    leak: SystemCurrents, sample: IntArray, stretch: IntArray
) -> SystemCurrents:
    """Return what leaks in some states, each as if it were a sample of one stretch."""
    lamps = leak.lamps
    return replace(
        leak,
        amps=leak.amps[sample, stretch][:, None, :],
        lamps=None if lamps is None else lamps[sample, stretch][:, None],
    )


def _warn(routes: CurrentPaths, number: int, found: Secants) -> None:
    """Say where the linear law is kept because no balance was found."""
    inputs = routes.inputs
    zones = inputs.ship.zones
    furthest = np.minimum(found.furthest[found.off], len(routes.wet) - 1)
    for at in np.unique(furthest):
        msg = (
            f"the currents of zone {zones[routes.wet[at]].zone} could not be "
            "balanced by the nonlinear law, which the interface of steel and water "
            f"needed there ({inputs.periods[number].berth.berth}): the linear law was "
            "kept; check currents, bare shares and shore earth"
        )
        warnings.warn(msg, ValidityWarning, stacklevel=2)
