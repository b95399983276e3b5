"""What was read of one fault, against all that it and those beside it may have been."""

from collections.abc import Callable, Sequence
from functools import cached_property
from typing import cast

import numpy as np

from corrosion.foundation.types import Array
from corrosion.leakage.filament import LampLaw
from corrosion.leakage.inference.evidence import Evidence, is_direct
from corrosion.leakage.inference.grid import GRID, SystemGrid
from corrosion.leakage.inference.gridded_fault import GriddedFault
from corrosion.leakage.inference.instruments import Instruments
from corrosion.leakage.inference.lamp_observation import (
    observation_probability,
    pattern_codes,
)
from corrosion.leakage.lamp_load import conductor_volts_with_lamps
from corrosion.leakage.neutral_point import Phasors, conductor_index, healthy_admittance
from corrosion.records.ship import LampSet, System


def joint_likelihood(
    system: System,
    nodes: SystemGrid,
    evidence: Evidence,
    parts: Sequence[GriddedFault],
    tools: Instruments,
) -> Array:
    """Return the likelihood of what was read of one fault beside others.

    Parameters
    ----------
    system, nodes, evidence : System, SystemGrid, Evidence
    parts : sequence of GriddedFault
        The fault itself, then those that stood beside it.
    tools : Instruments

    Returns
    -------
    ndarray, shape (nodes, cells of the first, cells of the second, ...)
        Likelihood, up to a factor; insulation tests are left out, since they belong
        to each fault alone. Mean over the states in which it may have been read. [-]
    """
    total = np.zeros(1)
    for share, one in evidence.by_state():
        total = total + share * _in_one_state(system, nodes, one, parts, tools)
    return total


def _in_one_state(
    system: System,
    nodes: SystemGrid,
    evidence: Evidence,
    parts: Sequence[GriddedFault],
    tools: Instruments,
) -> Array:
    scene = _Scene(evidence.fed or system, nodes, evidence, parts, tools.law)
    chance = np.ones(1)
    for readings in evidence.readings:
        if readings.amps is not None and not is_direct(system, readings):
            # A clamp on alternating current shows a size. On direct current its sign
            # tells which conductor leaks, unless that was written, or the clamp was
            # held askew.
            named = evidence.conductor is not None
            signed = system.current == "dc" and readings.amps < 0.0 and not named
            read = readings.amps if signed else abs(readings.amps)
            amps = evidence.seen * (scene.amps if signed else np.abs(scene.amps))
            # Every current and voltage is monotone in each fault's resistance, so that
            # a cell's edges bound it; the likelihood is the mean over that range, not
            # the value at the middle: cells are wide where many faults stood together.
            low, high, within = scene.ranged(amps)
            missed = evidence.seen_sd / evidence.seen
            within = within + (missed * np.maximum(np.abs(low), np.abs(high))) ** 2
            width = tools.clamp_width(np.clip(read, low, high), within)
            chance = chance * tools.interval_likelihood(read, low, high, width)
        for column, volts in enumerate(readings.hull_volts):
            if volts is not None:
                low, high, within = scene.ranged(scene.metered(column, readings.meter))
                width = tools.meter_width(np.clip(abs(volts), low, high), within)
                chance = chance * tools.interval_likelihood(
                    abs(volts), low, high, width
                )
        if any(readings.picture):
            lamps = system.lamps or LampSet(volts=1.0, watts=1.0)
            agrees = observation_probability(readings.picture, tools.law)
            size = np.moveaxis(np.abs(scene.volts), -1, 0)
            share = agrees[pattern_codes(lamps, size, tools.eye, tools.law)].mean(
                axis=-1
            )
            chance = chance * tools.lamp_likelihood(
                scene.mean(share), float(agrees.mean())
            )
    for axis, apart in enumerate(evidence.apart[: len(parts) - 1], start=2):
        chance = _wandered(chance, axis, parts[axis - 1], apart)
    return chance


