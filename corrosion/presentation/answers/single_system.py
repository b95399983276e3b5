"""One system on the bench: a supposed fault, the sight of its lamps, readings."""

from dataclasses import dataclass, replace
from datetime import date
from typing import Any

import numpy as np

from corrosion.estimate import restated
from corrosion.foundation.json_values import STATISTICS, json_value
from corrosion.foundation.statistics import summarise
from corrosion.foundation.types import Array
from corrosion.leakage.conditions import berth_at, earth_tie
from corrosion.leakage.inference.consistency import contradictions
from corrosion.leakage.inference.evidence import Evidence
from corrosion.leakage.inference.infer import infer_fault
from corrosion.leakage.lamp_pattern import (
    least_visible_fault,
    picture,
    relative_light,
    visibility_curve,
)
from corrosion.leakage.lamp_text import describe_lamps
from corrosion.leakage.network import solve
from corrosion.records.as_of import end_of_day
from corrosion.records.ship import Picture, Readings, Ship, System

__all__ = [
    "FaultState",
    "LampSensitivity",
    "Sampling",
    "fault_state",
    "inferred_fault",
    "lamp_sensitivity",
]

Sampling = tuple[int, int]
"""Number of samples, and seed."""


@dataclass(frozen=True, slots=True, kw_only=True)
class FaultState:
    """A system with one fault.

    Attributes
    ----------
    hull_volts : ndarray, shape (conductors,)
        Each conductor to hull; complex for alternating current. [V]
    amps : float
        Into the hull: a magnitude for alternating current, positive from the circuit
        into the steel for direct current. [A]
    light : ndarray, shape (conductors,)
        Light of each lamp over that on a healthy system; empty without lamps. [-]
    pictures : tuple of str
        What each lamp looks like; empty without lamps.
    words : str
        What the lamps say.
    """

    hull_volts: Any
    amps: float
    light: Array
    pictures: tuple[Picture, ...]
    words: str


def fault_state(ship: Ship, system: System, conductor: str, ohms: float) -> FaultState:
    """Return a system's volts, hull current and lamps with one fault.

    Parameters
    ----------
    ship : Ship
        Whose assumptions hold.
    system : System
        The system, own supply; what it does not state is at its assumption's median.
    conductor : str
        Conductor that touches the hull.
    ohms : float
        Resistance of the fault. [Ω]

    Returns
    -------
    State
        Volts, current, lamps.

    Raises
    ------
    LookupFailed
        If there is no such conductor.
    """
    with restated(ship):
        solved = solve(system, [(conductor, ohms)], lamps=system.lamps is not None)
        amps = complex(solved.fault_amps[0])
        bare = FaultState(
            hull_volts=np.asarray(solved.hull_volts),
            amps=amps.real if system.current == "dc" else abs(amps),
            light=np.zeros(0),
            pictures=(),
            words="This system has no detector lamps: only a meter or monitor tells.",
        )
        if system.lamps is None or solved.lamp_volts is None:
            return bare
        rated = system.lamps.volts
        usual = solve(system, [], lamps=True).lamp_volts
        seen = picture(solved.lamp_volts, rated_volts=rated).tolist()
        return replace(
            bare,
            light=relative_light(solved.lamp_volts, rated_volts=rated)
            / relative_light(np.asarray(usual), rated_volts=rated),
            pictures=tuple(seen),
            words=describe_lamps(system, seen),
        )


@dataclass(frozen=True, slots=True, kw_only=True)
class LampSensitivity:
    """What the lamps of a system can show.

    Attributes
    ----------
    least : float
        Highest resistance that they give away. [Ω]
    ohms : ndarray, shape (n,)
        Resistances, ascending. [Ω]
    ratio : ndarray, shape (n,)
        Light of the darkest lamp over that of the brightest. [-]
    threshold : float
        Ratio above which the eye calls the lamps even. [-]
    """

    least: float
    ohms: Array
    ratio: Array
    threshold: float


def lamp_sensitivity(ship: Ship, system: System) -> LampSensitivity | None:
    """Return what the lamps of a system of a ship can show; None: it has none."""
    if system.lamps is None:
        return None
    ohms = np.logspace(0.0, 6.0, 121)
    with restated(ship):
        ratio, _ = visibility_curve(system, ohms)
        least = least_visible_fault(system)
    return LampSensitivity(
        least=least,
        ohms=ohms,
        ratio=1.0 / ratio,
        threshold=1.0 / ship.assumptions.value("lamp_light_ratio"),
    )


def inferred_fault(
    ship: Ship, system: System, readings: Readings, *, as_of: date, sampling: Sampling
) -> dict[str, Any]:
    """Return the fault that readings point to, at the berth of a day.

    Other faults of the system are left out: those of the log are inferred together.

    Parameters
    ----------
    ship : Ship
        Her berths, and what she restates.
    system : System
        The system, one of hers.
    readings : Readings
        What was read.
    as_of : date
        The day on which it was read.
    sampling : tuple of int
        Number of samples, and seed.

    Returns
    -------
    dict
        ``resistance_ohm`` and ``amps`` (each mean, p10, p50, p90), ``conductors``
        (chance of each), ``contradictions`` (in words), ``earthed_at`` (the berth whose
        shore supply ties the system to earth; None: it floats).

    Raises
    ------
    InputError
        If a reading is impossible on this system.
    """
    samples, seed = sampling
    with restated(ship):
        berth = berth_at(ship, end_of_day(as_of))
        evidence = Evidence(readings=(readings,), tie=earth_tie(system, berth))
        found = infer_fault(system, evidence, samples=samples, seed=seed)
        doubts = contradictions(system, evidence)
    count = len(system.conductors)
    chance = np.bincount(found.pole, minlength=count) / found.pole.size
    return {
        "resistance_ohm": _summed(found.resistance),
        "amps": _summed(found.amps),
        "conductors": dict(zip(system.conductors, chance.tolist(), strict=True)),
        "contradictions": list(doubts),
        "earthed_at": berth.berth if evidence.tie > 0.0 else None,
    }


def _summed(values: Array) -> dict[str, Any]:
    return {name: json_value(summarise(values)[name]) for name in STATISTICS}
