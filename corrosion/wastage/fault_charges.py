"""What each fault adds at bare steel, state by state, and what it is charged for it.

What drives metal out of a zone in a state shares in what is taken there, what drives it
in shares in what is spared. The positive part of what a fault adds is half its size and
half itself, and of direct current both are currents times transfers: neither is worked
out fault by fault in each state of each zone, as sums over states are products of
matrices.
"""

from dataclasses import dataclass, replace
from typing import Self

import numpy as np

from corrosion.foundation.types import Array, ComplexArray, IntArray

__all__ = ["AlternatingCharges", "CurrentSource", "DirectCharges"]


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
        self._amps, self._transfer = amps[..., :count], transfer[:, :count]
        self._size = np.abs(self._amps)
        self._lamps: Array | None = None
        if amps.shape[2] > count:
            self._lamps = amps[..., count:] @ transfer[:, count:]
            self._part = _part(self._size)

    def driving(self, sign: Array) -> Array:
        """Return what drives the way of a sign, (samples, states, wetted) [A/m²]."""
        found = sign * (self._amps @ self._transfer)
        found += self._size @ np.abs(self._transfer)
        found *= 0.5
        if self._lamps is not None:
            found += np.maximum(sign * self._lamps, 0.0)
        return np.asarray(found)

    def charged(self, out: Array, into: Array) -> tuple[Array, Array]:
        """Return what each fault takes and spares, (samples, faults, wetted).

        For how long what drives out, and in, counts in each state, over what drives
        there: (samples, states, wetted) both.
        """
        zones = out.shape[2]
        both = np.concatenate([out, into], axis=2)
        size = self._size.swapaxes(1, 2) @ both
        size[..., :zones] *= np.abs(self._transfer)
        size[..., zones:] *= np.abs(self._transfer)
        own = self._amps.swapaxes(1, 2) @ both
        own[..., :zones] *= self._transfer
        own[..., zones:] *= -self._transfer
        size += own
        size *= 0.5
        if self._lamps is not None:
            both[..., :zones] *= np.maximum(self._lamps, 0.0)
            both[..., zones:] *= np.maximum(-self._lamps, 0.0)
            size += self._part.swapaxes(1, 2) @ both
        np.maximum(size, 0.0, out=size)  # rounding
        return size[..., :zones], size[..., zones:]


class AlternatingCharges:
    """The same of an alternating source: the part of each phasor along the sum.

    ``phasor`` is the system's, (samples, 2, states, wetted) [A/m²]; ``unit`` the
    dissolving share over the size of all systems together, (samples, states or 1,
    wetted) [m²/A].
    """

    def __init__(self, source: CurrentSource, phasor: Array, unit: Array) -> None:
        count = len(source.faults)
        amps = np.asarray(source.amps, dtype=np.complex128)
        along = phasor * unit[:, None]
        transfer = source.transfer * source.density[:, None, :]
        self._transfer = transfer[:, :count]
        self._alone: Array | None = None  # of one state, all faults at once
        if amps.shape[1] == 1:
            own = amps[:, 0, :count, None]
            self._alone = own.real * along[:, 0] + own.imag * along[:, 1]
            self._alone *= self._transfer
        self._turned = [
            amps.real[..., k, None] * along[:, 0]
            + amps.imag[..., k, None] * along[:, 1]
            for k in range(0 if self._alone is not None else count)
        ]
        self._lamps: Array | None = None
        if amps.shape[2] > count:
            lamps, there = amps[..., count:], transfer[:, count:]
            self._lamps = (lamps.real @ there) * along[:, 0]
            self._lamps += (lamps.imag @ there) * along[:, 1]
            self._part = _part(np.abs(amps[..., :count]))

    def driving(self, sign: Array) -> Array:
        """Return what drives the way of a sign, (samples, states, wetted) [A/m²]."""
        found = np.zeros(sign.shape)
        if self._alone is not None:
            found[:, 0] = np.maximum(sign * self._alone, 0.0).sum(axis=1)
        for k, each in enumerate(self._turned):
            added = each * (sign * self._transfer[:, k, None])
            found += np.maximum(added, 0.0, out=added)
        if self._lamps is not None:
            found += np.maximum(sign * self._lamps, 0.0)
        return found

    def charged(self, out: Array, into: Array) -> tuple[Array, Array]:
        """Return what each fault takes and spares, as of direct current."""
        taken, spared = np.empty((2, *self._transfer.shape))
        if self._alone is not None:
            np.maximum(self._alone, 0.0, out=taken)
            np.subtract(taken, self._alone, out=spared)
            taken *= out
            spared *= into
        for k, each in enumerate(self._turned):
            added = each * self._transfer[:, k, None]
            for part, account in ((out, taken), (into, spared)):
                driven = np.maximum(added, 0.0)
                account[:, k] = np.einsum("skz,skz->sz", driven, part)
                np.negative(added, out=added)
        if self._lamps is not None:
            parts = self._part.swapaxes(1, 2)
            taken += parts @ (np.maximum(self._lamps, 0.0) * out)
            spared += parts @ (np.maximum(-self._lamps, 0.0) * into)
        return taken, spared


def _part(size: Array) -> Array:
    """Return each fault's part of what its system leaks, (samples, states, faults)."""
    whole = size.sum(axis=2, keepdims=True)
    return np.asarray(
        np.divide(size, whole, out=np.zeros_like(size), where=whole > 0.0)
    )
