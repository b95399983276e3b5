"""What was taken and spared in each state, shared among what drove it."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass

import numpy as np

from corrosion.foundation.types import Array
from corrosion.wastage.fault_charges import (
    AlternatingCharges,
    CurrentSource,
    DirectCharges,
    both_ways,
)
from corrosion.wastage.step_loss import over_states, whole_histories

_AT_ONCE = 2**17  # numbers held at once: they stay near the processor


@dataclass(frozen=True, slots=True, kw_only=True)
class Shares:
    """What was taken and spared in each state, over what drives metal out and in.

    Arrays are of shape (samples, histories, wetted) where no other is said.
    """

    # out, into: rate taken per density that leaves, spared per density that enters,
    # over the time of each history [s]
    out: Array
    into: Array
    # shape (samples, states, wetted): rate taken by alternating currents; None:
    # there are none [A/m²]
    alternating: Array | None
    faults: Array  # what all faults took, as metal [C/m²]
    # what each took and spared, (samples, histories, faults) [kg], and took zone by
    # zone in all samples, (histories, faults, wetted) [kg]: sources of direct current,
    # then those of alternating current
    by_fault: list[tuple[Array, Array, Array]]


def shared_out(  # noqa: PLR0913 - what is shared, how long, among whom
    duration: Array,
    change: Array,
    steady: Mapping[str, Array],
    direct: Sequence[CurrentSource],
    alternating: Sequence[tuple[CurrentSource, Array]],
    unit: Array,
    *,
    through: tuple[Array, Array],
    to_kg: Array | None,
) -> Shares:
    """Share what was taken or spared among its causes.

    Parameters
    ----------
    duration : ndarray, shape (samples, histories, states)
        How long each state lasts in each history; if there is an axis of parts before
        the last, in each part of it. [s]
    change : ndarray, shape (samples, states, wetted)
        Rate taken; negative where spared. [A/m²]
    steady : mapping of str to ndarray, shape (samples, wetted)
        What is the same in all states. [A/m²]
    direct : sequence of CurrentSource
        Of direct current.
    alternating : sequence of (CurrentSource, ndarray)
        Of alternating current, each with its phasor. [A/m²]
    unit : ndarray, shape (samples, states or 1, wetted)
        Of :class:`~corrosion.wastage.fault_charges.AlternatingCharges`. [m²/A]
    through : tuple of two ndarrays, shape (samples, wetted)
        Metal over what leaves bare steel, of direct and of alternating current. [-]
    to_kg : ndarray, shape (samples, wetted), or None
        Metal a charge [kg m²/C]; None: only ``alternating`` is told.

    Returns
    -------
    Shares
        What each took and spared.
    """
    samples, states, zones = change.shape
    histories = duration.shape[1]
    sources = [*direct, *(source for source, _ in alternating)]
    nothing = np.zeros((3, *duration.shape[:-1], zones))
    lasting = whole_histories(duration)
    found = Shares(
        out=nothing[0],
        into=nothing[1],
        alternating=np.empty(change.shape) if alternating else None,
        faults=nothing[2],
        by_fault=[
            (
                *np.zeros((2, samples, histories, many)),
                np.zeros((histories, many, zones)),
            )
            for many in (len(each.faults) for each in sources if to_kg is not None)
        ],
    )
    if to_kg is None and not alternating:
        return found
    size = max(1, _AT_ONCE // max(1, states * 8 * zones))
    for at in range(0, samples, size):
        rows = slice(at, min(at + size, samples))
        charges: list[DirectCharges | AlternatingCharges] = [
            DirectCharges(source.row(rows)) for source in direct
        ]
        charges += [
            AlternatingCharges(source.row(rows), phasor[rows], unit[rows])
            for source, phasor in alternating
        ]
        constant = [density[rows] for density in steady.values()]
        what = duration[rows], change[rows]
        metal = [through[k >= len(direct)][rows] for k in range(len(sources))]
        share = _share_rows(found, rows, what, constant, charges, metal)
        if to_kg is not None:
            weights = metal, to_kg[rows]
            _charge_rows(found, rows, (lasting[rows], share), charges, weights)
    return found


def _share_rows(
    found: Shares,
    rows: slice,
    what: tuple[Array, Array],
    steady: Sequence[Array],
    charges: Sequence[DirectCharges | AlternatingCharges],
    metal: Sequence[Array],
) -> Array:
    """Share out what some samples lost among charges, each with its metal a current.

    A state of a zone either loses or is spared, and only what drives it that way
    shares in it. Returned is what each state takes and spares over what drives it,
    (samples, states, 2 wetted).
    """
    duration, change = what
    zones, side = change.shape[2], np.sign(change)
    driving, rubbing, faults = np.zeros((3, *change.shape))
    for density in steady:
        driving += np.maximum(density[:, None] * side, 0.0)
    for charge, over in zip(charges, metal, strict=True):
        driven = charge.driving(side)
        driving += driven
        faults += driven * over[:, None]
        if isinstance(charge, AlternatingCharges):
            rubbing += driven
    share = np.divide(change, driving, out=np.zeros_like(change), where=driving > 0.0)
    sides = both_ways(share)
    taking = sides[..., :zones]
    if found.alternating is not None:
        found.alternating[rows] = rubbing * taking
    found.faults[rows] = over_states(duration, faults * taking)
    lasting = over_states(duration, sides)
    found.out[rows], found.into[rows] = lasting[..., :zones], lasting[..., zones:]
    return sides


def _charge_rows(
    found: Shares,
    rows: slice,
    what: tuple[Array, Array],
    charges: Sequence[DirectCharges | AlternatingCharges],
    weights: tuple[Sequence[Array], Array],
) -> None:
    """Charge each fault with its part, in some samples.

    ``what``: how long states last, and what :func:`_share_rows` returns; ``weights``:
    metal over current of each source, and metal a charge, (samples, wetted).
    """
    (duration, share), (metal, to_kg) = what, weights
    for told, charge, over in zip(found.by_fault, charges, metal, strict=True):
        took, spared, by_zone = told
        each = charge.charged(duration, share, (over * to_kg, to_kg))
        took[rows], spared[rows] = each[:2]
        by_zone += each[2]
