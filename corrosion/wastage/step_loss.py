"""What a step of time took from bare steel, and how rows of states add up to it."""

from collections.abc import Iterable, Sequence
from dataclasses import dataclass, replace
from typing import Final, Self

import numpy as np

from corrosion.foundation.types import Array, IntArray

_FLOWS = ("direct", "alternating", "taken", "spared", "faults")
_SUMS: Final = ("natural", "protection_spared", *_FLOWS)


@dataclass(frozen=True, slots=True, kw_only=True)
class StepLoss:
    """What histories lost in a step, as charge a square metre of bare steel.

    One history's (:meth:`history`) is without the axis of histories. Where durations
    have an axis of parts behind that of histories, so has all but ``by_fault``,
    ``lost`` and ``peak``, which tell of all parts together.

    Arrays are of shape (samples, histories, wetted) where no other is said.
    """

    natural: Array  # with neither protection nor any other current [C/m²]
    protection_spared: Array  # what protection spares of that [C/m²]
    # direct, alternating: taken by causes of direct and of alternating current,
    # at bare steel [C/m²]
    direct: Array
    alternating: Array
    # taken, spared: taken by all causes, as metal: with what dissolves beneath the
    # paint; and spared by them [C/m²]
    taken: Array
    spared: Array
    # taken and spared by each cause that is the same in all states, as metal: with what
    # dissolves beneath the paint [C/m²]
    steady: dict[str, tuple[Array, Array]]
    faults: Array  # taken by all faults, as metal [C/m²]
    # for each source the positions of its faults, what each took and spared, shape
    # (samples, histories, faults) [kg], and what it took zone by zone in all samples,
    # of shape (histories, faults, wetted) [kg]
    by_fault: list[tuple[IntArray, Array, Array, Array]]
    # shape (samples, states, wetted): lost in each state, all netted, as metal: one
    # array of all histories; of no states where it was not asked for [A/m²]
    lost: Array
    # shape (samples, histories, len(MULTIPLIERS): lost at bare steel, were the natural
    # rate so many times as high [C/m²]
    multiplied: Array
    # the same with no current but what protects; None: nothing does
    still: Array | None
    peak: Array  # highest alternating current density met [A/m²]

    @classmethod
    def joined(
        cls, parts: Sequence[Self], rows: Sequence[IntArray], states: int
    ) -> Self:
        """Return what all samples lost, of which each part holds some rows.

        ``states``: how many they are in at most, where a part may end before.
        """
        first = parts[0]
        if len(parts) == 1 and first.lost.shape[1] in (0, states):
            return first
        samples = sum(map(len, rows))

        def whole(arrays: Iterable[Array]) -> Array:
            each = list(arrays)
            found = np.empty((samples, *each[0].shape[1:]))
            for part, some in zip(each, rows, strict=True):
                found[some] = part
            return found

        lost = np.zeros((samples, states, first.lost.shape[2]))
        for part, some in zip(parts, rows, strict=True):
            lost[some, : part.lost.shape[1]] = part.lost
        return cls(
            **{
                name: whole(getattr(part, name) for part in parts)
                for name in (*_SUMS, "multiplied", "peak")
            },
            still=None
            if first.still is None
            else whole(part.still for part in parts if part.still is not None),
            steady={
                name: (
                    whole(part.steady[name][0] for part in parts),
                    whole(part.steady[name][1] for part in parts),
                )
                for name in first.steady
            },
            by_fault=[
                (
                    each[0][0],
                    whole(x[1] for x in each),
                    whole(x[2] for x in each),
                    np.sum([x[3] for x in each], axis=0),
                )
                for each in zip(*(part.by_fault for part in parts), strict=True)
            ],
            lost=lost if first.lost.shape[1] else first.lost,
        )

    def history(self, k: int) -> Self:
        """Return what one history lost, without the axis of histories."""
        return replace(
            self.part(k),
            peak=self.peak[:, k],
            by_fault=[
                (faults, took[:, k], spared[:, k], by_zone[k])
                for faults, took, spared, by_zone in self.by_fault
            ],
        )

    def part(self, k: int) -> Self:
        """Return what one history, which has parts, lost in one of them."""
        names = (*_SUMS, "multiplied")
        return replace(
            self,
            **{name: getattr(self, name)[:, k] for name in names},
            still=None if self.still is None else self.still[:, k],
            steady={
                name: (taken[:, k], spared[:, k])
                for name, (taken, spared) in self.steady.items()
            },
        )

    def add_rows(self, other: "StepLoss", sample: IntArray, state: IntArray) -> None:
        """Add what some states of some samples lost.

        ``other`` has a state a row, from the same causes; ``sample`` and ``state`` say
        which each is.
        """
        names = (*_SUMS, "multiplied")
        pairs = [(getattr(self, name), getattr(other, name)) for name in names]
        if self.still is not None and other.still is not None:
            pairs.append((self.still, other.still))
        for name, pair in other.steady.items():
            pairs += zip(self.steady[name], pair, strict=True)
        for one, part in zip(self.by_fault, other.by_fault, strict=True):
            pairs += zip(one[1:3], part[1:3], strict=True)
            one[3][:] += part[3]
        for whole, part in pairs:
            add_rows(whole, sample, part)
        if self.lost.size:
            self.lost[sample, state] = other.lost[:, 0]
        np.maximum.at(self.peak, sample, other.peak)


def add_rows(
    whole: Array, sample: IntArray, part: Array, columns: IntArray | None = None
) -> None:
    """Add rows to some columns of their samples, which rise and may repeat."""
    fresh = np.ones(len(sample), dtype=np.bool_)
    fresh[1:] = sample[1:] != sample[:-1]
    if not fresh.all():
        part = np.add.reduceat(part, np.flatnonzero(fresh), axis=0)
        sample = sample[fresh]
    if len(sample) == len(whole):  # each row once
        whole[:, slice(None) if columns is None else columns] += part
    else:
        whole[sample if columns is None else np.ix_(sample, columns)] += part


def over_states(duration: Array, rate: Array) -> Array:
    """Return what rates bring in states that last so long, history by history.

    Parameters
    ----------
    duration : ndarray, shape (samples, histories, states)
        How long each lasts; with an axis of parts before the last, if there are. [s]
    rate : ndarray, shape (samples, states, any)
        What each brings a second. [A/m²], [A]

    Returns
    -------
    ndarray, shape (samples, histories, any)
        Not one digit depends on how many histories go side by side. [C/m²], [C]
    """
    between = (1,) * (duration.ndim - 2)
    rates = rate.reshape(len(rate), *between, *rate.shape[1:])
    return np.asarray((duration[..., None, :] @ rates)[..., 0, :])


def whole_histories(duration: Array) -> Array:
    """Return how long states last in all parts, (samples, histories, states) [s]."""
    return duration if duration.ndim == 3 else duration.sum(axis=2)
