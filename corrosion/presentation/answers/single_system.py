"""One system by itself: a supposed fault, and the sight of its lamps."""

from dataclasses import dataclass, replace
from typing import Any

import numpy as np

from corrosion.foundation.types import Array
from corrosion.leakage.filament import relative_light
from corrosion.leakage.lamp_pattern import (
    least_visible_fault,
    picture,
    visibility_curve,
)
from corrosion.leakage.lamp_text import describe_lamps
from corrosion.leakage.network import solve
from corrosion.records.ship import Picture, Ship, System


@dataclass(frozen=True, slots=True, kw_only=True)
class FaultState:
    """A system with one fault."""

    hull_volts: Any  # each conductor to hull; complex for alternating current [V]
    # into the hull: a magnitude for alternating current, positive from the circuit into
    # the steel for direct current [A]
    amps: float
    # shape (conductors,): light of each lamp over that on a healthy system;
    # empty without lamps [-]
    light: Array
    pictures: tuple[Picture, ...]  # what each lamp looks like; empty without lamps
    words: str  # what the lamps say


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
    own, lit = ship.assumptions, system.lamps is not None
    solved = solve(system, [(conductor, ohms)], lamps=lit, assumptions=own)
    amps = complex(solved.fault_amps[0])
    bare = FaultState(
        hull_volts=np.asarray(solved.hull_volts),
        amps=amps.real if system.current == "dc" else abs(amps),
        light=np.zeros(0),
        pictures=(),
        words="This system has no detector lamps: only a meter or monitor shows it.",
    )
    if system.lamps is None or solved.lamp_volts is None:
        return bare
    rated = system.lamps.volts
    usual = solve(system, [], lamps=True, assumptions=own).lamp_volts
    seen = picture(solved.lamp_volts, rated_volts=rated, assumptions=own).tolist()
    return replace(
        bare,
        light=relative_light(solved.lamp_volts, rated_volts=rated, assumptions=own)
        / relative_light(np.asarray(usual), rated_volts=rated, assumptions=own),
        pictures=tuple(seen),
        words=describe_lamps(system, seen, assumptions=own),
    )


@dataclass(frozen=True, slots=True, kw_only=True)
class LampSensitivity:
    """What the lamps of a system can show."""

    least: float  # highest resistance that they give away [Ω]
    ohms: Array  # resistances, ascending [Ω]
    ratio: Array  # light of the darkest lamp over that of the brightest [-]
    threshold: float  # ratio above which the eye calls the lamps even [-]


def lamp_sensitivity(ship: Ship, system: System) -> LampSensitivity | None:
    """Return what the lamps of a system of a ship can show; None: it has none."""
    if system.lamps is None:
        return None
    ohms = np.logspace(0.0, 6.0, 121)
    own = ship.assumptions
    ratio, _ = visibility_curve(system, ohms, assumptions=own)
    return LampSensitivity(
        least=least_visible_fault(system, assumptions=own),
        ohms=ohms,
        ratio=1.0 / ratio,
        threshold=1.0 / own.value("lamp_light_ratio"),
    )
