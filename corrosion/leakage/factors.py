"""What was read of one fault, against all that it and those beside it may have been."""

from collections.abc import Sequence
from dataclasses import dataclass
from functools import cached_property
from typing import cast

import numpy as np

from corrosion.leakage.evidence import Evidence
from corrosion.leakage.filament import conductor_volts_with_lamps
from corrosion.leakage.likelihood import Instruments
from corrosion.leakage.network import metered_volts
from corrosion.leakage.nodes import GRID, Nodes
from corrosion.leakage.pictures import agreement, picture_codes
from corrosion.leakage.posterior import Cells, drawn
from corrosion.leakage.star import Phasors, conductor_index, healthy_admittance
from corrosion.records.ship import LampSet, System
from corrosion.types import Array, IntArray

__all__ = ["Part", "weighed"]

_MIDDLE = np.log(np.sqrt(GRID[1:] * GRID[:-1]))  # of each cell of the grid
_STEP = float(np.log(GRID[1] / GRID[0]))
_BESIDE = 0.125  # share of a cell's picture that is that of each neighbour


@dataclass(frozen=True, slots=True)
class Part:
    """One fault in cells that each hold some of the grid's.

    Attributes
    ----------
    own : Cells
        Posterior from what depends on this fault alone.
    edges : ndarray of int, shape (cells + 1,)
        Positions on the grid, from its first to its last.
    """

    own: Cells
    edges: IntArray

    @property
    def conductors(self) -> IntArray:
        """Positions of the conductors that may be at fault."""
        return self.own.conductors

    @property
    def chance(self) -> Array:
        """From what depends on this fault alone, shape (nodes, conductors · cells)."""
        summed = np.add.reduceat(self.own.chance, self.edges[:-1], axis=2)
        return np.moveaxis(summed, 0, 1).reshape(summed.shape[1], -1)

    def spread(self) -> tuple[Array, Array]:
        """Return mean and variance of log resistance in each cell, shape (cells,)."""
        weight = self.own.chance.sum(axis=(0, 1)) + np.finfo(np.float64).tiny
        total, first = (
            np.add.reduceat(each, self.edges[:-1])
            for each in (weight, weight * _MIDDLE)
        )
        mean = first / total
        away = _MIDDLE - np.repeat(mean, np.diff(self.edges))
        second = np.add.reduceat(weight * away**2, self.edges[:-1])
        return mean, second / total + _STEP**2 / 12.0

    def load(self, count: int) -> Array:
        """Return conductor to hull, shape (conductors · cells, count) [S]."""
        on = np.eye(count)[self.conductors]
        return np.repeat(on, len(self.edges) - 1, axis=0) * self.conductance()[:, None]

    def conductance(self) -> Array:
        """Return conductance of the fault, shape (conductors · cells,) [S]."""
        return np.tile(np.exp(-self.spread()[0]), len(self.conductors))

    def placed(self, node: IntArray, cell: IntArray, within: Array) -> Array:
        """Return resistances at a place within cells, as its own posterior has it.

        Parameters
        ----------
        node, cell : ndarray of int, shape (samples,)
            Node and cell of each sample.
        within : ndarray, shape (samples,)
            Numbers in [0, 1]. [-]

        Returns
        -------
        ndarray, shape (samples,)
            Resistance. [Ω]
        """
        total = self.own.chance.sum(axis=0)
        ladder = np.zeros((len(total), len(GRID)))
        np.cumsum(total, axis=1, out=ladder[:, 1:])
        low, high = (
            ladder[node, self.edges[cell + k]] / ladder[node, -1] for k in (0, 1)
        )
        only = Cells(chance=total[None], conductors=np.zeros(1, dtype=np.int64))
        uniform = low + within * (high - low)
        return drawn(only, node, uniform[:, None]).resistance[:, 0]


