"""What each fault adds at bare steel, state by state."""

from dataclasses import dataclass, replace
from typing import Self

import numpy as np

from corrosion.foundation.types import Array, ComplexArray, IntArray

__all__ = ["CurrentSource", "alternating_charges", "direct_charges"]


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


def direct_charges(source: CurrentSource) -> Array:
    """Return what each fault adds at bare steel, its part of the lamps' with it.

    Of shape (samples, wetted, states, faults). [A/m²]
    """
    amps, transfer = source.amps.real, source.transfer * source.density[:, None, :]
    count = len(source.faults)
    faults = np.ascontiguousarray(transfer[:, :count].swapaxes(1, 2))
    added = amps[:, None, :, :count] * faults[:, :, None]
    if amps.shape[2] > count:
        lamps = (amps[..., count:] @ transfer[:, count:]).swapaxes(1, 2)
        added += _part(source)[:, None] * lamps[..., None]
    return added


def alternating_charges(source: CurrentSource, phasor: Array, unit: Array) -> Array:
    """Return the part of each fault's phasor along the sum, as dissolves.

    ``phasor`` is the system's, (samples, 2, states, wetted) [A/m²]; ``unit`` the
    dissolving share over the size of all systems together [m²/A]. Of shape (samples,
    wetted, states, faults). [A/m²]
    """
    count = len(source.faults)
    along = phasor * (unit * source.density[:, None, :])[:, None]
    along = np.ascontiguousarray(along.swapaxes(2, 3))[..., None]

    def turned(amps: ComplexArray, transfer: Array) -> Array:
        found = amps.real[:, None] * along[:, 0]
        found += amps.imag[:, None] * along[:, 1]
        found *= np.ascontiguousarray(transfer.swapaxes(1, 2))[:, :, None]
        return np.asarray(found)

    amps = np.asarray(source.amps, dtype=np.complex128)
    added = turned(amps[..., :count], source.transfer[:, :count])
    if amps.shape[2] > count:
        lamps = turned(amps[..., count:], source.transfer[:, count:]).sum(axis=3)
        added += _part(source)[:, None] * lamps[..., None]
    return added


def _part(source: CurrentSource) -> Array:
    """Return each fault's part of what its system leaks, (samples, states, faults)."""
    size = np.abs(source.amps[..., : len(source.faults)])
    whole = size.sum(axis=2, keepdims=True)
    nothing = np.zeros_like(size)
    return np.asarray(np.divide(size, whole, out=nothing, where=whole > 0.0))
