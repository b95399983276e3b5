"""Loss in each state of constant currents, netted and apportioned to its causes.

At bare steel of one zone, in one state of one sample, with the natural current n, the
protection p and what all causes together add, x (all A/m²):

    loss                D  = max(0, n + x - p)
    base                D0 = max(0, n - p)       protection on, nothing else
    taken               (D - D0)+
    spared              (D0 - D)+
    spared by protection n - D0

*Taken* and *spared* are two accounts and never set against each other but here, within
a state of a zone: natural loss elsewhere is not undone by a hole in the rudder.

Causes are charged by the Aumann-Shapley rule: cause f, which adds x_f, is charged its
integral along the path on which all causes are switched on together,

    c_f = ∫ (dD/dx)(n - p + t x) x_f dt = w x_f,    w = (D - D0) / x,

in closed form, since D is piecewise linear in x. Where the currents themselves do not
add, as at steel that is protected, the path is taken node by node
(:mod:`~corrosion.wastage.path_charges`). Charges add up to the change, a cause
that acts alone is charged exactly its own, and one fault cut in two is charged the
same. What was taken is then shared among the causes that drive metal out, and what was
spared among those that drive it in, each in proportion to its charge.

Where the sum breaks down: far above about 10 A/m² the film on the steel, not this sum,
decides (part of a very high density may make oxygen or chlorine instead of dissolving
iron, so the sum errs to the safe side); in anaerobic mud, bacteria and not oxygen drive
the natural loss, and a current that enters protects less than here; on paint, a
strongly entering current may lift the coating, which is not counted.

References
----------
R. J. Aumann and L. S. Shapley, "Values of Non-Atomic Games", Princeton 1974 (from
memory).
"""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import Any, Final, Protocol

import numpy as np

from corrosion.foundation.types import Array
from corrosion.wastage.fault_charges import CurrentSource
from corrosion.wastage.path_charges import CausePath, PathCharges
from corrosion.wastage.shares import shared_out
from corrosion.wastage.step_loss import StepLoss, over_states, whole_histories

MULTIPLIERS: Final = (0.25, 0.5, 2.0, 4.0)
"""Multiples of the natural rate at which the loss is netted as well. [-]"""


class HeldMetal(Protocol):
    """Bare metal that anodes hold at its potential; densities in A/m²."""

    def driven(self, added: Array) -> Array:
        """Return what leaves with currents beside what protects, (s, states, z)."""

    def lost(self, driven: Array, natural: Array) -> Array:
        """Return what is lost then; ``natural`` is (samples, wetted)."""


def net_and_apportion(  # noqa: PLR0913 - all that meets at one zone's steel
    duration: Array,
    *,
    natural: Array,
    protection: Array,
    steady: Mapping[str, Array],
    sources: tuple[Sequence[CurrentSource], Sequence[CurrentSource]],
    fraction: Array,
    through: tuple[Array, Array],
    by_state: bool = True,
    to_kg: Array | None = None,
    path: CausePath | None = None,
    held: HeldMetal | None = None,
) -> StepLoss:
    """Net the currents at bare steel in each state and share out what they did.

    Parameters
    ----------
    duration : ndarray, shape (samples, histories, states)
        How long each state lasts in each history; if there is an axis of parts before
        the last, in each part of it. [s]
    natural, protection : ndarray, shape (samples, wetted)
        Natural corrosion and cathodic protection at bare steel. [A/m²]
    steady : mapping of str to ndarray, shape (samples, wetted)
        Density at bare steel that each cause drives out of it in all states alike:
        the couple with the shore earth, own metals. [A/m²]
    sources : tuple of two sequences of CurrentSource
        Direct currents, which add with their sign; alternating currents, whose
        phasors add within a system and whose squares add across systems.
    fraction : ndarray, shape (samples, wetted)
        Share of an alternating rms current that dissolves metal. [-]
    through : tuple of two ndarrays, shape (samples, wetted)
        What leaves a zone over what leaves its bare steel, of direct and of
        alternating current: sound paint lets a little through. [-]
    by_state : bool, optional
        Whether what each state lost is asked for as well.
    to_kg : ndarray, shape (samples, wetted), optional
        Metal a charge [kg m²/C]; None: what each cause took is not asked for, and
        ``steady`` and ``by_fault`` tell nothing.
    path : CausePath, optional
        What causes add on the way, for states of one stretch each; None: currents add.
    held : HeldMetal, optional
        What metal loses that anodes hold, in place of the rule of this module's head.

    Returns
    -------
    StepLoss
        Charges of dissolution of all histories.

    Notes
    -----
    The head of this module gives the rule. Of an alternating current x_f is the part
    of its phasor along the sum, times the share that dissolves. What lamps carry is no
    fault's own: it is charged to the faults of their system in proportion to their
    currents. What leaves through paint counts as metal beside what leaves bare steel;
    what enters through it spares nothing there, where nothing corrodes.
    """
    dc, ac = sources
    samples, states = len(duration), duration.shape[-1]
    shape = (samples, states, natural.shape[1])
    quiet = natural - protection if held is None else natural

    def lost_at(net: Array) -> Array:
        if held is None:
            return np.maximum(net, 0.0)
        return held.lost(held.driven(net - natural[:, None]), natural)

    base = lost_at(quiet[:, None])[:, 0]
    net = np.zeros(shape)
    net += quiet[:, None, :]
    for density in steady.values():
        net += density[:, None, :]
    for source in dc:
        net += source.leaving()[:, 0]
    phasors = [source.leaving() for source in ac]
    unit, size = _add_alternating(net, phasors, fraction)
    change = lost_at(net)
    change -= base[:, None, :]
    out, into = np.maximum(change, 0.0), np.maximum(-change, 0.0)
    charged, by_path = steady, dc
    if path is not None:
        found = PathCharges(path, dc, steady, (quiet, net[:, 0]), lost_at)
        charged, by_path = found.steady, found.direct
        unit = unit * found.straight[:, None, :]
    pairs = list(zip(ac, phasors, strict=True))
    shares = shared_out(
        duration, change, charged, by_path, pairs, unit, through=through, to_kg=to_kg
    )
    dc_metal, ac_metal = through
    metal = out * dc_metal[:, None, :]
    rubbing = np.zeros((samples, 1, shape[2]))
    if shares.alternating is not None:
        rubbing = shares.alternating
        metal += rubbing * (ac_metal - dc_metal)[:, None, :]
    rates = _Rates(
        natural=natural,
        base=base,
        out=out,
        into=into,
        metal=metal,
        rubbing=rubbing,
        lost=base[:, None, :] + metal - into
        if by_state
        else np.empty((samples, 0, shape[2])),
        higher=_multiplied(net, natural, held),
        still=_multiplied(quiet[:, None], natural, held)
        if held is not None or protection.any()
        else None,
        size=size,
    )
    apart = len(duration), *(1 for _ in duration.shape[1:-1]), -1
    return StepLoss(
        steady={
            name: (
                (np.maximum(density, 0.0) * dc_metal).reshape(apart) * shares.out,
                np.maximum(-density, 0.0).reshape(apart) * shares.into,
            )
            for name, density in charged.items()
        },
        faults=shares.faults,
        by_fault=[
            (source.faults, *told)
            for source, told in zip(
                (*dc, *ac), shares.by_fault, strict=to_kg is not None
            )
        ],
        **rates.over(duration),
    )


