"""Loss in each interval of constant state, apportioned to faults and couple.

Stray, natural and protection currents are netted at bare steel in each stretch of
constant state, then summed. What the netting leaves of the stray loss is shared among
the faults in proportion to what each adds, so that the shares add up to the whole (but
for that of lamps, which are no fault): a fault that stands alone is charged exactly
what would vanish without it. As metal, each share counts for more than at bare steel by
what sound paint lets through.
"""

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from corrosion.foundation.types import Array, ComplexArray, IntArray
from corrosion.wastage.net_current import loss_density

__all__ = ["CurrentSource", "StepLoss", "net_and_apportion"]


@dataclass(frozen=True, slots=True, kw_only=True)
class CurrentSource:
    """Currents of one system in a slab of time, and where they leave the steel.

    Attributes
    ----------
    amps : ndarray, shape (samples, stretches, sources)
        Into the steel; complex rms phasors for alternating current. The first
        ``len(faults)`` sources are faults, what follows are lamps. [A]
    transfer : ndarray, shape (samples, sources, wetted)
        Current leaving each wetted zone per ampere of each source. [-]
    faults : ndarray of int, shape (faults,)
        Positions of the faults among all faults.
    density : ndarray, shape (samples, wetted)
        Current density at bare steel per ampere leaving the zone. [1/m²]
    """

    amps: Array | ComplexArray
    transfer: Array
    faults: IntArray
    density: Array

    def parts(self) -> Array:
        """Return the currents as real numbers, shape (samples, parts, k, sources).

        One part for direct current, the real and the imaginary one for alternating:
        the transfer is real, and is not multiplied by noughts. [A]
        """
        if np.iscomplexobj(self.amps):
            return np.stack([self.amps.real, self.amps.imag], axis=1)
        return self.amps.real[:, None]

    def leaving(self) -> Array:
        """Return density at bare steel, shape (samples, parts, k, wetted) [A/m²]."""
        return self.parts() @ (self.transfer * self.density[:, None, :])[:, None]


@dataclass(frozen=True, slots=True, kw_only=True)
class StepLoss:
    """What a slab of time took, as charge of dissolution a square metre of bare steel.

    Attributes
    ----------
    natural : ndarray, shape (samples, wetted)
        Without any stray current. [C/m²]
    stray : ndarray, shape (samples, wetted)
        What stray currents add (negative where they spare steel). [C/m²]
    alternating : ndarray, shape (samples, wetted)
        The share of ``stray`` that alternating currents are charged. [C/m²]
    metal : ndarray, shape (samples, wetted)
        What stray currents add, with what dissolves beneath the paint. [C/m²]
    couple : ndarray, shape (samples, wetted)
        The share of ``metal`` that the couple with the shore earth is charged. [C/m²]
    by_fault : list of (ndarray of int, ndarray)
        For each flow the positions of its faults, and their shares of ``metal``,
        shape (samples, faults, wetted). [C/m²]
    peak : ndarray, shape (samples, wetted)
        Highest alternating current density met. [A/m²]
    """

    natural: Array
    stray: Array
    alternating: Array
    metal: Array
    couple: Array
    by_fault: list[tuple[IntArray, Array]]
    peak: Array

    def add_rows(self, other: "StepLoss", sample: IntArray) -> None:
        """Add what some states of some samples lost.

        ``other`` has a state a row, from the same flows; ``sample`` says whose each is.
        """
        pairs = [
            (self.natural, other.natural),
            (self.stray, other.stray),
            (self.alternating, other.alternating),
            (self.metal, other.metal),
            (self.couple, other.couple),
        ]
        charged = zip(self.by_fault, other.by_fault, strict=True)
        pairs += [(whole, part) for (_, whole), (_, part) in charged]
        for whole, part in pairs:
            np.add.at(whole, sample, part)
        np.maximum.at(self.peak, sample, other.peak)


