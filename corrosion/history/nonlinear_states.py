"""The states in which the interface of steel and water is not linear enough.

In each stretch of constant state the direct currents are first put through the linear
network. Where that misses any zone's current by more than the basis table's
``linear_bound`` of the largest zone's, the stretch gets a network of its own: that of
the secants of the nonlinear law, at the currents of this sample and this stretch. A
state depends on nothing but itself, so that cutting a fault, a berth or a step in two
changes nothing.

What is approximated: how far the linear law misses is known to first order, so a state
near the bound may fall on either side; what adds less than a hundredth to the couple's
largest current is judged as the couple alone; paint is as it is midway in its epoch, as
for the linear law; alternating current keeps its impedance; bare steel rests at free
corrosion or where protection holds it, whatever corrodes it naturally; and a zone's
natural loss and its holidays are netted as for the linear law.
"""

import warnings
from collections.abc import Sequence
from dataclasses import dataclass, replace

import numpy as np

from corrosion.foundation.errors import ValidityWarning
from corrosion.foundation.types import Array, BoolArray, IntArray
from corrosion.history.injected import injected_current
from corrosion.history.paths import CurrentPaths
from corrosion.hull.nonlinear.secant import Secants, nonlinear_network, secants
from corrosion.hull.water_currents import (
    Transfer,
    contact_resistance,
    network,
    spreading_resistance,
    total_over_bare_current,
    transfer,
)
from corrosion.leakage.fault_currents import SystemCurrents
from corrosion.wastage.fault_charges import CurrentSource

__all__ = ["NonlinearStates", "nonlinear_states"]

_ROWS = 512  # states solved together at most, so that memory stays flat
_SMALL = 0.01  # of the couple's largest current: what a state may add unjudged


@dataclass(frozen=True, slots=True, kw_only=True)
class NonlinearStates:
    """Stretches of a step in which the nonlinear law is used, a state a row.

    Attributes
    ----------
    sample, stretch : ndarray of int, shape (states,)
        Which of which sample.
    flows : list of (SystemCurrents, CurrentSource)
        The leaks and flows of the step in these states alone: one stretch each.
    couple : ndarray, shape (states, wetted)
        Current that the couple drives out of each zone. [A]
    density : ndarray, shape (states, wetted)
        Density of direct current at bare steel per ampere leaving each zone. [1/m²]
    through : ndarray, shape (states, wetted)
        Direct current that leaves each zone over that which leaves its bare steel. [-]
    interface : ndarray, shape (states, wetted)
        Secant of the polarisation of one square metre of bare steel. [Ω·m²]
    """

    sample: IntArray
    stretch: IntArray
    flows: list[tuple[SystemCurrents, CurrentSource]]
    couple: Array
    density: Array
    through: Array
    interface: Array


def nonlinear_states(
    routes: CurrentPaths,
    number: int,
    duration: Array,
    flows: Sequence[tuple[SystemCurrents, CurrentSource]],
) -> list[NonlinearStates]:
    """Return the states of a step for which a linear interface does not do.

    Parameters
    ----------
    routes : CurrentPaths
        The current paths of a block of samples.
    number : int
        Which stay.
    duration : ndarray, shape (samples, stretches)
        Length of each stretch. [s]
    flows : sequence of (SystemCurrents, CurrentSource)
        What leaks in the step, and where it leaves by the linear law.

    Returns
    -------
    list of NonlinearStates
        None where the linear law does. A state whose currents cannot be balanced keeps
        the linear law, and a warning names berth and zone.
    """
    berth = routes.inputs.periods[number].berth
    direct = [flow for leak, flow in flows if leak.current == "dc"]
    quiet = berth.earth_connected is False and not direct
    if quiet or not berth.afloat or not routes.wet.size:
        return []
    sample, stretch = _missed(routes, number, duration, direct)
    currents = [flow.amps[sample, stretch].real for flow in direct]
    # Stretches of a sample with the same currents are one state: what is cut at record
    # dates or by another fault is solved once. `alike`: which state each stretch is.
    _, first, alike = np.unique(
        np.column_stack([sample, *currents]),
        axis=0,
        return_index=True,
        return_inverse=True,
    )
    found = []
    for at in range(0, len(first), _ROWS):
        rows = np.flatnonzero((at <= alike) & (alike < at + _ROWS))
        some = first[at : at + _ROWS]
        secant = _secant(routes, number, flows, (sample[some], stretch[some]))
        rows = rows[~secant.off[alike[rows] - at]]
        if rows.size:
            which = sample[rows], stretch[rows]
            every = _states(routes, number, flows, which, secant, alike[rows] - at)
            found.append(every)
    return found


def _missed(
    routes: CurrentPaths, number: int, duration: Array, direct: Sequence[CurrentSource]
) -> tuple[IntArray, IntArray]:
    """Return in which stretches of which samples the linear law misses.

    Where what the faults add is small beside the couple's current, the couple's alone
    is judged.
    """
    straight, couple = routes.straight(number), routes.solved(number, 0.0).couple
    reach = np.zeros(duration.shape)  # a cheap bound on any zone's current [A]
    for flow in direct:
        most = np.abs(flow.transfer).max(axis=2, initial=0.0)[:, :, None]
        reach += (np.abs(flow.amps) @ most)[:, :, 0]
    largest = np.abs(couple).max(axis=1, initial=0.0)[:, None]
    lasts = duration > 0.0
    moved = (
        lasts & (reach > _SMALL * largest) & (reach + largest > straight.safe_current)
    )
    where = lasts & ~moved & straight.couple_is_nonlinear(couple)[:, None]
    sample, stretch = np.nonzero(moved)
    leaving = _leaving(couple, direct, sample, stretch)
    where[sample, stretch] = straight.linear_error(leaving, sample) > straight.bound
    sample, stretch = np.nonzero(where)
    return sample, stretch


