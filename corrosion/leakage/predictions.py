"""What a fault of each resistance would make the instruments show.

Solved once for all resistances of the grid and all nodes of the healthy system, with
the meter's own resistance and the lamps in the network, and kept.
"""

from dataclasses import dataclass, field
from functools import lru_cache
from itertools import combinations
from typing import cast

import numpy as np

from corrosion import basis
from corrosion.leakage.filament import conductor_volts_with_lamps, relative_light
from corrosion.leakage.lamps import PICTURES, picture_of_light
from corrosion.leakage.network import metered_volts
from corrosion.leakage.nodes import GRID, Nodes
from corrosion.leakage.star import Phasors, conductor_index, healthy_admittance
from corrosion.records.ship import LampSet, Picture, System
from corrosion.types import Array, IntArray

__all__ = ["State", "fault_amps", "picture_chance", "read_volts"]

_EYES = 16  # ways of seeing one set of lamps, quasi-random
_KEPT = 16  # predictions kept, about 0.5 MB each: all that a round asks for again
_LAMP_ENTRIES = (
    "lamp_coarse_chance",
    "lamp_cold_ratio",
    "lamp_current_exponent",
    "lamp_light_exponent",
    "lamp_light_ratio",
    "lamp_visible_share",
)


@dataclass(frozen=True, slots=True, kw_only=True)
class State:
    """A system with one fault of unknown resistance on one conductor.

    Attributes
    ----------
    system : System
        The system; its lamps, if it has any, are connected.
    nodes : Nodes
        Where capacitance and insulation are tried.
    conductor : int
        Position of the conductor at fault.
    others : tuple of (str, float)
        Other faults that stood: conductor and resistance. [Ω]
    tie : float
        Star point to hull, as through an earthed shore supply. [S]
    assumed : tuple of float
        What the basis table says of lamps when the state is made, so that what is
        kept of one table is not used with another.
    """

    system: System
    nodes: Nodes
    conductor: int
    others: tuple[tuple[str, float], ...] = ()
    tie: float = 0.0
    assumed: tuple[float, ...] = field(
        default_factory=lambda: tuple(map(basis.value, _LAMP_ENTRIES))
    )


def fault_amps(state: State) -> tuple[Array, Array]:
    """Return the current through the fault, and its variance within a node.

    Parameters
    ----------
    state : State
        System, nodes and conductor at fault.

    Returns
    -------
    amps, variance : ndarray, shape (nodes, grid)
        Into the steel: rms, or signed for direct current. [A], [A²]
    """
    amps = _volts(state)[..., state.conductor] / GRID
    size = np.abs(amps) if state.system.current == "ac" else amps.real
    return size, state.nodes.variance(size)


def read_volts(state: State, meter: float) -> tuple[Array, Array]:
    """Return what a voltmeter reads on each conductor in turn, and its variance.

    Parameters
    ----------
    state : State
        System, nodes and conductor at fault.
    meter : float
        Input resistance of the meter. [Ω]

    Returns
    -------
    volts, variance : ndarray, shape (c, nodes, grid)
        Magnitude, and variance within a node. [V], [V²]
    """
    lamps = state.system.lamps
    y = _admittance(state)
    read = metered_volts(state.system, y, meter, lamps=lamps, tie=state.tie)
    volts = np.ascontiguousarray(np.moveaxis(np.abs(read), -1, 0))
    return volts, np.array([state.nodes.variance(each) for each in volts])


@lru_cache(maxsize=_KEPT)
def picture_chance(
    state: State, seen: tuple[Picture | None, ...], eye: float
) -> tuple[Array, float]:
    """Return the chance that the lamps are written down as they were.

    Words count by order: ``dim, bright, bright`` and ``dim, even, even`` say the
    same. Where a lamp is between bright and dim, some write it down as one of the
    two (basis table, ``lamp_coarse_chance``).

    Parameters
    ----------
    state : State
        System, nodes and conductor at fault.
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
    count = len(seen)
    pictures = np.indices((len(PICTURES),) * count).reshape(count, -1).T
    coarse = basis.value("lamp_coarse_chance")
    mixed = np.any(pictures == 2, axis=1) & np.any(pictures != 2, axis=1)
    merged = [np.where((pictures == 2) & mixed[:, None], k, pictures) for k in (1, 3)]
    agrees = (1.0 - coarse) * _agrees(pictures, seen)
    for each in merged:
        agrees = agrees + 0.5 * coarse * _agrees(each, seen)
    chance = np.asarray(agrees[_codes(state, eye)].mean(axis=-1))
    return chance, float(agrees.mean())


def _agrees(pictures: IntArray, seen: tuple[Picture | None, ...]) -> Array:
    """Return 1 where a picture is in the order that was written down, else 0."""
    noted = {k: PICTURES.index(word) for k, word in enumerate(seen) if word}
    same = np.ones(len(pictures), dtype=np.bool_)
    for k, code in noted.items():
        same &= (pictures[:, k] == 0) == (code == 0)
        if len(noted) == 1:
            same &= pictures[:, k] == code
    for (i, one), (j, two) in combinations(noted.items(), 2):
        same &= np.sign(pictures[:, i] - pictures[:, j]) == np.sign(one - two)
    return same.astype(np.float64)


@lru_cache(maxsize=_KEPT // 4)
def _codes(state: State, eye: float) -> IntArray:
    """Return one number for each picture as seen, shape (nodes, grid, eyes)."""
    from scipy.special import ndtri  # noqa: PLC0415 - importing corrosion stays light

    lamps = state.system.lamps or LampSet(volts=1.0, watts=1.0)
    count = len(state.system.conductors)
    lattice = (
        np.outer(np.arange(_EYES), [1.0, 0.7549, 0.5698][:count])
        / [_EYES, 1, 1][:count]
    )
    noise = np.exp(eye * ndtri((lattice + 0.5 / _EYES) % 1.0))
    base = len(PICTURES) ** np.arange(count - 1, -1, -1)
    light = relative_light(np.abs(_volts(state)) / lamps.ratio, rated_volts=lamps.volts)
    seen = [picture_of_light(node[:, None, :] * noise) @ base for node in light]
    return np.array(seen, dtype=np.int8).astype(np.int64)


@lru_cache(maxsize=_KEPT // 4)
def _volts(state: State) -> Phasors:
    """Return volts to hull with nothing but the lamps connected, shape (n, g, c)."""
    system = state.system
    volts, _ = conductor_volts_with_lamps(
        system.star_volts, _admittance(state), system.lamps, state.tie
    )
    return volts


def _admittance(state: State) -> Phasors:
    """Return conductor to hull without lamps and meter, shape (n, g, c)."""
    system = state.system
    farads, ohms = state.nodes.pairs()
    healthy = healthy_admittance(system, capacitance=farads, insulation=ohms)
    y = np.repeat(healthy[:, None], len(GRID), axis=1)[..., None]
    y = np.repeat(y, len(system.conductors), axis=2)
    for conductor, resistance in state.others:
        y[..., conductor_index(system, conductor)] += 1.0 / resistance
    y[..., state.conductor] += 1.0 / GRID
    return cast("Phasors", y)
