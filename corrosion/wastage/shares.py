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

_AT_ONCE = 2**17  # numbers held at once: they stay near the processor


@dataclass(frozen=True, slots=True, kw_only=True)
class Shares:
    """What was taken and spared in each state, over what drives metal out and in.

    Attributes
    ----------
    out, into : ndarray, shape (samples, histories, wetted)
        Rate taken per density that leaves, spared per density that enters, over the
        time of each history. [s]
    alternating : ndarray, shape (samples, states, wetted), or None
        Rate taken by alternating currents; None: there are none. [A/m²]
    by_fault : list of (ndarray, ndarray)
        What each fault took and spared, (samples, histories, faults, wetted): sources
        of direct current, then those of alternating current. [C/m²]
    """

    out: Array
    into: Array
    alternating: Array | None
    by_fault: list[tuple[Array, Array]]


def shared_out(  # noqa: PLR0913 - what is shared, how long, among whom
    duration: Array,
    change: Array,
    steady: Mapping[str, Array],
    direct: Sequence[CurrentSource],
    alternating: Sequence[tuple[CurrentSource, Array]],
    unit: Array,
    *,
    accounts: bool = True,
) -> Shares:
    """Share what was taken or spared among its causes.

    Parameters
    ----------
    duration : ndarray, shape (samples, histories, states)
        How long each state lasts in each history. [s]
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
    accounts : bool, optional
        Whether each cause's own is asked for; else only ``alternating`` is told.

    Returns
    -------
    Shares
        What each took and spared.
    """
    samples, states, zones = change.shape
    histories = duration.shape[1]
    sources = [*direct, *(source for source, _ in alternating)]
    turned = sum(len(source.faults) for source, _ in alternating)
    found = Shares(
        out=np.zeros((samples, histories, zones)),
        into=np.zeros((samples, histories, zones)),
        alternating=np.empty(change.shape) if alternating else None,
        by_fault=[
            (np.empty(shape), np.empty(shape))
            for shape in (
                (samples, histories, len(each.faults), zones)
                for each in sources
                if accounts
            )
        ],
    )
    if not (accounts or alternating):
        return found
    size = max(1, _AT_ONCE // max(1, states * (turned + 4) * zones))
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
        _share_rows(
            found, rows, (duration[rows], change[rows]), constant, charges, len(direct)
        )
    return found


def _share_rows(
    found: Shares,
    rows: slice,
    what: tuple[Array, Array],
    steady: Sequence[Array],
    charges: Sequence[DirectCharges | AlternatingCharges],
    direct: int,
) -> None:
    """Share out what some samples lost among charges, the first of direct current.

    A state of a zone either loses or is spared, and only what drives it that way
    shares in it.
    """
    duration, change = what
    driving, rubbing = np.zeros((2, *change.shape[:2], 2 * change.shape[2]))
    for density in steady:
        driving += both_ways(density)[:, None]
    for k, charge in enumerate(charges):
        driven = charge.driving()
        driving += driven
        if k >= direct:
            rubbing += driven
    share = both_ways(change)
    np.divide(share, driving, out=share, where=driving > 0.0)
    share[driving <= 0.0] = 0.0
    zones = change.shape[2]
    if found.alternating is not None:
        found.alternating[rows] = (rubbing * share)[..., :zones]
    lasting = duration @ share
    found.out[rows], found.into[rows] = lasting[..., :zones], lasting[..., zones:]
    for history in range(duration.shape[1] if found.by_fault else 0):
        mine = duration[:, history, :, None] * share
        for (taken, spared), charge in zip(found.by_fault, charges, strict=True):
            each = charge.charged(mine)
            taken[rows, history], spared[rows, history] = (
                each[..., :zones],
                each[..., zones:],
            )
