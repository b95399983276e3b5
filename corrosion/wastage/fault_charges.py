"""What each fault adds at bare steel, state by state, and what it is charged for it.

What drives metal out of a zone in a state shares in what is taken there, what drives
it in shares in what is spared. What leaves and what enters stand one behind the other
along the last axis. Of direct current both are currents times transfers and sums over
states are products of matrices: nothing is worked out fault by fault in each state.
"""

from dataclasses import dataclass, replace
from typing import Self

import numpy as np

from corrosion.foundation.types import Array, ComplexArray, IntArray


@dataclass(frozen=True, slots=True, kw_only=True)
class CurrentSource:
    """Currents of one system in a step of time, and where they leave the steel.

    Attributes
    ----------
    amps : ndarray, shape (samples, states, sources)
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
        if amps.shape[2] > count:
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

    def charged(self, duration: Array, share: Array) -> Array:
        """Return what each fault takes, and spares, (samples, histories, faults, 2 z).

        ``share`` is what is taken, and spared, over what drives it, (samples, states,
        2 wetted); ``duration`` how long it lasts, (samples, histories, states).
        """
        found = None if self._lamps is None else share * self._lamps
        if found is not None:
            found = _lasting(duration, self._share, found)
        for amps, ways in self._parts:
            each = _lasting(duration, amps, share)
            each *= ways[:, None]
            found = each if found is None else found + each
        return np.asarray(found)


class AlternatingCharges:
    """The same of an alternating source: the part of each phasor along the sum.

    ``phasor`` is the system's, (samples, 2, states, wetted) [A/m²]; ``unit`` the
    dissolving share over the size of all systems together, (samples, states or 1,
    wetted) [m²/A]. Only the side on which a state falls is worked out.
    """

    def __init__(self, source: CurrentSource, phasor: Array, unit: Array) -> None:
        self._amps = np.asarray(source.amps, dtype=np.complex128)
        self._count = len(source.faults)
        self._turned = (phasor * unit[:, None]).swapaxes(0, 1)
        self._transfer = source.transfer * source.density[:, None, :]
        self._ways: list[Array] = []
        self._lamps: Array | None = None

    def driving(self, side: Array) -> Array:
        """Return what drives metal to one side, as of direct current."""
        real, imaginary = self._turned * side
        amps, transfer, count = self._amps, self._transfer, self._count
        across, found = np.empty_like(real), np.zeros_like(real)
        for k in range(count):
            each = amps.real[..., k, None] * real
            each += np.multiply(amps.imag[..., k, None], imaginary, out=across)
            each *= transfer[:, k, None]
            found += np.maximum(each, 0.0, out=each)
            self._ways.append(each)
        if amps.shape[2] > count:
            lamps, there = amps[..., count:], transfer[:, count:]
            carried = (lamps.real @ there) * real + (lamps.imag @ there) * imaginary
            self._lamps = np.maximum(carried, 0.0)
            found += self._lamps
        return np.asarray(found)

    def charged(self, duration: Array, share: Array) -> Array:
        """Return what each fault takes, and spares, as of direct current.

        To the sides of which :meth:`driving` was told.
        """
        sides = share.reshape(*share.shape[:2], 2, -1)
        shape = len(share), duration.shape[1], self._count, share.shape[2]
        found = np.empty(shape)
        for k, ways in enumerate(self._ways):
            found[:, :, k] = duration @ (ways[:, :, None] * sides).reshape(share.shape)
        if self._lamps is not None:
            part = _part(np.abs(self._amps[..., : self._count]))
            found += _lasting(duration, part, share * np.tile(self._lamps, 2))
        return found


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
