"""What a fault of each resistance would make the instruments show.

Solved once for all nodes of the healthy system, with the meter's own resistance and
the lamps in the network, and kept. Two things save work: the conductors of a system
are alike, so that a fault on another one is the same state turned; and volts are
smooth, so that every fifth resistance of the grid is solved and the others follow by
cubics between four of them (to 1e-4 of the volts, where an instrument is good to 2 %).
What eyes make of lamps is looked at there alone too, and drawn straight between.
"""

from dataclasses import dataclass, replace
from functools import lru_cache
from typing import cast

import numpy as np

from corrosion.foundation.types import Array, IntArray
from corrosion.leakage.earthing import FLOATING, Tie
from corrosion.leakage.filament import LampLaw, filament_conductance
from corrosion.leakage.inference.grid import GRID, SceneGrid, SystemGrid
from corrosion.leakage.inference.lamp_observation import (
    observation_probability,
    pattern_codes,
)
from corrosion.leakage.lamp_load import conductor_volts_with_lamps
from corrosion.leakage.network import metered_volts
from corrosion.leakage.neutral_point import Phasors, conductor_index, healthy_admittance
from corrosion.records.ship import LampSet, Picture, System

_KEPT = 16  # predictions kept, about 1 MB each: all that a round asks for again
_STRIDE = 5  # one of so many resistances of the grid is solved


@dataclass(frozen=True, slots=True, kw_only=True)
class FaultHypothesis:
    """A system with one fault of unknown resistance on one conductor."""

    system: System  # the system; its lamps, if it has any, are connected
    # where capacitance and insulation are tried, or what else stood
    nodes: SystemGrid | SceneGrid
    conductor: int  # position of the conductor at fault
    # how its lamps draw current and what an eye tells; a part of the key under which
    # predictions are kept
    law: LampLaw
    # other faults that stood: conductor and resistance [Ω]
    others: tuple[tuple[str, float], ...] = ()
    # how the system is tied to the hull, as by an earthed shore supply
    tie: Tie = FLOATING

    def rotated(self) -> "FaultHypothesis":
        """Return the same with the conductor at fault first."""
        names = self.system.conductors

        def turned(name: str) -> str:
            return names[conductor_index(self.system, name) - self.conductor]

        at = self.tie.at
        tied = replace(self.tie, at=turned(at)) if at in names else self.tie
        nodes = self.nodes
        if isinstance(nodes, SceneGrid):
            nodes = nodes.turned(self.conductor)
        return replace(
            self,
            nodes=nodes,
            conductor=0,
            others=tuple((turned(name), ohms) for name, ohms in self.others),
            tie=tied,
        )


def fault_amps(state: FaultHypothesis) -> tuple[Array, Array]:
    """Return the current through the fault, and its variance within a node.

    Parameters
    ----------
    state : FaultHypothesis

    Returns
    -------
    amps, variance : ndarray, shape (nodes, grid)
        Into the steel: rms, or signed for direct current. [A], [A²]
    """
    amps = _between(_volts(state.rotated())[0]) / GRID
    if state.system.current == "ac":
        size = np.abs(amps)
    else:  # of the two conductors each is the other one turned round
        size = amps.real if state.conductor == 0 else -amps.real
    return size, state.nodes.variance(size)


def lamp_conductance(state: FaultHypothesis) -> Array:
    """Return what all lamps together conduct, shape (nodes, grid) [S].

    Of lamps without a transformer, as warm as their volts make them; 0: none.
    """
    lamps = state.system.lamps
    if lamps is None or lamps.ratio != 1.0:
        return np.zeros((1, 1))
    volts = np.abs(_between(_volts(state.rotated())))
    return np.asarray(filament_conductance(volts, lamps, state.law).sum(axis=0))


def read_volts(state: FaultHypothesis, meter: float) -> tuple[Array, Array]:
    """Return what a voltmeter reads on each conductor in turn, and its variance.

    Parameters
    ----------
    state : FaultHypothesis
    meter : float
        Input resistance of the meter. [Ω]

    Returns
    -------
    volts, variance : ndarray, shape (c, nodes, grid)
        Magnitude, and variance within a node. [V], [V²]
    """
    volts = np.roll(_metered(state.rotated(), meter), state.conductor, axis=0)
    return volts, np.array([state.nodes.variance(each) for each in volts])