def _leaving(
    couple: Array, direct: Sequence[CurrentSource], sample: IntArray, stretch: IntArray
) -> Array:
    """Return what leaves each zone by the linear law, (states, wetted) [A]."""
    leaving = couple[sample]
    for flow in direct:
        amps = flow.amps[sample, stretch].real
        leaving += np.einsum("nf,nfz->nz", amps, flow.transfer[sample])
    return leaving


@dataclass(frozen=True, slots=True, kw_only=True)
class _Secant:
    """The linear networks of some states, and where none is.

    ``density`` and ``through`` are those of :class:`NonlinearStates`.
    """

    sample: IntArray
    solved: Transfer
    density: Array
    through: Array
    interface: Array
    off: BoolArray


def _secant(
    routes: CurrentPaths,
    number: int,
    flows: Sequence[tuple[SystemCurrents, CurrentSource]],
    which: tuple[IntArray, IntArray],
) -> _Secant:
    """Return the networks of secants of some states."""
    sample, stretch = which
    hull, berth = routes.inputs.hull, routes.inputs.periods[number].berth
    paths = routes.in_flow(number).rows(sample)
    paint = routes.paint[sample][:, routes.wet]
    straight, couple = routes.straight(number), routes.solved(number, 0.0).couple
    direct = [flow for leak, flow in flows if leak.current == "dc"]
    x = _leaving(couple, direct, sample, stretch) * straight.contact[sample]
    leaks = [_alone(leak, sample, stretch) for leak, _ in flows]
    injected = injected_current(routes, number, leaks, sample)
    shore = routes.shore(number, 0.0)
    loop = replace(
        shore,
        conductance=shore.conductance[sample],
        electrode=shore.electrode[sample],
        couple=shore.couple[sample],
    )
    found = secants(
        nonlinear_network(
            hull,
            berth,
            injected,
            paths=paths,
            bare=paint,
            rest=routes.rest(number)[sample],
            electrode=loop.electrode,
        ),
        x * straight.slope[sample],
    )
    off = found.off
    interface = np.where(off[:, None], paths.interface[:, None], found.interface)
    if off.any():
        _warn(routes, number, found)
    # The equivalent linear network, tied to the same shore: its currents are those that
    # Newton balanced, and by superposition it says whose they are.
    contact = contact_resistance(paint, hull.contact_area, interface, paths.coating)
    solved = transfer(
        network(
            hull,
            contact,
            structure=paths.structure,
            spreading=spreading_resistance(
                hull, paint, interface=paths.interface, coating=paths.coating
            ),
        ),
        replace(loop, conductance=np.where(off, loop.conductance, found.conductance)),
    )
    bare = routes.bare[sample][:, routes.wet]
    # Paths are those of the paint midway in its epoch; what reaches bare steel is
    # reckoned with the paint of this step.
    now = contact_resistance(bare, hull.contact_area, interface, paths.coating)
    density = now * hull.share_flooded / interface
    return _Secant(
        sample=sample,
        solved=solved,
        density=density,
        through=total_over_bare_current(bare, interface, paths.coating),
        interface=interface,
        off=off,
    )


def _states(
    routes: CurrentPaths,
    number: int,
    flows: Sequence[tuple[SystemCurrents, CurrentSource]],
    which: tuple[IntArray, IntArray],
    secant: _Secant,
    alike: IntArray,
) -> NonlinearStates:
    """Return states, each by one of some networks of secants."""
    sample, stretch = which
    own: list[tuple[SystemCurrents, CurrentSource]] = []
    for whole, flow in flows:
        leak = _alone(whole, sample, stretch)
        amps = flow.amps[sample, stretch][:, None, :]
        crossing, density = flow.transfer[sample], flow.density[sample]
        if leak.current == "dc":
            every = routes.routed(number, leak, secant.solved, secant.sample)
            crossing = every[alike]
            density = secant.density[alike]
        own.append((leak, replace(flow, amps=amps, transfer=crossing, density=density)))
    return NonlinearStates(
        sample=sample,
        stretch=stretch,
        flows=own,
        couple=secant.solved.couple[alike],
        density=secant.density[alike],
        through=secant.through[alike],
        interface=secant.interface[alike],
    )


def _alone(leak: SystemCurrents, sample: IntArray, stretch: IntArray) -> SystemCurrents:
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
    for at in np.unique(found.furthest[found.off]):
        msg = (
            f"the currents of zone {zones[routes.wet[at]].zone} could not be "
            "balanced by the nonlinear law, which the interface of steel and water "
            f"needed there ({inputs.periods[number].berth.berth}): the linear law was "
            "kept; check currents, bare shares and shore earth"
        )
        warnings.warn(msg, ValidityWarning, stacklevel=2)
