"""What each fault adds at bare steel, state by state, and what it is charged for it.

What drives metal out of a zone in a state shares in what is taken there, what drives
it in shares in what is spared. What leaves and what enters stand one behind the other
along the last axis. Of direct current both are currents times transfers and sums over
states are products of matrices: nothing is worked out fault by fault in each state.
"""

from dataclasses import dataclass, replace
from itertools import pairwise
from typing import Self

import numpy as np

from corrosion.foundation.types import Array, ComplexArray, IntArray


@dataclass(frozen=True, slots=True, kw_only=True)
class CurrentSource:
    """Currents of one system in a step of time, and where they leave the steel."""

    # shape (samples, states, sources): into the steel; complex rms phasors for
    # alternating current. The first ``len(faults)`` sources are faults, what
    # follows are lamps [A]
    amps: Array | ComplexArray
    # shape (samples, sources, wetted): current leaving each wetted zone per ampere
    # of each source [-]
    transfer: Array
    faults: IntArray  # shape (faults,): positions of the faults among all faults
    # shape (samples, wetted): current density at bare steel per ampere
    # leaving the zone [1/m²]
    density: Array

    def row(self, rows: slice) -> Self:
        """Return some of the samples."""
        return replace(
            self,
            amps=self.amps[rows],
            transfer=self.transfer[rows],
            density=self.density[rows],
        )

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