def picture_chance(
    state: FaultHypothesis, seen: tuple[Picture | None, ...], eye: float
) -> tuple[Array, float]:
    """Return the chance that the lamps are written down as they were.

    Words count by order: ``dim, bright, bright`` and ``dim, even, even`` say the
    same. Where a lamp is between bright and dim, some write it down as one of the
    two (basis table, ``lamp_coarse_chance``).

    Parameters
    ----------
    state : FaultHypothesis
    seen : tuple of (str or None)
        What was written down of each lamp.
    eye : float
        Standard deviation of the logarithm of light as seen. [-]

    Returns
    -------
    chance : ndarray, shape (nodes, grid)
        Chance where the picture was read at all. [-]
    blind : float
        Chance of the same where it was written down at random. [-]
    """
    first = seen[state.conductor :] + seen[: state.conductor]
    return _picture_chance(state.rotated(), first, eye)


@lru_cache(maxsize=_KEPT)
def _picture_chance(
    state: FaultHypothesis, seen: tuple[Picture | None, ...], eye: float
) -> tuple[Array, float]:
    agrees = observation_probability(seen, state.law)
    share = agrees[_codes(state, eye)].mean(axis=-1)
    return share @ _straight(), float(agrees.mean())


@lru_cache(maxsize=_KEPT)
def _codes(state: FaultHypothesis, eye: float) -> IntArray:
    """Return one number for each picture as seen, shape (nodes, solved, eyes)."""
    lamps = state.system.lamps or LampSet(volts=1.0, watts=1.0)
    return pattern_codes(lamps, np.abs(_volts(state)), eye, state.law)


@lru_cache(maxsize=_KEPT)
def _volts(state: FaultHypothesis) -> Phasors:
    """Return volts to hull with nothing but the lamps connected, shape (c, n, s)."""
    system = state.system
    volts, _ = conductor_volts_with_lamps(
        system.star_volts,
        _admittance(state),
        system.lamps,
        state.tie.parts(state.system)[0],
        law=state.law,
    )
    return np.moveaxis(volts, -1, 0)


@lru_cache(maxsize=_KEPT)
def _metered(state: FaultHypothesis, meter: float) -> Array:
    """Return the magnitude that a meter reads on each conductor, shape (c, n, g)."""
    system = state.system
    volts = metered_volts(
        system,
        _admittance(state),
        meter,
        lamps=system.lamps,
        tie=state.tie.parts(state.system)[0],
        law=state.law,
    )
    return np.abs(_between(np.moveaxis(volts, -1, 0)))


def _admittance(state: FaultHypothesis) -> Phasors:
    """Return conductor to hull without lamps and meter, shape (n, solved, c)."""
    system = state.system
    farads, ohms = state.nodes.pairs()
    healthy = healthy_admittance(system, capacitance=farads, insulation=ohms)
    solved = GRID[::_STRIDE]
    y = np.repeat(healthy[:, None], len(solved), axis=1)[..., None]
    y = np.repeat(y, len(system.conductors), axis=2)
    if isinstance(state.nodes, SceneGrid):
        y += np.array(state.nodes.load)[:, None, :]
    for conductor, resistance in state.others:
        y[..., conductor_index(system, conductor)] += 1.0 / resistance
    y += state.tie.parts(system)[1]
    y[..., state.conductor] += 1.0 / solved
    return cast("Phasors", y)


def _between(known: Phasors) -> Phasors:
    """Return volts on the whole grid from those solved."""
    weights = _cubics()
    if not np.iscomplexobj(known):
        return known @ weights
    found = np.empty((*known.shape[:-1], len(GRID)), np.complex128)
    found.real, found.imag = known.real @ weights, known.imag @ weights
    return found


@lru_cache(maxsize=1)
def _cubics() -> Array:
    """Return what each resistance solved adds to each of the grid, as a matrix."""
    count = (len(GRID) - 1) // _STRIDE + 1
    place = np.arange(len(GRID)) / _STRIDE
    first = np.clip(np.floor(place).astype(np.int64) - 1, 0, count - 4)
    weights = np.zeros((count, len(GRID)))
    for k in range(4):
        rest = [j for j in range(4) if j != k]
        each = [(place - first - j) / (k - j) for j in rest]
        weights[first + k, np.arange(len(GRID))] = np.prod(each, axis=0)
    return weights


@lru_cache(maxsize=1)
def _straight() -> Array:
    """Return the same for chances, on straight lines: they stay between 0 and 1."""
    solved = np.arange(0, len(GRID), _STRIDE)
    away = np.abs(np.arange(len(GRID)) - solved[:, None]) / _STRIDE
    return np.asarray(np.maximum(1.0 - away, 0.0))


def clear_caches() -> None:
    """Forget what was kept: nobody asks for the same nodes again."""
    for kept in (_picture_chance, _codes, _volts, _metered):
        kept.cache_clear()
