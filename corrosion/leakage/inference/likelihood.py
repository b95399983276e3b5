"""How well each reading agrees with a fault of each resistance."""

from collections.abc import Iterator
from dataclasses import dataclass
from functools import lru_cache

import numpy as np

from corrosion.foundation.types import Array
from corrosion.foundation.units import scaled_ohms
from corrosion.leakage.inference import forward_model
from corrosion.leakage.inference.evidence import Evidence, is_direct
from corrosion.leakage.inference.forward_model import (
    FaultHypothesis,
    fault_amps,
    lamp_conductance,
    picture_chance,
    read_volts,
)
from corrosion.leakage.inference.grid import GRID, SceneGrid
from corrosion.leakage.inference.instruments import Instruments
from corrosion.records.ship import Picture, System

_KEPT = 16  # tolerances kept, about 1 MB each: all that a round asks for again
_HIDDEN = 1e-4  # least chance of a picture that no way of seeing gives


@dataclass(frozen=True, slots=True, kw_only=True)
class ReadingLikelihood:
    """One reading against every resistance and node.

    Arrays are of shape (nodes or 1, grid) where no other is said.
    """

    label: str  # the reading in words
    distance: Array  # squared distance in standard deviations [-]
    chance: Array  # likelihood, up to a factor [-]


def reading_likelihoods(
    state: FaultHypothesis, evidence: Evidence, instruments: Instruments
) -> Iterator[ReadingLikelihood]:
    """Yield one term for each reading that is present.

    Clamp, volts to hull by conductor, insulation test, lamps and monitor.
    """
    seen = evidence.seen, evidence.seen_sd
    for readings in evidence.readings:
        if readings.amps is not None and is_direct(state.system, readings):
            yield _direct(state, readings.amps, instruments)
        elif readings.amps is not None:
            named = evidence.conductor is not None
            amps = abs(readings.amps) if named else readings.amps
            yield _clamp(state, amps, seen, instruments)
        for column, volts in enumerate(readings.hull_volts):
            if volts is not None:
                read = (column, abs(volts))
                yield _voltmeter(state, read, readings.meter, instruments)
        if readings.insulation is not None:
            yield _insulation(readings.insulation, instruments)
        if any(readings.picture):
            yield _lamps(state, readings.picture, instruments)
    yield from (_monitor(state, ohms, instruments) for ohms in evidence.monitor)


def _clamp(
    state: FaultHypothesis, read: float, seen: tuple[float, float], tools: Instruments
) -> ReadingLikelihood:
    """Weigh a clamp reading: a magnitude, unless a sign was written.

    A plus sign is seldom written, so only a minus says that the current flows from the
    steel into the circuit, which the negative conductor does; where the conductor is
    known, that gives the direction.
    """
    amps, width = _clamp_shows(state, tools, seen)
    label = f"the clamp reading of {read:.4g} A"
    signed = state.system.current == "dc" and read < 0.0
    away = (read - amps) if signed else (abs(read) - np.abs(amps))
    scale = max(abs(read), tools.clamp_resolution)
    return _gaussian(label, away / width, scale / width, tools.slip)


@lru_cache(maxsize=_KEPT)
def _clamp_shows(
    state: FaultHypothesis, tools: Instruments, seen: tuple[float, float]
) -> tuple[Array, Array]:
    """Return the current and its standard uncertainty, shape (nodes, grid)."""
    amps, within = fault_amps(state)
    shown = seen[0] * amps
    return shown, tools.clamp_width(shown, within + (seen[1] * amps) ** 2)


def _direct(
    state: FaultHypothesis, read: float, tools: Instruments
) -> ReadingLikelihood:
    """Weigh a direct component by the source that would have to stand behind it.

    The source sees the fault's resistance and, where the windings join all conductors,
    everything that leads back: what it must be to drive the reading is held against
    what rectifiers make. Through 400 kΩ of insulation half an ampere is impossible,
    through three lamps it is not.
    """
    back = 1.0 / direct_return(state, tools)
    volts = max(abs(read), tools.clamp_resolution) * (GRID[None, :] + back)
    share = volts / state.system.volts
    sd = float(np.log(tools.source.geometric_sd))
    away = np.log(share / tools.source.median) / sd
    over = np.maximum(np.log(share / tools.source.high) / (2.0 * tools.clamp), 0.0)
    distance = np.minimum(away**2, 4.0) * (over == 0.0) + over**2
    label = f"the direct clamp reading of {read:.4g} A"
    chance = np.exp(-0.5 * (away**2 + over**2)) * (1.0 - tools.slip) + tools.slip
    return ReadingLikelihood(label=label, distance=distance, chance=chance)