@dataclass(frozen=True, slots=True, kw_only=True)
class _Rates:
    """What is lost in each state, (samples, states, wetted) [A/m²].

    ``natural`` and ``base``, what is lost without causes, are the same in all states,
    and so is ``still``, what ``higher``, (samples, states, multiples, wetted), is
    without them, None: nothing protects;
    ``size`` is that of alternating currents, None: there are none.
    """

    natural: Array
    base: Array
    out: Array
    into: Array
    metal: Array
    rubbing: Array
    lost: Array
    higher: Array
    still: Array | None
    size: Array | None

    def over(self, duration: Array) -> dict[str, Any]:
        """Return what histories lost in which states last so long, (s, h, states).

        By the names of :class:`StepLoss`.
        """
        total = duration.sum(axis=-1)[..., None]
        lasting = whole_histories(duration)
        each = len(total), *(1 for _ in duration.shape[1:-1]), -1
        multiples = self.higher.shape[2:]

        def summed(rate: Array) -> Array:
            return over_states(duration[..., : rate.shape[1]], rate)

        rubbed = summed(self.rubbing)
        peak = np.zeros((*lasting.shape[:2], rubbed.shape[-1]))
        if self.size is not None:
            for history in range(lasting.shape[1]):
                lasts = lasting[:, history, :, None] > 0.0
                peak[:, history] = np.where(lasts, self.size, 0.0).max(axis=1)
        return {
            "natural": self.natural.reshape(each) * total,
            "protection_spared": (self.natural - self.base).reshape(each) * total,
            "direct": np.maximum(summed(self.out) - rubbed, 0.0),  # rounding
            "alternating": rubbed,
            "taken": summed(self.metal),
            "spared": summed(self.into),
            "lost": self.lost,
            "multiplied": summed(
                self.higher.reshape(*self.higher.shape[:2], -1)
            ).reshape(*total.shape[:-1], *multiples),
            "still": None
            if self.still is None
            else self.still.reshape(*each[:-1], *multiples) * total[..., None],
            "peak": peak,
        }


def _add_alternating(
    net: Array, phasors: Sequence[Array], fraction: Array
) -> tuple[Array, Array | None]:
    """Add what alternating currents dissolve to a density, in place.

    Returns the dissolving share over their size, (samples, states or 1, z) [m²/A], and
    their size, (samples, states, z) [A/m²]; None: there are none.
    """
    samples, _, zones = net.shape
    if not phasors:
        return np.zeros((samples, 1, zones)), None
    size, unit = np.zeros((2, *net.shape))
    for phasor in phasors:
        size += np.einsum("spkz,spkz->skz", phasor, phasor)
    np.sqrt(size, out=size)
    net += fraction[:, None, :] * size
    np.divide(fraction[:, None, :], size, out=unit, where=size > 0.0)
    return unit, size


def _multiplied(net: Array, natural: Array, held: HeldMetal | None) -> Array:
    """Return what is lost in each state, were the natural rate a multiple [A/m²].

    Of shape (samples, states, multiples, wetted).
    """
    if held is not None:
        driven = held.driven(net - natural[:, None])
        lost = [held.lost(driven, times * natural) for times in MULTIPLIERS]
        return np.stack(lost, axis=2)
    more = (np.array(MULTIPLIERS)[:, None] - 1.0) * natural[:, None]
    found = net[:, :, None] + more[:, None]
    return np.maximum(found, 0.0, out=found)