class DirectCharges:
    """What the faults of one direct source add, and what is charged to them.

    What lamps carry drives for itself, and is charged to the faults of their system in
    proportion to their currents.
    """

    def __init__(self, source: CurrentSource) -> None:
        count = len(source.faults)
        amps, transfer = source.amps.real, source.transfer * source.density[:, None, :]
        # in most samples a fault's current has one direction in all states
        turn = np.where(amps[..., :count].sum(axis=1) < 0.0, -1.0, 1.0)
        along = amps[..., :count] * turn[:, None]
        ways = both_ways(transfer[:, :count] * turn[..., None])
        self._parts = [(np.maximum(along, 0.0), ways)]
        if (along < 0.0).any():
            self._parts.append(
                (np.maximum(-along, 0.0), np.roll(ways, ways.shape[2] // 2, 2))
            )
        self._lamps: Array | None = None
        if amps[..., count:].any():
            self._lamps = both_ways(amps[..., count:] @ transfer[:, count:])
            self._share = _part(np.abs(along))

    def driving(self, side: Array) -> Array:
        """Return what drives metal to one side, (samples, states, wetted) [A/m²].

        ``side`` is positive where metal is taken in a state, negative where spared.
        """
        (amps, ways), *turned = self._parts
        found = amps @ ways
        for amps, ways in turned:
            found += amps @ ways
        if self._lamps is not None:
            found += self._lamps
        out, into = np.split(found, 2, axis=2)
        return np.where(side > 0.0, out, into)

    def charged(
        self, duration: Array, share: Array, to_kg: tuple[Array, Array]
    ) -> tuple[Array, Array, Array]:
        """Return what each fault takes, and spares, and takes zone by zone [kg].

        Of shape (samples, histories, faults) both, and (histories, faults, wetted) of
        all samples. ``share`` is what is taken, and spared, over what drives it,
        (samples, states, 2 wetted); ``duration`` how long it lasts, (samples,
        histories, states); ``to_kg`` metal a charge of either, (samples, wetted).
        """
        (amps, ways), *turned = self._parts
        each = _lasting(duration, amps, share) * ways[:, None]
        for amps, ways in turned:
            each += _lasting(duration, amps, share) * ways[:, None]
        if self._lamps is not None:
            each += _lasting(duration, self._share, share * self._lamps)
        zones = to_kg[0].shape[1]
        taken = each[..., :zones] * to_kg[0][:, None, None]
        spared = (each[..., zones:] @ to_kg[1][:, None, :, None])[..., 0]
        return taken.sum(axis=3), spared, taken.sum(axis=0)


class AlternatingCharges:
    """The same of an alternating source: the part of each phasor along the sum.

    ``phasor`` is the system's, (samples, 2, states, wetted) [A/m²]; ``unit`` the
    dissolving share over the size of all systems together, (samples, states or 1,
    wetted) [m²/A]. Only the side on which a state falls is worked out, and only of
    faults that stand there: one in eight, fault by fault.
    """

    def __init__(self, source: CurrentSource, phasor: Array, unit: Array) -> None:
        count = len(source.faults)
        amps = np.asarray(source.amps, dtype=np.complex128)
        transfer = source.transfer * source.density[:, None, :]
        fault, sample, state = np.nonzero(np.moveaxis(amps[..., :count], 2, 0))
        self._fault, self._sample, self._state = fault, sample, state
        self._cuts = np.searchsorted(fault, np.arange(count + 1))
        self._stands, self._there = amps[sample, state, fault], transfer[sample, fault]
        self._turned = (phasor * unit[:, None]).swapaxes(0, 1)
        self._board = amps[..., count:], transfer[:, count:]
        self._lamps: Array | None = None
        self._driven: Array = np.empty((0, 0))

    def driving(self, side: Array) -> Array:
        """Return what drives metal to one side, as of direct current."""
        real, imaginary = self._turned * side
        at, amps = (self._sample, self._state), self._stands[:, None]
        driven = amps.real * real[at]
        driven += amps.imag * imaginary[at]
        driven *= self._there
        self._driven = np.maximum(driven, 0.0, out=driven)
        found = np.zeros_like(real)
        for a, b in pairwise(self._cuts.tolist()):  # a state once
            found[self._sample[a:b], self._state[a:b]] += driven[a:b]
        lamps, there = self._board
        if lamps.size:
            carried = (lamps.real @ there) * real + (lamps.imag @ there) * imaginary
            self._lamps = np.maximum(carried, 0.0)
            found += self._lamps
        return np.asarray(found)

    def charged(
        self, duration: Array, share: Array, to_kg: tuple[Array, Array]
    ) -> tuple[Array, Array, Array]:
        """Return what each fault takes, and spares, as of direct current.

        To the sides of which :meth:`driving` was told.
        """
        samples, states, histories = len(share), share.shape[1], duration.shape[1]
        sample, state, count = self._sample, self._state, len(self._cuts) - 1
        driven = self._driven
        if self._lamps is not None:
            size, row = np.abs(self._stands), sample * states + state
            part = size / np.bincount(row, size, samples * states)[row]
            driven = driven + part[:, None] * self._lamps[sample, state]
        sides = share.reshape(samples, states, 2, -1)[sample, state]
        sides *= driven[:, None]
        sides[:, 0] *= to_kg[0][sample]
        sides[:, 1] *= to_kg[1][sample]
        told = np.empty((2, samples, histories, count))
        by_zone = np.empty((histories, count, driven.shape[1]))
        pair, each = sample * count + self._fault, sides.sum(axis=2).T
        for k in range(histories):  # so that no digit depends on how many there are
            lasts = duration[sample, k, state]
            for one, kg in zip(told, each, strict=True):
                summed = np.bincount(pair, kg * lasts, samples * count)
                one[:, k] = summed.reshape(samples, count)
            for fault, (a, b) in enumerate(pairwise(self._cuts.tolist())):
                by_zone[k, fault] = lasts[a:b] @ sides[a:b, 0]
        return told[0], told[1], by_zone


def both_ways(leaving: Array) -> Array:
    """Return what leaves and what enters, zone by zone, one behind the other."""
    return np.concatenate(
        [np.maximum(leaving, 0.0), np.maximum(-leaving, 0.0)], axis=leaving.ndim - 1
    )


def _lasting(duration: Array, weight: Array, share: Array) -> Array:
    """Return shares by weight of each fault, over the states of each history.

    ``weight`` is (samples, states, faults); (samples, histories, faults, 2 wetted).
    """
    each = duration[:, :, None] * weight.swapaxes(1, 2)[:, None]
    samples, histories, faults, states = each.shape
    found = each.reshape(samples, histories * faults, states) @ share
    return found.reshape(samples, histories, faults, -1)


def _part(size: Array) -> Array:
    """Return each fault's part of what its system leaks, (samples, states, faults)."""
    whole = size.sum(axis=2, keepdims=True)
    return np.asarray(
        np.divide(size, whole, out=np.zeros_like(size), where=whole > 0.0)
    )
