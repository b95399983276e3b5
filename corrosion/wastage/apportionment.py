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
from typing import Final, Protocol

import numpy as np

from corrosion.foundation.types import Array, IntArray
from corrosion.wastage.fault_charges import CurrentSource
from corrosion.wastage.path_charges import CausePath, PathCharges
from corrosion.wastage.shares import shared_out

__all__ = ["MULTIPLIERS", "HeldMetal", "StepLoss", "add_rows", "net_and_apportion"]

MULTIPLIERS: Final = (0.25, 0.5, 2.0, 4.0)
"""Multiples of the natural rate at which the loss is netted as well. [-]"""


_FLOWS = ("direct", "alternating", "taken", "spared")
_SUMS: Final = ("natural", "protection_spared", *_FLOWS)


class HeldMetal(Protocol):
    """Bare metal that anodes hold at its potential; densities in A/m²."""

    def driven(self, added: Array) -> Array:
        """Return what leaves with currents beside what protects, (s, states, z)."""

    def lost(self, driven: Array, natural: Array) -> Array:
        """Return what is lost then; ``natural`` is (samples, wetted)."""


@dataclass(frozen=True, slots=True, kw_only=True)
class StepLoss:
    """What a step of time took, as charge of dissolution a square metre of bare steel.

    Attributes
    ----------
    natural : ndarray, shape (samples, wetted)
        With neither protection nor any other current. [C/m²]
    protection_spared : ndarray, shape (samples, wetted)
        What protection spares of that. [C/m²]
    direct, alternating : ndarray, shape (samples, wetted)
        Taken by causes of direct and of alternating current, at bare steel. [C/m²]
    taken, spared : ndarray, shape (samples, wetted)
        Taken by all causes, as metal: with what dissolves beneath the paint; and spared
        by them. [C/m²]
    steady : dict of str to (ndarray, ndarray)
        Taken and spared by each cause that is the same in all states, as metal: with
        what dissolves beneath the paint. [C/m²]
    by_fault : list of (ndarray of int, ndarray, ndarray)
        For each source the positions of its faults, and what each took and spared,
        shape (samples, faults, wetted), as metal. [C/m²]
    lost : ndarray, shape (samples, states, wetted)
        Lost in each state, all netted, as metal; of no states where it was not asked
        for. [C/m²]
    multiplied : ndarray, shape (len(MULTIPLIERS), samples, wetted)
        Lost at bare steel, were the natural rate so many times as high. [C/m²]
    peak : ndarray, shape (samples, wetted)
        Highest alternating current density met. [A/m²]
    """

    natural: Array
    protection_spared: Array
    direct: Array
    alternating: Array
    taken: Array
    spared: Array
    steady: dict[str, tuple[Array, Array]]
    by_fault: list[tuple[IntArray, Array, Array]]
    lost: Array
    multiplied: Array
    peak: Array

    def add_rows(self, other: "StepLoss", sample: IntArray, state: IntArray) -> None:
        """Add what some states of some samples lost.

        ``other`` has a state a row, from the same causes; ``sample`` and ``state`` say
        which each is.
        """
        pairs = [(getattr(self, name), getattr(other, name)) for name in _SUMS]
        for name, pair in other.steady.items():
            pairs += zip(self.steady[name], pair, strict=True)
        for one, part in zip(self.by_fault, other.by_fault, strict=True):
            pairs += zip(one[1:], part[1:], strict=True)
        pairs += zip(self.multiplied, other.multiplied, strict=True)
        for whole, part in pairs:
            add_rows(whole, sample, part)
        if self.lost.size:
            self.lost[sample, state] += other.lost[:, 0]
        np.maximum.at(self.peak, sample, other.peak)