def net_and_apportion(  # noqa: PLR0913 - all that meets at one zone's steel in a slab
    duration: Array,
    *,
    natural: Array,
    protection: Array,
    couple: Array,
    flows: tuple[Sequence[CurrentSource], Sequence[CurrentSource]],
    fraction: Array,
    through: tuple[Array, Array],
) -> StepLoss:
    r"""Net the currents at bare steel in each stretch and share out the loss.

    Parameters
    ----------
    duration : ndarray, shape (samples, stretches)
        Length of each stretch. [s]
    natural, protection : ndarray, shape (samples, wetted) and (wetted,)
        Natural corrosion and cathodic protection at bare steel. [A/m²]
    couple : ndarray, shape (samples, wetted)
        Density at bare steel that the couple drives out of it. [A/m²]
    flows : tuple of two sequences of CurrentSource
        Direct currents, which add with their sign; alternating currents, whose
        phasors add within a system and whose squares add across systems.
    fraction : ndarray, shape (samples,)
        Share of an alternating rms current that dissolves steel. [-]
    through : tuple of two ndarrays, shape (samples, wetted)
        What leaves a zone over what leaves its bare steel, of direct and of
        alternating current. [-]

    Returns
    -------
    StepLoss
        Charges of dissolution.

    Notes
    -----
    With x the stray term, L the loss and L₀ the loss without stray current,

    .. math::
       x = i_{dc} + \alpha |i_{ac}|, \quad
       L = \max(0, i_n + x - i_p), \quad w = (L - L_0) / x

    each source *f* is charged :math:`w\,x_f`, where :math:`\sum_f x_f = x`: for an
    alternating current :math:`x_f` is the part of its phasor along the sum. As metal
    each counts times its ``through``.
    """
    dc, ac = flows
    direct, alternating = through
    shape = (*duration.shape, natural.shape[1])
    stray = np.broadcast_to(couple[:, None, :], shape).copy()
    for flow in dc:
        stray += flow.leaving()[:, 0]
    phasors = [flow.leaving() for flow in ac]
    size = np.zeros(shape)
    for phasor in phasors:
        size += np.einsum("spkz,spkz->skz", phasor, phasor)
    np.sqrt(size, out=size)
    alpha = fraction[:, None]
    base = loss_density(natural, 0.0, 0.0, 0.0, protection)
    loss = loss_density(natural[:, None, :], stray, size, alpha[:, :, None], protection)
    stray += alpha[:, :, None] * size
    added = loss - base[:, None, :]
    weight = np.divide(added, stray, out=np.zeros(shape), where=stray != 0.0)
    weight *= duration[:, :, None]
    charged = [
        (flow.faults, _per_source(flow, weight[:, None]) * direct[:, None])
        for flow in dc
    ]
    along = np.divide(weight, size, out=np.zeros(shape), where=size > 0.0)
    for flow, phasor in zip(ac, phasors, strict=True):
        drawn = _per_source(flow, along[:, None] * phasor)
        charged.append((flow.faults, (alpha * alternating)[:, None] * drawn))
    whole = np.einsum("skz,sk->sz", added, duration)
    rubbed = alpha * np.einsum("skz,skz->sz", weight, size)
    return StepLoss(
        natural=base * duration.sum(axis=1)[:, None],
        stray=whole,
        alternating=rubbed,
        metal=(whole - rubbed) * direct + rubbed * alternating,
        couple=couple * weight.sum(axis=1) * direct,
        by_fault=charged,
        peak=size.max(axis=1, where=duration[:, :, None] > 0.0, initial=0.0),
    )


def _per_source(flow: CurrentSource, weight: Array) -> Array:
    """Return each fault's share of the stray charge, (samples, faults, wetted).

    ``weight`` has the shape of what is :meth:`Flow.leaving`: of an alternating current
    the part of its phasor along the sum counts, which is its product with both parts.
    """
    n = len(flow.faults)
    samples, parts, stretches, wetted = weight.shape
    each = parts * stretches
    amps = flow.parts()[..., :n].reshape(samples, each, n)
    drawn = np.swapaxes(amps, 1, 2) @ weight.reshape(samples, each, wetted)
    drawn *= flow.transfer[:, :n]
    drawn *= flow.density[:, None, :]
    return drawn