def weighed(
    system: System,
    nodes: Nodes,
    evidence: Evidence,
    parts: Sequence[Part],
    tools: Instruments,
) -> Array:
    """Return the likelihood of what was read of one fault beside others.

    Parameters
    ----------
    system : System
        The system.
    nodes : Nodes
        Of its capacitance and insulation.
    evidence : Evidence
        What was read of the fault.
    parts : sequence of Part
        The fault itself, then those that stood beside it.
    tools : Instruments
        How far to trust what was read.

    Returns
    -------
    ndarray, shape (nodes, cells of the first, cells of the second, ...)
        Likelihood, up to a factor; insulation tests are left out, since they belong
        to each fault alone. [-]
    """
    scene = _Scene(system, nodes, evidence, parts)
    chance = np.ones(scene.shape)
    for readings in evidence.readings:
        if readings.amps is not None:
            amps = scene.amps()
            read = readings.amps if system.current == "dc" else abs(readings.amps)
            width = tools.clamp_width(amps, scene.within(amps))
            chance *= tools.clamped("clamp", read, amps, width).chance
        if any(volts is not None for volts in readings.hull_volts):
            shown = scene.metered(readings.meter)
            for volts, each in zip(readings.hull_volts, shown, strict=True):
                if volts is not None:
                    width = tools.meter_width(each, scene.within(each))
                    chance *= tools.metered("volts", abs(volts), each, width).chance
        if any(readings.lamps):
            lamps = system.lamps or LampSet(volts=1.0, watts=1.0)
            agrees = agreement(readings.lamps)
            size = np.moveaxis(np.abs(scene.volts), -1, 0)
            share = agrees[picture_codes(lamps, size, tools.eye)].mean(axis=-1)
            chance *= tools.seen(scene.blurred(share), float(agrees.mean()))
    return chance


class _Scene:
    """The network while one fault was read, in all the states that it may be in."""

    def __init__(
        self,
        system: System,
        nodes: Nodes,
        evidence: Evidence,
        parts: Sequence[Part],
    ) -> None:
        farads, ohms = nodes.pairs()
        healthy = healthy_admittance(system, capacitance=farads, insulation=ohms)
        count = len(system.conductors)
        y = np.repeat(healthy[:, None], count, axis=1)
        for conductor, resistance in evidence.others:
            y[:, conductor_index(system, conductor)] += 1.0 / resistance
        for k, part in enumerate(parts):
            load = part.load(count)
            apart = (1,) * k
            y = y[..., None, :] + load.reshape(1, *apart, *load.shape)
        self.system, self.nodes, self.parts = system, nodes, parts
        self.tie, self.admittance = evidence.tie, cast("Phasors", y)
        self.shape = y.shape[:-1]

    @cached_property
    def volts(self) -> Phasors:
        """Conductors to hull, shape (nodes, cells, ..., c) [V]."""
        volts, _ = conductor_volts_with_lamps(
            self.system.star_volts, self.admittance, self.system.lamps, self.tie
        )
        return volts

    def metered(self, meter: float) -> Array:
        """Return what a meter shows, shape (c, nodes, cells, ...) [V]."""
        volts = metered_volts(
            self.system,
            self.admittance,
            meter,
            lamps=self.system.lamps,
            tie=self.tie,
        )
        return np.ascontiguousarray(np.moveaxis(np.abs(volts), -1, 0))

    def amps(self) -> Array:
        """Return the current through the first fault, shape (nodes, cells, ...) [A]."""
        own = self.parts[0]
        cells = len(own.edges) - 1
        volts = np.moveaxis(self.volts, -1, 0)
        at = np.repeat(own.conductors, cells)
        mine = np.moveaxis(volts[at, :, np.arange(len(at))], 0, 1)
        conductance = own.conductance().reshape(1, -1, *(1,) * (mine.ndim - 2))
        through = mine * conductance
        return np.abs(through) if self.system.current == "ac" else through.real

    def within(self, values: Array) -> Array:
        """Return the variance within a node and a cell of every fault."""
        flat = values.reshape(len(self.nodes), -1)
        variance = self.nodes.variance(flat).reshape(values.shape)
        for axis, part in enumerate(self.parts, start=1):
            mean, spread = part.spread()
            cube, shape = self._by_conductor(values, axis)
            slope = np.gradient(cube, mean, axis=axis + 1)
            each = spread.reshape(-1, *(1,) * (cube.ndim - axis - 2))
            variance += (slope**2 * each).reshape(shape)
        return variance

    def blurred(self, share: Array) -> Array:
        """Return chances with some of those of the neighbouring cells."""
        for axis in range(1, share.ndim):
            cube, shape = self._by_conductor(share, axis)
            last = cube.shape[axis + 1] - 1
            steps = [np.clip(np.arange(last + 1) + by, 0, last) for by in (-1, 1)]
            around = sum(np.take(cube, step, axis=axis + 1) for step in steps)
            share = ((1.0 - 2.0 * _BESIDE) * cube + _BESIDE * around).reshape(shape)
        return share

    def _by_conductor(self, values: Array, axis: int) -> tuple[Array, tuple[int, ...]]:
        """Return values with a fault's axis cut in two: conductors, cells."""
        part, shape = self.parts[axis - 1], values.shape
        cut = (len(part.conductors), len(part.edges) - 1)
        return values.reshape(*shape[:axis], *cut, *shape[axis + 1 :]), shape