def direct_return(state: FaultHypothesis, tools: Instruments) -> Array:
    """Return what leads direct current back, shape (nodes, grid or 1) [S].

    All conductors' insulation in parallel, lamps or their transformers' windings, the
    insulation monitor, other faults, and what ties the system to earth.
    """
    system, (_, insulation) = state.system, state.nodes.pairs()
    others = _others(state) + state.tie.conductance
    fixed = others + fixed_direct_return(system, tools.winding)
    healthy = len(system.conductors) / insulation[:, None]
    return np.asarray(healthy + fixed + lamp_conductance(state))


def fixed_direct_return(system: System, winding: float) -> float:
    """Return what monitor and lamp transformers lead back of direct current.

    Parameters
    ----------
    system : System
    winding : float
        Resistance of a lamp transformer's winding where none is written. [Ω]

    Returns
    -------
    float
        Conductance to hull. [S]
    """
    found = 0.0 if system.monitor is None else 1.0 / system.monitor
    if system.lamps is not None and system.lamps.ratio != 1.0:
        found += len(system.conductors) / (system.lamp_winding or winding)
    return found


def _others(state: FaultHypothesis) -> Array:
    """Return what other faults lead to the hull, shape (nodes or 1, 1) [S]."""
    known = sum(1.0 / ohms for _, ohms in state.others)
    if isinstance(state.nodes, SceneGrid):
        return np.asarray(known + np.sum(state.nodes.load, axis=1, keepdims=True))
    return np.full((1, 1), known)


def _monitor(
    state: FaultHypothesis, read: float, tools: Instruments
) -> ReadingLikelihood:
    """Weigh an insulation monitor's reading: everything to the hull in parallel."""
    _, insulation = state.nodes.pairs()
    healthy = len(state.system.conductors) / insulation[:, None]
    total = healthy + _others(state) + 1.0 / GRID
    away = np.log(read * total) / tools.insulation_tester
    label = f"the insulation monitor's {read:.4g} Ω"
    sharp = np.full_like(away, 1.0 / tools.insulation_tester)
    return _gaussian(label, away, sharp, tools.slip)


def _voltmeter(
    state: FaultHypothesis, read: tuple[int, float], meter: float, tools: Instruments
) -> ReadingLikelihood:
    column, size = read
    volts, width = (each[column] for each in _meter_shows(state, meter, tools))
    name = state.system.conductors[column]
    input_ohms, unit = scaled_ohms(meter)
    label = f"{size:.4g} V to hull on {name} ({input_ohms:.3g} {unit} meter)"
    scale = max(size, tools.voltmeter_resolution)
    return _gaussian(label, (size - volts) / width, scale / width, tools.slip)


@lru_cache(maxsize=_KEPT)
def _meter_shows(
    state: FaultHypothesis, meter: float, tools: Instruments
) -> tuple[Array, Array]:
    """Return the volts and their standard uncertainty, shape (c, nodes, grid)."""
    volts, within = read_volts(state, meter)
    return volts, tools.meter_width(volts, within)


def _insulation(read: float, tools: Instruments) -> ReadingLikelihood:
    width = tools.insulation_tester
    label = f"the insulation test of {read:.4g} Ω"
    away = np.log(read / GRID)[None, :] / width
    return _gaussian(label, away, np.full_like(away, 1.0 / width), tools.slip)


def _lamps(
    state: FaultHypothesis, seen: tuple[Picture | None, ...], tools: Instruments
) -> ReadingLikelihood:
    share, blind = picture_chance(state, seen, tools.eye)
    named = zip(state.system.conductors, seen, strict=True)
    words = ", ".join(f"{name} {word}" for name, word in named if word)
    return ReadingLikelihood(
        label=f"the lamps ({words})",
        distance=-2.0 * np.log(np.maximum(share, _HIDDEN)),
        chance=tools.lamp_likelihood(share, blind),
    )


def _gaussian(
    label: str, away: Array, sharpness: Array, slip: float
) -> ReadingLikelihood:
    """Weigh a reading that is so many deviations away, and as sharp as that."""
    distance = away * away
    chance = np.exp(-0.5 * distance)
    chance *= sharpness * (1.0 - slip)
    chance += slip
    return ReadingLikelihood(label=label, distance=distance, chance=chance)


def clear_caches() -> None:
    """Forget what was kept of predictions: nobody asks for the same nodes again."""
    forward_model.clear_caches()
    for kept in (_clamp_shows, _meter_shows):
        kept.cache_clear()
