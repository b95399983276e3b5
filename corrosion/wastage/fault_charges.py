"""What each fault adds at bare steel, state by state."""

from collections.abc import Iterator
from dataclasses import dataclass

import numpy as np

from corrosion.foundation.types import Array, ComplexArray, IntArray

__all__ = ["CurrentSource", "FaultCharge", "alternating_charges", "direct_charges"]


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


@dataclass(frozen=True, slots=True)
class FaultCharge:
    """What one fault adds at bare steel, in the states in which it stands [A/m²]."""

    row: IntArray
    state: IntArray
    density: Array

    def sum_over_states(self, weight: Array, samples: int) -> Array:
        """Return weight times density summed over states, (samples, wetted)."""
        summed = np.zeros((samples, self.density.shape[1]))
        if len(self.row):  # rows rise, so that each sample's states lie together
            first = np.flatnonzero(np.diff(self.row, prepend=-1))
            product = weight[self.row, self.state] * self.density
            summed[self.row[first]] = np.add.reduceat(product, first, axis=0)
        return summed


def direct_charges(source: CurrentSource) -> Iterator[FaultCharge]:
    """Yield what each fault adds at bare steel, its part of the lamps' with it."""
    count = len(source.faults)
    amps = source.amps[..., :count].real
    size = np.abs(amps)
    whole = size.sum(axis=2)
    for j in range(count):
        row, state = np.nonzero(amps[:, :, j])
        added = amps[row, state, j][:, None] * source.transfer[row, j]
        part = size[row, state, j] / whole[row, state]
        for lamp in range(count, source.amps.shape[2]):
            carried = part * source.amps[row, state, lamp].real
            added += carried[:, None] * source.transfer[row, lamp]
        yield FaultCharge(row, state, added * source.density[row])


def alternating_charges(
    source: CurrentSource, phasor: Array, unit: Array
) -> Iterator[FaultCharge]:
    """Yield the part of each fault's phasor along the sum, as dissolves.

    ``phasor`` is the system's, (samples, 2, states, wetted) [A/m²]; ``unit`` the
    dissolving share over the size of all systems together [m²/A].
    """
    count = len(source.faults)
    amps = source.amps[..., :count]
    size = np.abs(amps)
    whole = size.sum(axis=2)
    for j in range(count):
        row, state = np.nonzero(size[:, :, j])
        part = size[row, state, j] / whole[row, state]
        columns = [(j, amps[row, state, j])] + [
            (lamp, part * source.amps[row, state, lamp])
            for lamp in range(count, source.amps.shape[2])
        ]
        along = phasor[row, :, state] * unit[row, state][:, None, :]
        added = np.zeros((len(row), unit.shape[2]))
        for column, current in columns:
            turned = current.real[:, None] * along[:, 0]
            turned += current.imag[:, None] * along[:, 1]
            added += turned * source.transfer[row, column]
        yield FaultCharge(row, state, added * source.density[row])