def add_rows(
    whole: Array, sample: IntArray, part: Array, columns: IntArray | None = None
) -> None:
    """Add rows to some columns of their samples, which rise and may repeat."""
    first = np.flatnonzero(np.diff(sample, prepend=-1))
    at = sample[first] if columns is None else np.ix_(sample[first], columns)
    whole[at] += np.add.reduceat(part, first, axis=0)


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
    path: CausePath | None = None,
    held: HeldMetal | None = None,
) -> StepLoss:
    """Net the currents at bare steel in each state and share out what they did.

    Parameters
    ----------
    duration : ndarray, shape (samples, states)
        Length of each state. [s]
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
    path : CausePath, optional
        What causes add on the way, for states of one stretch each; None: currents add.
    held : HeldMetal, optional
        What metal loses that anodes hold, in place of the rule of this module's head.

    Returns
    -------
    StepLoss
        Charges of dissolution.

    Notes
    -----
    The head of this module gives the rule. Of an alternating current x_f is the part
    of its phasor along the sum, times the share that dissolves. What lamps carry is no
    fault's own: it is charged to the faults of their system in proportion to their
    currents. What leaves through paint counts as metal beside what leaves bare steel;
    what enters through it spares nothing there, where nothing corrodes.
    """
    dc, ac = sources
    samples, states = duration.shape
    shape = (samples, states, natural.shape[1])
    seconds = duration[:, :, None]
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
    unit, peak = _add_alternating(net, phasors, fraction, seconds)
    change = lost_at(net)
    change -= base[:, None, :]
    change *= seconds
    out, into = np.maximum(change, 0.0), np.maximum(-change, 0.0)
    charged, by_path = steady, dc
    if path is not None:
        found = PathCharges(path, dc, steady, (quiet, net[:, 0]), lost_at)
        charged, by_path = found.steady, found.direct
        unit = unit * found.straight[:, None, :]
    pairs = list(zip(ac, phasors, strict=True))
    shares = shared_out(change, charged, by_path, pairs, unit)
    dc_metal, ac_metal = through
    metal = out * dc_metal[:, None, :]
    rubbed = np.zeros(natural.shape)
    if shares.alternating is not None:
        rubbed = shares.alternating.sum(axis=1)
        metal += shares.alternating * (ac_metal - dc_metal)[:, None, :]
    total = duration.sum(axis=1)[:, None]
    lost = np.empty((samples, 0, shape[2]))
    if by_state:
        lost = base[:, None, :] * seconds + metal - into
    return StepLoss(
        natural=natural * total,
        protection_spared=(natural - base) * total,
        direct=np.maximum(out.sum(axis=1) - rubbed, 0.0),  # rounding
        alternating=rubbed,
        taken=metal.sum(axis=1),
        spared=into.sum(axis=1),
        steady={
            name: (
                np.maximum(density, 0.0) * shares.out * dc_metal,
                np.maximum(-density, 0.0) * shares.into,
            )
            for name, density in charged.items()
        },
        by_fault=[
            (source.faults, np.multiply(taken, factor[:, None], out=taken), spared)
            for source, factor, (taken, spared) in zip(
                (*dc, *ac),
                [dc_metal] * len(dc) + [ac_metal] * len(ac),
                shares.by_fault,
                strict=True,
            )
        ],
        lost=lost,
        multiplied=_multiplied(net, natural, duration, held),
        peak=peak,
    )


def _add_alternating(
    net: Array, phasors: Sequence[Array], fraction: Array, seconds: Array
) -> tuple[Array, Array]:
    """Add what alternating currents dissolve to a density, in place.

    Returns the dissolving share over their size, (samples, states or 1, z) [m²/A], and
    the largest size met, (samples, z) [A/m²].
    """
    samples, _, zones = net.shape
    if not phasors:
        return np.zeros((samples, 1, zones)), np.zeros((samples, zones))
    size, unit = np.zeros((2, *net.shape))
    for phasor in phasors:
        size += np.einsum("spkz,spkz->skz", phasor, phasor)
    np.sqrt(size, out=size)
    net += fraction[:, None, :] * size
    np.divide(fraction[:, None, :], size, out=unit, where=size > 0.0)
    return unit, size.max(axis=1, where=seconds > 0.0, initial=0.0)


def _multiplied(
    net: Array, natural: Array, duration: Array, held: HeldMetal | None
) -> Array:
    """Return what is lost, were the natural rate a multiple (multiples, samples, z)."""
    found = np.empty((len(MULTIPLIERS), *natural.shape))
    driven = None if held is None else held.driven(net - natural[:, None])
    for k, times in enumerate(MULTIPLIERS):
        if held is None or driven is None:
            rate = net + ((times - 1.0) * natural)[:, None, :]
            np.maximum(rate, 0.0, out=rate)
        else:
            rate = held.lost(driven, times * natural)
        found[k] = (duration[:, None, :] @ rate)[:, 0]
    return found
