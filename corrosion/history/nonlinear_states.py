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

from collections.abc import Sequence
from dataclasses import dataclass, replace

import numpy as np

from corrosion.foundation.types import Array, IntArray
from corrosion.history.loss import COUPLE
from corrosion.history.paths import CurrentPaths
from corrosion.history.protected_paths import ProtectedPaths
from corrosion.history.state_networks import (
    StateNetworks,
    leaking_alone,
    state_networks,
)
from corrosion.hull.nonlinear.tangents import NODE_WIDTHS
from corrosion.leakage.fed_system import SystemCurrents
from corrosion.wastage.fault_charges import CurrentSource
from corrosion.wastage.path_charges import CausePath

_ROWS = 512  # states solved together at most, so that memory stays flat
_NOTHING = 1e-5  # a current that tells nothing of a network with anodes [A]
_SMALL = 0.01  # of the couple's largest current: what a state may add unjudged


@dataclass(frozen=True, slots=True, kw_only=True)
class NonlinearStates:
    """Stretches of a step in which the nonlinear law is used, a state a row.

    Arrays are of shape (states, wetted) where no other is said.
    """

    # sample, stretch: shape (states,): which of which sample
    sample: IntArray
    stretch: IntArray
    # the leaks and flows of the step in these states alone: one stretch each
    flows: list[tuple[SystemCurrents, CurrentSource]]
    couple: Array  # current that the couple drives out of each zone [A]
    # density of direct current at bare steel per ampere leaving each zone [1/m²]
    density: Array
    # direct current that leaves each zone over that which leaves its bare steel [-]
    through: Array
    # secant of the polarisation of one square metre of bare steel [Ω·m²]
    interface: Array
    # what each cause adds on the way to the state; None: nothing protects, and the
    # secants' shares do, or nobody is charged
    path: CausePath | None
    # shape (states, groups): what couple and faults draw from each group of anodes;
    # None: none acts [A]
    eaten: tuple[Array, Array] | None


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
        some = sample[first[at : at + _ROWS]], stretch[first[at : at + _ROWS]]
        leaving = _leaving(routes.solved(number, 0.0).couple, direct, *some)
        networks = state_networks(routes, number, flows, some, leaving)
        rows = rows[~networks.off[alike[rows] - at]]
        if rows.size:
            which = sample[rows], stretch[rows]
            every = _states(routes, number, flows, which, networks, alike[rows] - at)
            found.append(every)
    return found


def _missed(
    routes: CurrentPaths, number: int, duration: Array, direct: Sequence[CurrentSource]
) -> tuple[IntArray, IntArray]:
    """Return in which stretches of which samples the linear law misses.

    Where what the faults add is small beside the couple's current, the couple's alone
    is judged.
    """
    couple = routes.solved(number, 0.0).couple
    reach = np.zeros(duration.shape)  # a cheap bound on any zone's current [A]
    for flow in direct:
        most = np.abs(flow.transfer).max(axis=2, initial=0.0)[:, :, None]
        reach += (np.abs(flow.amps) @ most)[:, :, 0]
    largest = np.abs(couple).max(axis=1, initial=0.0)[:, None]
    lasts = duration > 0.0
    if isinstance(routes, ProtectedPaths) and routes.acting:
        if not routes.anodes.known:  # anodes supposed: their tangents do
            nowhere = np.zeros(0, dtype=np.intp)
            return nowhere, nowhere
        # anodes, own metals and steel are no straight line anywhere
        tied = routes.unknowns.earth_conductance_at(routes.inputs.periods[number].berth)
        driven = (tied * np.abs(routes.shore(number, 0.0).couple) > 0.0)[:, None]
        sample, stretch = np.nonzero(lasts & ((reach > _NOTHING) | driven))
        return sample, stretch
    straight = routes.straight(number)
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


def _states(
    routes: CurrentPaths,
    number: int,
    flows: Sequence[tuple[SystemCurrents, CurrentSource]],
    which: tuple[IntArray, IntArray],
    networks: StateNetworks,
    alike: IntArray,
) -> NonlinearStates:
    """Return states, each by one of some networks."""
    sample, stretch = which
    secant = networks.secant
    density = secant.density[alike]
    own: list[tuple[SystemCurrents, CurrentSource]] = []
    nodes: list[Array] = []  # of each direct source
    from_anodes = None
    if secant.anodes is not None:
        from_anodes = np.zeros((len(sample), secant.anodes.couple.shape[1]))
    for whole, flow in flows:
        leak = leaking_alone(whole, sample, stretch)
        amps = flow.amps[sample, stretch][:, None, :]
        if leak.current == "dc":
            along = [
                routes.routed(number, leak, one.solved, networks.sample)
                * one.density[:, None, :]
                for one in networks.nodes
            ]
            if along:
                nodes.append(np.stack(along)[:, alike])
            crossing = routes.routed(number, leak, secant.solved, networks.sample)
            mine = replace(flow, amps=amps, transfer=crossing[alike], density=density)
            if from_anodes is not None and secant.anodes is not None:
                drawn = routes.routed(number, leak, secant.anodes, networks.sample)
                from_anodes += (amps.real @ drawn[alike])[:, 0]
        else:
            mine = replace(
                flow,
                amps=amps,
                transfer=flow.transfer[sample],
                density=flow.density[sample],
            )
        own.append((leak, mine))
    couple = [one.solved.couple * one.density for one in networks.nodes]
    return NonlinearStates(
        sample=sample,
        stretch=stretch,
        flows=own,
        couple=secant.solved.couple[alike],
        density=density,
        through=networks.through[alike],
        interface=networks.interface[alike],
        path=CausePath(
            width=NODE_WIDTHS,
            steady={COUPLE: np.stack(couple)[:, alike]},
            sources=nodes,
        )
        if couple
        else None,
        eaten=None
        if from_anodes is None or secant.anodes is None
        else (secant.anodes.couple[alike], from_anodes),
    )