def _wandered(chance: Array, axis: int, part: GriddedFault, apart: float) -> Array:
    """Average a likelihood over what one fault beside may have wandered to since.

    It was weighed by the resistance at this hour; the cells are of the hour at which
    the fault itself was read.
    """
    if apart == 0.0 or chance.ndim <= axis:
        return chance
    # A Gaussian in log resistance, as wide as the wandering between the two hours and
    # no narrower than a third of the cell: it cannot be told finer than it is cut.
    edge = np.log(GRID[part.edges])
    middle, width = 0.5 * (edge[1:] + edge[:-1]), np.diff(edge)
    away = (middle[:, None] - middle) / np.hypot(apart, width[:, None] / 3.0)
    kernel = np.exp(-0.5 * away**2) * width
    kernel /= kernel.sum(axis=1, keepdims=True)
    shape = chance.shape
    split = chance.reshape(
        *shape[:axis], len(part.conductors), len(middle), *shape[axis + 1 :]
    )
    moved = np.tensordot(split, kernel, axes=([axis + 1], [1]))
    return np.moveaxis(moved, -1, axis + 1).reshape(shape)


class _Scene:
    """The network while one fault was read, in all the states that it may be in."""

    def __init__(
        self,
        system: System,
        nodes: SystemGrid,
        evidence: Evidence,
        parts: Sequence[GriddedFault],
        law: LampLaw,
    ) -> None:
        farads, ohms = nodes.pairs()
        healthy = healthy_admittance(system, capacitance=farads, insulation=ohms)
        count = len(system.conductors)
        y = np.repeat(healthy[:, None], count, axis=1)
        for conductor, resistance in evidence.others:
            y[:, conductor_index(system, conductor)] += 1.0 / resistance
        self.tie, tied = evidence.tie.parts(system)
        y = y + tied
        for k, part in enumerate(parts):
            # One more axis a fault: conductors times edges. The network is solved for
            # every combination at once, which is what _TABLE of the search bounds.
            load = part.load(count)
            apart = (1,) * k
            y = y[..., None, :] + load.reshape(1, *apart, *load.shape)
        self.system, self.nodes, self.parts = system, nodes, parts
        self.law, self.admittance = law, cast("Phasors", y)

    @cached_property
    def volts(self) -> Phasors:
        """Conductors to hull, shape (nodes, edges, ..., c) [V]."""
        return self._solved(self.admittance)

    def metered(self, column: int, meter: float) -> Array:
        """Return what a meter shows on a conductor, shape (nodes, edges, ...) [V]."""
        loaded = self.admittance.copy()
        loaded[..., column] += 1.0 / meter
        return np.abs(self._solved(loaded)[..., column])

    def _solved(self, admittance: Phasors) -> Phasors:
        volts, _ = conductor_volts_with_lamps(
            self.system.star_volts,
            admittance,
            self.system.lamps,
            self.tie,
            law=self.law,
        )
        return volts

    @cached_property
    def amps(self) -> Array:
        """The current through the first fault, shape (nodes, edges, ...) [A]."""
        own = self.parts[0]
        volts = np.moveaxis(self.volts, -1, 0)
        at = np.repeat(own.conductors, len(own.edges))
        mine = np.moveaxis(volts[at, :, np.arange(len(at))], 0, 1)
        conductance = own.conductance().reshape(1, -1, *(1,) * (mine.ndim - 2))
        through = mine * conductance
        return np.abs(through) if self.system.current == "ac" else through.real

    def ranged(self, values: Array) -> tuple[Array, Array, Array]:
        """Return the least and the most of each cell, and the variance in its node."""
        low = self._between(values, lambda one, two, _: np.minimum(one, two))
        high = self._between(values, lambda one, two, _: np.maximum(one, two))
        middle = 0.5 * (low + high).reshape(len(self.nodes), -1)
        return low, high, self.nodes.variance(middle).reshape(low.shape)

    def mean(self, values: Array) -> Array:
        """Return means of cells, where an edge counts by the faults' own chance."""
        return self._between(
            values, lambda one, two, part: two + part.edge_weight() * (one - two)
        )

    def _between(
        self, values: Array, combine: Callable[[Array, Array, GriddedFault], Array]
    ) -> Array:
        """Return values of cells, combined from those at all their edges."""
        for axis, part in enumerate(self.parts, start=1):
            before, after = values.shape[:axis], values.shape[axis + 1 :]
            cut = np.moveaxis(
                values.reshape(*before, len(part.conductors), -1, *after), axis + 1, -1
            )
            cells = combine(cut[..., :-1], cut[..., 1:], part)
            values = np.moveaxis(cells, -1, axis + 1).reshape(*before, -1, *after)
        return values
